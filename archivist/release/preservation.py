"""The whole archive as plain files, for the owner's package, so that it can be built again.

`tables/*.jsonl` hold the catalogue's facts as they are, a JSON object a line; `records/` the
current records, photographs and parties once more, each a file that anyone can read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import originals
from archivist.catalogue.settings import FILE_NAME
from archivist.hooks import PayloadFile
from archivist.model import ObjectRecord, Party, Photograph, canonical_json
from archivist.names import slug
from archivist.release.naming import piece_slug

TABLES = (
    "action",
    "version",
    "source",
    "original",
    "occurrence",
    "imported",
    "event",
    "release",
)
"""The tables that hold facts, in an order in which they can be filled again."""

PIECE_TABLES = ("action", "version")
"""What goes with a single piece, so that an archive can merge it by version."""

ARCHIVE_FOLDER = "archive"
"""Where in a payload the files of the whole archive lie."""


def preserved_archive(archive: Archive) -> Iterator[PayloadFile]:
    """Every file of the archive: settings, tables, current records, originals, proposals."""
    yield _file(f"{ARCHIVE_FOLDER}/{FILE_NAME}", (archive.folder / FILE_NAME).read_bytes())
    for table in TABLES:
        rows = archive.catalogue.connection.execute(f'SELECT * FROM "{table}" ORDER BY rowid')
        lines = b"".join(_line(dict(row)) for row in rows)
        yield _file(f"{ARCHIVE_FOLDER}/tables/{table}.jsonl", lines)
    for record in archive.catalogue.all(ObjectRecord):
        name = f"records/objects/{piece_slug(record)}.json"
        yield _file(f"{ARCHIVE_FOLDER}/{name}", canonical_json(record))
    for photograph in archive.catalogue.all(Photograph):
        yield _record("photographs", photograph)
    for party in archive.catalogue.all(Party):
        yield _record("parties", party)
    for proposal in sorted(archive.proposals.glob("*")):
        if proposal.is_file():
            name = f"{slug(proposal.stem, 32)}{proposal.suffix.lower()}"
            yield _file(f"{ARCHIVE_FOLDER}/proposals/{name}", proposal.read_bytes())
    for original in originals(archive.catalogue):
        path = archive.store.path_of(original.sha256, original.extension)
        name = f"originals/{original.sha256[:2]}/{original.sha256}{original.extension}"
        yield PayloadFile(name, path, b"", original.sha256, original.sha512)


def preserved_piece(archive: Archive, entities: Sequence[str]) -> tuple[PayloadFile, ...]:
    """The versions of a piece, its photographs and parties, and the actions that wrote them."""
    versions = [version for entity in entities for version in archive.catalogue.versions(entity)]
    actions = {version.action.id for version in versions}
    connection = archive.catalogue.connection
    files = []
    for table, column, wanted in (("action", "id", actions), ("version", "entity", set(entities))):
        marks = ", ".join("?" * len(wanted))
        rows = connection.execute(
            f'SELECT * FROM "{table}" WHERE "{column}" IN ({marks}) ORDER BY rowid', sorted(wanted)
        )
        lines = b"".join(_line(dict(row)) for row in rows)
        files.append(_file(f"tables/{table}.jsonl", lines))
    return tuple(files)


def _record(folder: str, value: Photograph | Party) -> PayloadFile:
    name = f"records/{folder}/{value.id.replace('-', '')[:32]}.json"
    return _file(f"{ARCHIVE_FOLDER}/{name}", canonical_json(value))


def _line(row: dict[str, Any]) -> bytes:
    return msgspec.json.encode(row, order="sorted") + b"\n"


def _file(path: str, content: bytes) -> PayloadFile:
    return PayloadFile(path, None, content)
