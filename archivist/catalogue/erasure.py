"""Removing a name for good: from every version, the index, the proposals and free pages."""

from __future__ import annotations

import codecs
import hashlib
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from html import unescape
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.entities import KINDS, Entity
from archivist.catalogue.erased import ERASED, erased_names, remember_erased
from archivist.catalogue.erased_proposals import (
    clean,
    holds_name,
    other_names,
    rename_files,
    rename_in_catalogue,
    replaced,
)
from archivist.catalogue.events import EventType, Outcome, record_event, releases
from archivist.catalogue.facts import (
    is_unfinished,
    mark_finished,
    mark_unfinished,
    seal_everything,
)
from archivist.catalogue.holdings import write_inventory
from archivist.catalogue.index import index_everything
from archivist.catalogue.originals import remove_tree
from archivist.catalogue.persons import NameFinder
from archivist.catalogue.stored import WORDS, entity_of, flaw_of
from archivist.errors import ArchiveError, FixityError, SelectionError
from archivist.model import Party, canonical_json, from_json

Run = Callable[[str, tuple[object, ...]], sqlite3.Cursor]

_SCANNED = frozenset({".csv", ".tsv", ".txt", ".json", ".xml", ".md", ".html", ".eml"})


@dataclass(frozen=True)
class ErasurePreview:
    """What an erasure would change, and what it cannot reach.

    `versions` and `proposals` are counted; `originals` are files that hold the name and stay as
    they are; `releases` are packages, handed out before, that name the party.
    """

    names: tuple[str, ...]
    versions: int
    cells: int
    proposals: tuple[Path, ...]
    originals: tuple[str, ...]
    releases: tuple[str, ...]


def party_to_erase(archive: Archive, name: str) -> Party:
    """The party of that name or UUID; of one that was erased before, what was said of it now.

    Raises:
        SelectionError: where there is none or more than one.
    """
    erased = erased_names(archive.catalogue.connection)
    known = erased.party_of(name) if erased else ""
    if known:
        return Party(id=known, name=name)
    by_id = archive.catalogue.get(name, Party)
    found = (by_id,) if by_id else archive.catalogue.keyed(Party, name)
    if len(found) != 1:
        listed = "".join(f"\n  {party.id}  {party.name}" for party in found)
        raise SelectionError(
            f"{len(found)} parties are called '{name}'.{listed}",
            "Name one by its exact name, or by its identifier.",
        )
    return found[0]


def preview(archive: Archive, party: Party) -> ErasurePreview:
    """What erasing `party` would do. Changes nothing."""
    finder = NameFinder((party,))
    damaged = [row["entity"] for row in archive.catalogue.connection.execute(
        f"SELECT entity, kind, number, sha256, {WORDS} FROM version") if flaw_of(row)]  # fmt: skip
    if damaged:
        raise FixityError(
            f"The words of {len(damaged)} versions are damaged, so nobody can tell whether the "
            f"name stands in them (of {damaged[0]}).",
            "Nothing was changed. 'archivist fixity' lists them; mend them first from a copy.",
        )
    versions = [
        row["entity"]
        for row in archive.catalogue.connection.execute("SELECT entity, json FROM version")
        if any(map(finder.finds, _strings(msgspec.json.decode(row["json"]))))
    ]
    cells = [
        row["source"]
        for row in archive.catalogue.connection.execute("SELECT source, text FROM imported")
        if finder.finds(row["text"])
    ]
    named_in = set(versions)
    return ErasurePreview(
        names=tuple(dict.fromkeys(n for n in (party.name, *party.also_known_as) if n.strip())),
        versions=len(versions),
        cells=len(cells),
        proposals=tuple(
            path
            for path in sorted(archive.proposals.rglob("*"))
            if path.is_file() and holds_name(path, finder, _text)
        ),
        originals=_originals_with(archive, finder, set(cells)),
        releases=tuple(
            f"{facts.at} for {facts.audience}: {facts.location}"
            for facts in releases(archive.catalogue)
            if facts.audience == "owner" or named_in & set(facts.objects)
        ),
    )


def erase(archive: Archive, party: Party, who: str) -> ErasurePreview:
    """Replaces the name of `party` wherever the archive can, and logs that without the name.

    This cannot be undone. Stopped at any moment, it can be asked for again: the catalogue, by
    which the party is known, is changed last. Gives what was changed and what still holds the name.
    """
    found = preview(archive, party)
    finder = NameFinder((party,))
    connection = archive.catalogue.connection
    names = other_names(archive.proposals, finder)
    clean(archive.proposals, finder, names, _text)
    remove_tree(archive.derivatives)
    with archive.catalogue.action("erase", finder.replaced(who, ERASED), WHY) as action:
        action.empty = False
        for row in connection.execute(
            f"SELECT entity, kind, number, sha256, {WORDS} FROM version"
        ).fetchall():
            value = entity_of(row)
            cleaned = _cleaned(value, party, finder)
            if cleaned != value:
                content = canonical_json(cleaned)
                action.run(
                    "UPDATE version SET json = ?, sha256 = ? WHERE entity = ? AND number = ?",
                    (
                        content.decode("utf-8"),
                        hashlib.sha256(content).hexdigest(),
                        row["entity"],
                        row["number"],
                    ),
                )
        # The name of a file that is no Unicode stands twice: as words and as its bytes.
        for row in connection.execute("SELECT rowid AS place, path FROM occurrence").fetchall():
            if finder.finds(row["path"]):
                action.run(
                    "UPDATE OR REPLACE occurrence SET path_bytes = '' WHERE rowid = ?",
                    (row["place"],),
                )
        for table, columns in _TEXT_COLUMNS.items():
            for column in columns:
                _clean_column(action.run, table, column, finder)
        current = connection.execute(
            "SELECT json, current.kind, current.number FROM current "
            "JOIN version USING (entity, number)"
        ).fetchall()
        index_everything(
            connection, [(from_json(r["json"], KINDS[r["kind"]]), r["number"]) for r in current]
        )
        detail = f"erased the party {party.id}"
        record_event(archive.catalogue, EventType.DELETION, detail, Outcome.SUCCESS)
        rename_in_catalogue(connection, names)
        remember_erased(connection, party, action.at)
        seal_everything(connection)
        mark_unfinished(connection, ERASURE)
    finish(archive)
    return found


ERASURE = "erasure"


def finish(archive: Archive) -> None:
    """Does what is left to do once the catalogue no longer holds the name: the lists beside the
    originals, the derivatives, and the parts of the file that are not in use."""
    if is_unfinished(archive.catalogue.connection, ERASURE):
        remove_tree(archive.derivatives)
        archive.derivatives.mkdir(exist_ok=True)
        rename_files(archive.proposals)
        write_inventory(archive.catalogue, archive.store)
        _rewrite(archive.catalogue.connection, archive.catalogue.path)
        mark_finished(archive.catalogue.connection, ERASURE)


def _rewrite(connection: sqlite3.Connection, path: Path) -> None:
    """Writes the database anew, so that nothing of what was there lies in parts not in use."""
    try:
        connection.execute("INSERT INTO words (words) VALUES ('optimize')")
        connection.execute("VACUUM")
    except sqlite3.OperationalError as problem:
        raise ArchiveError(
            f"The name is erased, but {path} could not be written anew: {problem}.",
            "Parts of the file that are not in use may still hold it. Make as much room on its "
            "disk as the file takes; the next command finishes it.",
        ) from problem


WHY = "a party was erased"

_TEXT_COLUMNS = {
    "imported": ("row", "column", "text"),
    "action": ("who", "why"),
    "event": ("detail", "report"),
    "release": ("location",),
    "source": ("location",),
    "occurrence": ("path",),
}
"""Where words of people can stand outside the versions."""


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for item in value:
            yield from _strings(item)
    elif isinstance(value, dict):
        for item in value.values():
            yield from _strings(item)


def _cleaned(value: Entity, party: Party, finder: NameFinder) -> Entity:
    """The value with the name gone, and nothing left of the party but its identifier."""
    if isinstance(value, Party) and value.id == party.id:
        return Party(id=party.id, name=ERASED, kind=value.kind)
    plain = replaced(msgspec.to_builtins(value), lambda words: finder.replaced(words, ERASED))
    return msgspec.convert(plain, type(value))


def _clean_column(run: Run, table: str, column: str, finder: NameFinder) -> None:
    rows = run(f'SELECT rowid AS place, "{column}" AS words FROM "{table}"', ()).fetchall()
    for row in rows:
        cleaned = finder.replaced(row["words"], ERASED)
        if cleaned != row["words"]:
            run(
                f'UPDATE OR REPLACE "{table}" SET "{column}" = ? WHERE rowid = ?',
                (cleaned, row["place"]),
            )


def _originals_with(archive: Archive, finder: NameFinder, sources: set[str]) -> tuple[str, ...]:
    """The originals that hold the name: in their path, as the sheet of a cell, or in plain text."""
    rows = archive.catalogue.connection.execute(
        "SELECT original.sha256, extension, source, path FROM original "
        "LEFT JOIN occurrence USING (sha256) ORDER BY path"
    )
    found: dict[str, str] = {}
    for row in rows:
        path = archive.store.path_of(row["sha256"], row["extension"])
        in_text = row["extension"] in _SCANNED and path.is_file() and finder.finds(_text(path))
        is_sheet = row["source"] in sources and row["extension"] in _SHEETS
        if in_text or is_sheet or finder.finds(row["path"] or ""):
            found.setdefault(row["sha256"], row["path"] or "")
    return tuple(f"{sha256}  {path}" for sha256, path in found.items())


_MOST_OF_A_PART = 1 << 26
"""Bytes of one part of a workbook that are looked through."""

_SHEETS = frozenset({".xlsx", ".xls", ".ods", ".csv", ".tsv"})


def _text(path: Path) -> str:
    """The words of a file as far as they are text: UTF-16 by its mark, else UTF-8, else 1252.

    Of a workbook, which is a zip of XML, the words of all its parts.
    """
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as parts, suppress(zipfile.BadZipFile):
            xml = []
            for name in parts.namelist():
                if name.endswith(".xml"):
                    with parts.open(name) as part:
                        xml.append(part.read(_MOST_OF_A_PART))
            return unescape(b"\n".join(xml).decode("utf-8", errors="replace"))
    data = path.read_bytes()
    marked = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    for encoding in ("utf-16",) if marked else ("utf-8-sig",):
        try:
            return data.decode(encoding)
        except UnicodeError:
            continue
    return data.decode("cp1252", errors="replace")
