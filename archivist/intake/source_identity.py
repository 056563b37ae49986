"""Which source lies at a place: one that is known, one that moved, or a new one."""

from __future__ import annotations

import uuid
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import occurrences
from archivist.catalogue.sources import source_at, sources
from archivist.digests import digest_file
from archivist.errors import SelectionError
from archivist.intake.proposal import ProposedSource


def source_of(archive: Archive, path: Path, reader: str, source_id: str = "") -> ProposedSource:
    """The source that lies there: known by its place, else by its bytes, else new.

    The UUID of a new source is made of the archive's and its place, so that a second survey
    before the first is applied speaks of the same source.

    Raises:
        SelectionError: where `source_id` is of no source.
    """
    location = str(path.resolve())
    known = source_at(archive.catalogue, location)
    if source_id:
        if all(s.id != source_id for s in sources(archive.catalogue)):
            raise SelectionError(
                f"There is no source {source_id} in this archive.",
                "Nothing was surveyed. 'archivist review --sources' lists them.",
            )
        return ProposedSource(id=source_id, reader=reader, location=location)
    if known is not None:
        return ProposedSource(id=known.id, reader=reader, location=location)
    moved = _moved(archive.catalogue, path, reader)
    if moved:
        return ProposedSource(id=moved, reader=reader, location=location)
    id_ = str(uuid.uuid5(uuid.UUID(archive.settings.id), f"source\n{location}"))
    return ProposedSource(id=id_, reader=reader, location=location)


def _moved(catalogue: Catalogue, path: Path, reader: str) -> str:
    """The source whose file has the same bytes and lies elsewhere now, '' if none."""
    if not path.is_file():
        return ""
    try:
        sha256 = digest_file(path).sha256
    except OSError:
        return ""
    by_id = {s.id: s for s in sources(catalogue)}
    for place in occurrences(catalogue, sha256=sha256):
        source = by_id[place.source]
        gone = not Path(source.location).exists()
        if source.reader == reader and Path(source.location).name == place.path and gone:
            return source.id
    return ""
