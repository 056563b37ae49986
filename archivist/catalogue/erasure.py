"""Removing a name for good: from every version, the index, the proposals and free pages."""

from __future__ import annotations

import codecs
import hashlib
import re
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.entities import KINDS, Entity
from archivist.catalogue.events import EventType, Outcome, record_event, releases
from archivist.catalogue.holdings import write_inventory
from archivist.catalogue.index import index_everything
from archivist.catalogue.originals import write_whole
from archivist.errors import SelectionError
from archivist.model import Party, canonical_json, from_json

Run = Callable[[str, tuple[object, ...]], sqlite3.Cursor]

ERASED = "[erased]"
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
    """The party of that name or UUID.

    Raises:
        SelectionError: where there is none or more than one.
    """
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
    names = _names(party)
    pattern = _pattern(names)
    versions = [
        row["entity"]
        for row in archive.catalogue.connection.execute("SELECT entity, json FROM version")
        if pattern.search(_decoded(row["json"]))
    ]
    cells = [
        row["source"]
        for row in archive.catalogue.connection.execute("SELECT source, text FROM imported")
        if pattern.search(row["text"])
    ]
    named_in = set(versions)
    return ErasurePreview(
        names=names,
        versions=len(versions),
        cells=len(cells),
        proposals=tuple(
            path
            for path in sorted(archive.proposals.glob("*"))
            if path.is_file() and pattern.search(_text(path))
        ),
        originals=_originals_with(archive, pattern, set(cells)),
        releases=tuple(
            f"{facts.at} for {facts.audience}: {facts.location}"
            for facts in releases(archive.catalogue)
            if facts.audience == "owner" or named_in & set(facts.objects)
        ),
    )


def erase(archive: Archive, party: Party, who: str) -> ErasurePreview:
    """Replaces the name of `party` wherever the archive can, and logs that without the name.

    This cannot be undone. Gives what was changed and what still holds the name.
    """
    found = preview(archive, party)
    pattern = _pattern(found.names)
    connection = archive.catalogue.connection
    with archive.catalogue.action("erase", who, "a party was erased") as action:
        action.empty = False
        for row in connection.execute("SELECT entity, kind, number, json FROM version").fetchall():
            value = from_json(row["json"], KINDS[row["kind"]])
            cleaned = _cleaned(value, party, pattern)
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
        for table, columns in _TEXT_COLUMNS.items():
            for column in columns:
                _clean_column(action.run, table, column, pattern)
        current = connection.execute(
            "SELECT json, current.kind, current.number FROM current "
            "JOIN version USING (entity, number)"
        ).fetchall()
        index_everything(
            connection, [(from_json(r["json"], KINDS[r["kind"]]), r["number"]) for r in current]
        )
    for path in found.proposals:
        write_whole(path, pattern.sub(ERASED, _text(path)))
    write_inventory(archive.catalogue, archive.store)
    connection.execute("INSERT INTO words (words) VALUES ('optimize')")
    connection.execute("VACUUM")
    record_event(
        archive.catalogue, EventType.DELETION, f"erased the party {party.id}", Outcome.SUCCESS
    )
    return found


_TEXT_COLUMNS = {
    "imported": ("row", "column", "text"),
    "action": ("who", "why"),
    "event": ("detail", "report"),
    "release": ("location",),
    "source": ("location",),
    "occurrence": ("path",),
}
"""Where words of people can stand outside the versions."""


def _names(party: Party) -> tuple[str, ...]:
    return tuple(dict.fromkeys(n for n in (party.name, *party.also_known_as) if n.strip()))


def _pattern(names: tuple[str, ...]) -> re.Pattern[str]:
    """Finds any of the names, whatever their case and white space, as whole words."""
    spelled = (r"\s+".join(re.escape(part) for part in name.split()) for name in names)
    longest_first = sorted(spelled, key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)", re.IGNORECASE)


def _decoded(content: str) -> str:
    """The words in JSON with its escapes undone, so that a name is found however it was written."""
    return "\n".join(_strings(msgspec.json.decode(content)))


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for item in value:
            yield from _strings(item)
    elif isinstance(value, dict):
        for item in value.values():
            yield from _strings(item)


def _cleaned(value: Entity, party: Party, pattern: re.Pattern[str]) -> Entity:
    """The value with the name gone, and nothing left of the party but its identifier."""
    if isinstance(value, Party) and value.id == party.id:
        return Party(id=party.id, name=ERASED, kind=value.kind)
    words = _replaced(msgspec.to_builtins(value), pattern)
    return msgspec.convert(words, type(value))


def _replaced(value: object, pattern: re.Pattern[str]) -> object:
    if isinstance(value, str):
        return pattern.sub(ERASED, value)
    if isinstance(value, list | tuple):
        return [_replaced(item, pattern) for item in value]
    if isinstance(value, dict):
        return {key: _replaced(item, pattern) for key, item in value.items()}
    return value


def _clean_column(
    run: Run,
    table: str,
    column: str,
    pattern: re.Pattern[str],
) -> None:
    rows = run(f'SELECT rowid AS place, "{column}" AS words FROM "{table}"', ()).fetchall()
    for row in rows:
        cleaned = pattern.sub(ERASED, row["words"])
        if cleaned != row["words"]:
            run(
                f'UPDATE OR REPLACE "{table}" SET "{column}" = ? WHERE rowid = ?',
                (cleaned, row["place"]),
            )


def _originals_with(
    archive: Archive, pattern: re.Pattern[str], sources: set[str]
) -> tuple[str, ...]:
    """The originals that hold the name: in their path, as the sheet of a cell, or in plain text."""
    rows = archive.catalogue.connection.execute(
        "SELECT original.sha256, extension, source, path FROM original "
        "LEFT JOIN occurrence USING (sha256) ORDER BY path"
    )
    found: dict[str, str] = {}
    for row in rows:
        path = archive.store.path_of(row["sha256"], row["extension"])
        in_text = row["extension"] in _SCANNED and path.is_file() and pattern.search(_text(path))
        is_sheet = row["source"] in sources and row["extension"] in _SHEETS
        if in_text or is_sheet or pattern.search(row["path"] or ""):
            found.setdefault(row["sha256"], row["path"] or "")
    return tuple(f"{sha256}  {path}" for sha256, path in found.items())


_SHEETS = frozenset({".xlsx", ".xls", ".ods", ".csv", ".tsv"})


def _text(path: Path) -> str:
    """The words of a file as far as they are text: UTF-16 by its mark, else UTF-8, else 1252."""
    data = path.read_bytes()
    marked = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    for encoding in ("utf-16",) if marked else ("utf-8-sig",):
        try:
            return data.decode(encoding)
        except UnicodeError:
            continue
    return data.decode("cp1252", errors="replace")
