"""The whole archive as plain files, for the owner's package, so that it can be built again.

`tables/*.jsonl` hold the catalogue's facts as they are, a JSON object a line; `records/` the
current records, photographs and parties once more, each a file that anyone can read.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from archivist.catalogue.archive import PROPOSALS, Archive
from archivist.catalogue.catalogue import Version
from archivist.catalogue.entities import Entity, evidence_of, party_ids
from archivist.catalogue.facts import flaws
from archivist.catalogue.holdings import Original, original, originals
from archivist.catalogue.originals import legal_extension
from archivist.catalogue.settings import FILE_NAME
from archivist.errors import FixityError
from archivist.hooks import PayloadFile, Piece
from archivist.model import ObjectRecord, Party, Photograph, canonical_json
from archivist.names import slug
from archivist.release.naming import piece_slug
from archivist.release.rows import written_out

TABLES = (
    "action",
    "version",
    "source",
    "original",
    "occurrence",
    "imported",
    "event",
    "release",
    "erased",
)
"""The tables that hold facts, in an order in which they can be filled again."""

NAMES = "proposal-names.jsonl"
"""What each proposal is called in the archive: an object a line with `file` and `name`."""

ARCHIVE_FOLDER = "archive"
"""Where in a payload the files of the whole archive lie."""


def preserved_archive(archive: Archive) -> Iterator[PayloadFile]:
    """Every file of the archive: settings, tables, current records, originals, proposals."""
    yield _file(f"{ARCHIVE_FOLDER}/{FILE_NAME}", (archive.folder / FILE_NAME).read_bytes())
    for table in TABLES:
        query = f'SELECT * FROM "{table}" ORDER BY rowid'
        yield from written_out(archive.catalogue, table, f"{ARCHIVE_FOLDER}/", query)
    for kind, key, flaw in flaws(archive.catalogue.connection):
        name = f"{ARCHIVE_FOLDER}/tables/{kind}.jsonl/{key}"
        yield PayloadFile(name, missing=f"{flaw}; it is given as it lies")
    for record in archive.catalogue.all(ObjectRecord):
        name = f"records/objects/{piece_slug(record)}.json"
        yield _file(f"{ARCHIVE_FOLDER}/{name}", canonical_json(record))
    for photograph in archive.catalogue.all(Photograph):
        yield _record("photographs", photograph)
    for party in archive.catalogue.all(Party):
        yield _record("parties", party)
    yield from _proposals(archive)
    for facts in originals(archive.catalogue):
        yield _original(archive, facts)


def _proposals(archive: Archive) -> Iterator[PayloadFile]:
    """What was proposed, and how the owner has the columns of each source read.

    Names in a package must be legal everywhere; by their true names, which `NAMES` tells, the
    archive knows which proposals were applied and which columns are private.
    """
    names: set[str] = set()
    lines: list[bytes] = []
    for proposal in sorted(path for path in archive.proposals.rglob("*") if path.is_file()):
        name = _free_name(slug(proposal.stem, 28), legal_extension(proposal.name), names)
        true = proposal.relative_to(archive.proposals).as_posix()
        try:
            yield _file(f"{ARCHIVE_FOLDER}/{PROPOSALS}/{name}", proposal.read_bytes())
            lines.append(msgspec.json.encode({"file": name, "name": true}) + b"\n")
        except (OSError, UnicodeEncodeError) as problem:
            yield PayloadFile(f"{ARCHIVE_FOLDER}/{PROPOSALS}/{name}", missing=str(problem))
    yield _file(f"{ARCHIVE_FOLDER}/{NAMES}", b"".join(lines))


def _free_name(stem: str, extension: str, taken: set[str]) -> str:
    """'stem.json', or the first of 'stem-2.json', 'stem-3.json' ... that was not given yet."""
    name, number = f"{stem}{extension}", 1
    while name in taken or name == extension:
        number += 1
        name = f"{stem}-{number}{extension}"
    taken.add(name)
    return name


def preserved_piece(archive: Archive, piece: Piece) -> tuple[PayloadFile, ...]:
    """What lets an archive take the piece back: every version, and the originals not shown.

    Versions are those of the record, of records merged into it, of its photographs (also of those
    that cannot be decoded) and of the parties that any of them ever named; with them go the
    actions that wrote them. Originals are given as evidence, or are photographs without a picture.
    """
    catalogue = archive.catalogue
    photographs = catalogue.photographs_of(piece.record.id)
    entities = [*catalogue.merged_into(piece.record.id), *(p.id for p in photographs)]
    versions = [version for entity in entities for version in catalogue.versions(entity)]
    values = [value for version in versions if (value := _whole(version)) is not None]
    parties = sorted(set().union(*map(party_ids, values)))
    versions += [version for party in parties for version in catalogue.versions(party)]
    digests = {p.sha256 for p in photographs}.union(*map(evidence_of, values))
    shown = {p.original_sha256 for p in piece.photographs}
    files = [
        *_rows(archive, "action", "id", {version.action.id for version in versions}),
        *_rows(archive, "version", "entity", {*entities, *parties}),
        *_rows(archive, "original", "sha256", digests),
    ]
    recorded = (original(catalogue, digest) for digest in sorted(digests - shown))
    files += [_original(archive, facts) for facts in recorded if facts is not None]
    return tuple(files)


def _rows(archive: Archive, table: str, column: str, wanted: set[str]) -> Iterator[PayloadFile]:
    """The rows of a table in which a column has one of the wanted values."""
    query = (
        f'SELECT * FROM "{table}" WHERE "{column}" IN (SELECT value FROM json_each(?)) '
        "ORDER BY rowid"
    )
    among = msgspec.json.encode(sorted(wanted)).decode("utf-8")
    yield from written_out(archive.catalogue, table, "", query, (among,))


def _whole(version: Version) -> Entity | None:
    """What a version says; None where it is damaged, which its table tells."""
    try:
        return version.value()
    except FixityError:
        return None


def _original(archive: Archive, facts: Original) -> PayloadFile:
    path = archive.store.place_of(facts.sha256, facts.extension)
    if path is None:
        words = f"what the catalogue records of '{facts.sha256}{facts.extension}' is damaged"
        return PayloadFile("originals/unknown", missing=words)
    name = f"originals/{facts.sha256[:2]}/{facts.sha256}{facts.extension}"
    return PayloadFile(name, path, b"", facts.sha256, facts.sha512)


def _record(folder: str, value: Photograph | Party) -> PayloadFile:
    name = f"records/{folder}/{value.id.replace('-', '')[:32]}.json"
    return _file(f"{ARCHIVE_FOLDER}/{name}", canonical_json(value))


def _file(path: str, content: bytes) -> PayloadFile:
    return PayloadFile(path, None, content)
