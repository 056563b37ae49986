"""A spreadsheet as a file: kept as an original, and beside it how its columns are read."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.hooks import FoundFile, FoundRow
from archivist.intake.files import KnownFiles
from archivist.intake.headings import propose, samples
from archivist.intake.mapping import Column, Mapping, read_mapping, write_mapping
from archivist.intake.proposal import FileFacts, KeepFile, ProposedSource
from archivist.names import slug
from archivist.reading.tables import Tables

MEDIA_TYPES = {
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".xlsm": "application/vnd.ms-excel.sheet.macroEnabled.12",
    ".xls": "application/vnd.ms-excel",
    ".xlsb": "application/vnd.ms-excel.sheet.binary.macroEnabled.12",
    ".ods": "application/vnd.oasis.opendocument.spreadsheet",
    ".csv": "text/csv",
    ".tsv": "text/tab-separated-values",
}
"""Types registered with IANA."""


def sheet_kept(
    catalogue: Catalogue, source: ProposedSource, path: Path
) -> tuple[FileFacts, KeepFile | None]:
    """The facts of the file, and what proposes to keep it, None where the archive has it.

    Raises:
        SourceError: where it cannot be read.
    """
    known = KnownFiles(catalogue, source.id, path)
    facts = known.facts(path, FoundFile(path=path.name))
    if known.holds(path.name, "", facts.sha256):
        return facts, None
    media_type = MEDIA_TYPES.get(facts.extension, facts.media_type)
    return facts, KeepFile(
        accept=True,
        key=f"{facts.path}\n{facts.sha256}",
        source=source.id,
        reasons=("the spreadsheet itself",),
        file=msgspec.structs.replace(facts, media_type=media_type),
    )


def _column_file(archive: Archive, source: ProposedSource, path: Path) -> Path:
    """The file that says how the columns of a source are read, whatever it was called when the
    source was surveyed first: the sheet may be called otherwise now, or its name was erased."""
    ending = f".{source.id[:8]}.toml"
    usual = archive.proposals / f"{slug(path.name) or 'source'}{ending}"
    if usual.exists():
        return usual
    return min(archive.proposals.glob(f"*{ending}"), default=usual)


def columns_of(
    archive: Archive,
    source: ProposedSource,
    path: Path,
    rows: Sequence[FoundRow],
    given: Path | None,
    tables: Tables,
) -> tuple[Mapping, Path, bool]:
    """How the columns are read, as the owner said, and as proposed for columns not yet said; the
    file that says so; whether it was written anew.

    Raises:
        SelectionError: where the file `given`, or the one of an earlier survey, does not fit.
    """
    file = _column_file(archive, source, path)
    said: tuple[Column, ...] = ()
    if given is not None:
        said = read_mapping(given).column
    elif file.exists():
        said = read_mapping(file).column
    known = {(c.table, c.heading) for c in said}
    fresh = [
        sample
        for sample in samples(rows)
        if (sample.table, sample.heading) not in known and ("", sample.heading) not in known
    ]
    if not fresh and said:
        return Mapping(source=source.id, column=said), file, False
    mapping = Mapping(source=source.id, column=(*said, *propose(fresh, tables)))
    write_mapping(file, mapping)
    return mapping, file, True
