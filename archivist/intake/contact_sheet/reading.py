"""Lists of photographs as people hand them in: the archive's own sheet, edited, or any of theirs.

A list is known by its headings and by what stands below them: names of picture files, and views of
pieces or places in pictures. Its other columns are kept word for word.
"""

from __future__ import annotations

import functools
import hashlib
import re
import unicodedata
from collections.abc import Mapping, Sequence

import msgspec

from archivist.hooks import Cell, FoundRow
from archivist.intake.contact_sheet.layout import (
    CAMERA,
    CAMERA_CLOCK,
    EDITABLE,
    HEADINGS,
    THOUGHT,
    WRITTEN,
    Part,
    seal,
)
from archivist.intake.roles import Role
from archivist.intake.views import view_in
from archivist.model import Value
from archivist.reading.tables import Tables

LOOKED_AT = 200
"""Rows by which a list is known."""

MOST_OF = 0.6
"""The share of cells that must be what a list of photographs has there."""

_OURS = frozenset({THOUGHT})
_YES = frozenset({"yes", "y", "x", "ja", "oui", "si", "true", "1", "✓", "right", "correct"})
_NO = frozenset({"no", "n", "nein", "non", "nee", "false", "0", "wrong", "not this piece"})
_FOLDER = frozenset(
    {"folder", "this folder", "whole folder", "ordner", "dossier", "map", "cartella"}
)
REGION = re.compile(r"\d+\s*[,;x ]\s*\d+\s*[,;x ]\s*\d+\s*[,;x ]\s*\d+")
_PICTURE = re.compile(r"\.(jpe?g|jpe|jfif|png|tiff?|gif|webp|bmp|hei[cf]|avif|jp2|dng|nef|cr[23]|"
                      r"arw|orf|raf|rw2|pef|srw|psd)\s*$", re.IGNORECASE)  # fmt: skip


class RowSaid(Value, frozen=True, kw_only=True):
    """What one row says; None where it does not say, '' where a cell was emptied.

    `own` says that the row is of the archive's own sheet, in which everything was before the
    owner's eyes. `key` is the row's among all lists; `cells` are its words by heading. `clock` is
    what is said of its camera's clock, `camera_clock` what that said; `put_right` are the seconds
    to add to it, by this row's word or another's. `like` is 'yes' where the same holds for folders
    like this one, 'folder' where it holds for the whole of this folder.
    """

    key: str
    place: str
    path: str = ""
    sha256: str = ""
    own: bool = False
    piece: str | None = None
    view: str | None = None
    caption: str | None = None
    region: str | None = None
    shows: str | None = None
    audience: str | None = None
    like: str = ""
    taken: str | None = None
    clock: str = ""
    copy: str | None = None
    camera: str = ""
    camera_clock: str = ""
    put_right: int | None = None
    cells: dict[str, str] = msgspec.field(default_factory=dict)

    @property
    def says_nothing(self) -> bool:
        """Whether the row only names a photograph."""
        more = (self.taken, self.copy, self.put_right)
        return not self.is_of_pieces and not self.clock and all(words is None for words in more)

    @property
    def is_of_pieces(self) -> bool:
        """Whether the row says what is to be seen, rather than when or of what it is a copy."""
        said = (self.piece, self.view, self.caption, self.region, self.shows, self.audience)
        return bool(self.like) or any(words is not None for words in said)


def is_own_list(headings: set[str]) -> bool:
    """Whether headings are those of the sheet of photographs that the archive writes."""
    return WRITTEN in headings or {HEADINGS[Part.FILE], HEADINGS[Part.DIGEST], THOUGHT} <= headings


def is_photograph_list(rows: Sequence[FoundRow], tables: Tables) -> bool:
    """Whether rows are a list of photographs: files, and what is to be seen on them."""
    looked = rows[:LOOKED_AT]
    headings = {cell.column for row in looked for cell in row.cells}
    if is_own_list(headings):
        return True
    parts = _parts(tuple(sorted(headings)), tables)
    files = _texts(looked, parts.get(Part.FILE, ""))
    if not files or len(files) < MOST_OF * len(looked):
        return False
    if sum(bool(_PICTURE.search(text)) for text in files) < MOST_OF * len(files):
        return False
    views = _texts(looked, parts.get(Part.VIEW, ""))
    regions = _texts(looked, parts.get(Part.REGION, ""))
    if Part.PIECE in parts and not _others_than_remarks(headings, parts, tables):
        return True
    named = sum(view_in(text, tables) is not None for text in views)
    placed = sum(bool(REGION.search(text)) for text in regions)
    return (bool(views) and named >= MOST_OF * len(views)) or (
        bool(regions) and placed >= MOST_OF * len(regions)
    )


def _others_than_remarks(headings: set[str], parts: Mapping[Part, str], tables: Tables) -> bool:
    """Whether a table also has columns by which it would be a stock book."""
    remarks = {
        _plain(name)
        for row in tables.terms("column")
        if row.label in (Role.NOTE, Role.PRIVATE_NOTE)
        for name in row.names
    }
    rest = headings - set(parts.values())
    return any(_plain(heading).strip(" :._") not in remarks for heading in rest)


def said_in(rows: Sequence[FoundRow], tables: Tables) -> list[RowSaid]:
    """What the rows of a list say of photographs; rows that name none are left out."""
    headings = tuple(sorted({cell.column for row in rows for cell in row.cells}))
    own = is_own_list(set(headings))
    parts = {part: heading for part, heading in HEADINGS.items() if heading in headings}
    if not own:
        parts = _parts(headings, tables)
    said = (_said(row, parts, own) for row in rows)
    return [row for row in said if row.path or row.sha256]


def said_again(cells: Mapping[str, str], key: str, tables: Tables) -> RowSaid | None:
    """What the remembered words of a row say."""
    remembered = tuple(Cell(column=column, text=text) for column, text in cells.items())
    said = said_in([FoundRow(table="", number=0, cells=remembered)], tables)
    return msgspec.structs.replace(said[0], key=key, place="its list") if said else None


def _said(row: FoundRow, parts: Mapping[Part, str], own: bool) -> RowSaid:
    cells = {cell.column: cell.text.strip() for cell in row.cells}
    words = {part: cells.get(heading, "") for part, heading in parts.items()}
    edited = _edited(cells) if own else frozenset(part for part in words if words[part])

    def said(part: Part) -> str | None:
        return words.get(part, "") if part in edited else None

    path = words.get(Part.FILE, "").replace("\\", "/").strip()
    sha256 = re.sub(r"[^0-9a-f]", "", words.get(Part.DIGEST, "").casefold())
    named = f"{sha256 or path}" if own else f"{path}\n{sha256}"
    table = f"sheet {row.table}, " if row.table else ""
    kept = {heading: text for heading, text in cells.items() if text and heading not in _OURS}
    return RowSaid(
        key="photograph\n" + hashlib.sha256(named.encode("utf-8")).hexdigest(),
        place=f"{table}row {row.number}",
        path=path,
        sha256=sha256,
        own=own,
        piece=said(Part.PIECE),
        view=said(Part.VIEW),
        caption=said(Part.CAPTION),
        region=said(Part.REGION),
        shows=said(Part.SHOWS),
        audience=said(Part.AUDIENCE),
        like=_like(words.get(Part.LIKE, "")),
        taken=said(Part.TAKEN),
        clock=words.get(Part.CLOCK, ""),
        copy=said(Part.COPY),
        camera=cells.get(CAMERA, ""),
        camera_clock=cells.get(CAMERA_CLOCK, ""),
        cells=kept,
    )


def _edited(cells: Mapping[str, str]) -> frozenset[Part]:
    """The parts whose cells are not as they were written; without seals, those with words."""
    written = cells.get(WRITTEN, "").split()
    if len(written) != len(EDITABLE):
        return frozenset(part for part in EDITABLE if cells.get(HEADINGS[part], ""))
    pairs = zip(EDITABLE, written, strict=True)
    return frozenset(p for p, before in pairs if seal(cells.get(HEADINGS[p], "")) != before)


def _like(words: str) -> str:
    if _plain(words) in _FOLDER:
        return "folder"
    return "yes" if is_yes(words) else ""


def is_yes(words: str) -> bool:
    """Whether a cell says yes, in the languages in which sheets come back."""
    return _plain(words) in _YES


def is_no(words: str) -> bool:
    """Whether a cell says no."""
    return _plain(words) in _NO


def _plain(words: str) -> str:
    plain = unicodedata.normalize("NFKD", words.strip().casefold())
    return "".join(c for c in plain if not unicodedata.combining(c))


def _texts(rows: Sequence[FoundRow], heading: str) -> list[str]:
    return [c.text for row in rows for c in row.cells if c.column == heading and c.text.strip()]


@functools.lru_cache(maxsize=64)
def _parts(headings: tuple[str, ...], tables: Tables) -> dict[Part, str]:
    """Which heading is about what, the first that fits each."""
    words = {
        _plain(name): Part(row.label)
        for row in reversed(tables.terms("photograph column"))
        for name in row.names
    }
    parts: dict[Part, str] = {}
    for heading in headings:
        part = words.get(_plain(heading).strip(" :._"))
        if part is not None:
            parts.setdefault(part, heading)
    return parts
