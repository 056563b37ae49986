"""The sheet of photographs: its columns, and how what is held of a photograph is put in cells.

A sheet has a row for each photograph. Where one shows several pieces and not the same is said of
all, a cell says it piece by piece: 'HW 0407=70,168,293,313; HW 0418=380,194,164,290'.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum

from archivist.model import Certainty, Depiction, Region, Value, View


class Part(StrEnum):
    """What a column of a list of photographs is about."""

    FILE = "file"
    PIECE = "piece"
    VIEW = "view"
    CAPTION = "caption"
    REGION = "region"
    SHOWS = "shows it"
    AUDIENCE = "audience"
    LIKE = "same for others"
    TAKEN = "taken"
    CLOCK = "clock"
    COPY = "copy of"
    DIGEST = "digest"


HEADINGS: Mapping[Part, str] = {
    Part.FILE: "File",
    Part.PIECE: "Piece",
    Part.VIEW: "View",
    Part.CAPTION: "Caption",
    Part.REGION: "Region (x,y,w,h)",
    Part.SHOWS: "Shows (yes/no)",
    Part.AUDIENCE: "Who may see it",
    Part.LIKE: "Same in folders like this (yes)",
    Part.TAKEN: "Taken",
    Part.CLOCK: "Add to its camera's clock",
    Part.COPY: "Copy of",
    Part.DIGEST: "SHA-256 (leave as it is)",
}
"""The columns that say something of a photograph, by what they say."""

CAMERA = "Camera"
CAMERA_CLOCK = "What its clock said"
THOUGHT = "What the program thought, and why"
WRITTEN = "As written (leave as it is)"
ALL_HEADINGS = (
    *(HEADINGS[part] for part in Part if part is not Part.DIGEST),
    CAMERA,
    CAMERA_CLOCK,
    THOUGHT,
    HEADINGS[Part.DIGEST],
    WRITTEN,
)
"""All columns of the sheet in their order."""

EDITABLE = (
    Part.PIECE,
    Part.VIEW,
    Part.CAPTION,
    Part.REGION,
    Part.SHOWS,
    Part.AUDIENCE,
    Part.LIKE,
    Part.TAKEN,
    Part.CLOCK,
    Part.COPY,
)
"""What an owner may change in the sheet, in the order of the seals; new ones come last."""

OWNER_ONLY = "owner"
YES, NO = "yes", "no"


class ShownPiece(Value, frozen=True, kw_only=True):
    """A piece that a photograph shows: what it is called, and what is held of it there."""

    name: str
    title: str = ""
    depiction: Depiction


class Line(Value, frozen=True, kw_only=True):
    """A photograph as the page and the sheet show it.

    `source` and `path` name the file, `location` is where it lies now. `view` is what is thought
    of a photograph of no piece. `taken` is when, as EDTF; `camera` and `clock` are what took it
    and what its clock said. `copy_of` is the path of the best original of the same picture,
    `relation` what this is to it; `why` are the reasons of all that is thought; `reviewed` says
    that a person has spoken of what it shows.
    """

    path: str
    sha256: str
    source: str = ""
    location: str = ""
    width: int = 0
    height: int = 0
    pieces: tuple[ShownPiece, ...] = ()
    view: View = View.UNKNOWN
    certainty: Certainty = Certainty.CERTAIN
    taken: str = ""
    taken_note: str = ""
    camera: str = ""
    clock: str = ""
    why: tuple[str, ...] = ()
    copy_of: str = ""
    relation: str = ""
    known: bool = False
    reviewed: bool = False

    @property
    def views(self) -> str:
        """The views of all pieces, each once, or what is thought of a photograph of none."""
        views = dict.fromkeys(p.depiction.view.value for p in self.pieces) or {self.view.value: 0}
        return ", ".join(views)


def thought(line: Line) -> str:
    """What the program thinks of a photograph and why, in words; the same on page and sheet."""
    words = [f"which piece: {line.certainty.value}" if line.pieces else "of no known piece"]
    if line.reviewed:
        words = ["reviewed" if line.pieces else "reviewed: of none of these pieces"]
    if line.copy_of:
        words.append(f"{line.relation or 'copy'} of {line.copy_of}")
    words.extend(line.why)
    if line.taken_note:
        words.append(f"taken: {line.taken_note}")
    return "; ".join(words)


def cells_of(line: Line) -> dict[str, str]:
    """The cells of a photograph by heading."""
    pieces = line.pieces
    said: dict[Part, str] = {
        Part.FILE: line.path,
        Part.PIECE: "; ".join(piece.name for piece in pieces),
        Part.VIEW: _by_piece(pieces, lambda d: d.view.value) if pieces else line.view.value,
        Part.CAPTION: _by_piece(pieces, lambda d: d.caption),
        Part.REGION: _by_piece(pieces, lambda d: region_words(d.region)),
        Part.SHOWS: YES if line.reviewed else "",
        Part.AUDIENCE: _by_piece(pieces, audience_words),
        Part.LIKE: "",
        Part.TAKEN: line.taken,
        Part.CLOCK: "",
        Part.COPY: line.copy_of,
        Part.DIGEST: line.sha256,
    }
    cells = {HEADINGS[part]: words for part, words in said.items()}
    cells[CAMERA] = line.camera
    cells[CAMERA_CLOCK] = line.clock
    cells[THOUGHT] = thought(line)
    cells[WRITTEN] = seals(cells)
    return cells


def _by_piece(pieces: Sequence[ShownPiece], words_of: Callable[[Depiction], str]) -> str:
    """What is said of all pieces, once where it is the same."""
    said = [(piece.name, words_of(piece.depiction)) for piece in pieces]
    if len({words for _, words in said}) <= 1:
        return said[0][1] if said else ""
    return "; ".join(f"{name}={words}" for name, words in said if words)


def region_words(region: Region | None) -> str:
    """'x,y,width,height' in pixels of the upright picture, '' for the whole of it."""
    return f"{region.x},{region.y},{region.width},{region.height}" if region else ""


def audience_words(depiction: Depiction) -> str:
    """Who may see it beyond what its view allows; 'owner' where nobody else may."""
    return OWNER_ONLY if depiction.private else ", ".join(depiction.released)


def seals(cells: Mapping[str, str]) -> str:
    """A short digest of each editable cell, by which it is known later which ones were edited."""
    return " ".join(seal(cells.get(HEADINGS[part], "")) for part in EDITABLE)


def seal(words: str) -> str:
    """The first 8 hexadecimal digits of the SHA-256 of the words, white space made one."""
    return hashlib.sha256(" ".join(words.split()).encode("utf-8")).hexdigest()[:8]
