"""Which source lies at a place: one that is known, one that moved, or a new one."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import occurrences
from archivist.catalogue.sources import SourceFacts, imported, source_at, sources
from archivist.digests import digest_file
from archivist.errors import SelectionError
from archivist.hooks import FoundRow
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


SAME = 0.6
"""The share of the words taken in from a source that a table must still say to be that source. A
choice of ours: two lists of one owner share headings, but few whole cells."""


def source_of_same_words(
    catalogue: Catalogue, source: ProposedSource, rows: Sequence[FoundRow]
) -> SourceFacts | None:
    """The known source most of whose cells a table at a place that is not known says; None for a
    source that is known, and where there is none."""
    known = sources(catalogue)
    if not rows or any(s.id == source.id for s in known):
        return None
    said = {(cell.column, cell.text) for row in rows for cell in row.cells if _tells(cell.text)}
    best, most = None, SAME
    for other in known:
        if other.reader != source.reader:
            continue
        cells = [c for c in imported(catalogue, other.id).values() if _tells(c.text)]
        share = sum((c.column, c.text) in said for c in cells) / max(len(cells), 1)
        if len(cells) >= _FEWEST and share >= most:
            best, most = other, share
    return best


_FEWEST = 4
"""Cells from which what they share says something."""


def _tells(text: str) -> bool:
    """Whether a cell can tell one list from another: 'yes' and '3' stand in any."""
    return len(text.strip()) > _FEWEST


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
