"""Writes page and workbook of a proposal's photographs, and takes the workbook back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.digests import digest_file
from archivist.errors import ArchiveError, SelectionError
from archivist.intake.choose import waiting_proposals
from archivist.intake.contact_sheet.handing_back import joined
from archivist.intake.contact_sheet.in_archive import held_as_proposal, photographs_held
from archivist.intake.contact_sheet.lines import Sheet, sheet_of
from archivist.intake.contact_sheet.page import settled, workbook_of, write_pages
from archivist.intake.contact_sheet.workbook import write_workbook
from archivist.intake.proposal import (
    Proposal,
    ReviewPhotograph,
    read_proposal,
    rewrite_proposal,
)
from archivist.intake.survey import survey
from archivist.model import ObjectRecord
from archivist.names import slug
from archivist.plugins import Plugins


@dataclass(frozen=True)
class WrittenSheet:
    """The pages and the workbook, how many photographs they have, and how many are in doubt.

    `aside` is where a workbook went that was there and had been edited.
    """

    pages: tuple[Path, ...]
    workbook: Path
    photographs: int
    open: int
    aside: Path | None = None


@dataclass(frozen=True)
class HandedBack:
    """The file of the proposal that a list went to, None where nothing in the list is new.

    `handed` is what the list by itself comes to; `waited` says that the proposal is one that was
    there already; `reviewed` counts photographs of which something is said, `waiting` rows whose
    photographs are not known yet.
    """

    path: Path | None
    handed: Proposal
    waited: bool = False
    reviewed: int = 0
    waiting: int = 0


def write_sheet(
    archive: Archive,
    proposal: Proposal,
    path: Path,
    progress: Callable[[int], None] = lambda amount: None,
) -> WrittenSheet:
    """Writes the contact sheet of the proposal in the file `path`, beside it.

    `progress` is told of each photograph.

    Raises:
        SelectionError: where the proposal has no photographs.
        ArchiveError: where page or workbook cannot be written.
    """
    sheet = sheet_of(archive, proposal, path.stem)
    if not sheet.lines:
        raise SelectionError(
            f"The proposal {path.name} has no photographs.",
            "Nothing was written. 'archivist survey FOLDER' looks at photographs.",
        )
    return _written(archive, sheet, path.parent, f"{path.stem}-photographs", progress)


def write_sheet_of_archive(
    archive: Archive,
    *,
    objects: Sequence[ObjectRecord] = (),
    every: bool = False,
    progress: Callable[[int], None] = lambda amount: None,
) -> WrittenSheet | None:
    """Writes the contact sheet of photographs that the archive holds, among its proposals.

    They are those whose views nobody has reviewed, with `every` the others too; `objects` are the
    pieces that they must show, where not all are meant. None where there is no such photograph.

    Raises:
        ArchiveError: where page or workbook cannot be written.
    """
    held = photographs_held(archive, objects=[o.id for o in objects], every=every)
    if not held:
        return None
    of = f" of {', '.join(record.name for record in objects)}" if objects else ""
    which = "photographs" if every else "photographs not reviewed"
    told = held_as_proposal(archive, held)
    sheet = sheet_of(archive, told, f"{which}{of}", of_archive=True)
    archive.proposals.mkdir(parents=True, exist_ok=True)
    return _written(archive, sheet, archive.proposals, slug(f"{which}{of}", 60), progress)


def _written(
    archive: Archive, sheet: Sheet, folder: Path, stem: str, progress: Callable[[int], None]
) -> WrittenSheet:
    """The pages and the workbook of that stem; a workbook that was edited is put aside."""
    workbook = folder / f"{stem}.xlsx"
    try:
        aside = _put_aside(workbook, stem)
        write_workbook(sheet, workbook)
        digest = digest_file(workbook).sha256
        pages = write_pages(archive, sheet, folder, stem, progress, digest)
    except OSError as problem:
        raise ArchiveError(
            f"The contact sheet {workbook.name} cannot be written to {folder}: "
            f"{problem.strerror or problem}.",
            "Nothing else was changed. Close the workbook if it is open somewhere, see that there "
            "is room on the disk, and try again.",
        ) from problem
    lines = sheet.lines
    doubtful = sum(not settled(line) for line in lines)
    return WrittenSheet(tuple(pages), workbook, len(lines), doubtful, aside)


def _put_aside(workbook: Path, stem: str) -> Path | None:
    """Moves a workbook out of the way that is not as it was written, so that no edit is lost."""
    if not workbook.exists() or digest_file(workbook).sha256 == workbook_of(workbook.parent, stem):
        return None
    number = 1
    while (aside := workbook.with_name(f"{stem}-edited-{number}.xlsx")).exists():
        number += 1
    workbook.rename(aside)
    return aside


def hand_back(
    archive: Archive,
    file: Path,
    plugins: Plugins,
    progress: Callable[[int], None] = lambda amount: None,
) -> HandedBack:
    """Takes back a list of photographs: into the proposal that waits with them, else as a new one.

    Raises:
        SelectionError: where the file is not there, or is no list of photographs.
    """
    told = survey(archive, (file,), plugins, progress=progress)
    said = [item for item in told.proposal.items if isinstance(item, ReviewPhotograph)]
    if any(source.columns for source in told.proposal.sources) or file.is_dir():
        for made in (*told.mappings, *((told.path,) if told.path else ())):
            made.unlink(missing_ok=True)
        raise SelectionError(
            f"{file.name} is no list of photographs: none of its columns names picture files and "
            "says what is on them.",
            "Nothing was changed. 'archivist survey' takes in spreadsheets of other kinds.",
        )
    reviewed = sum(item.says_something for item in said)
    waiting = sum(not item.photograph for item in said)
    if told.path is None:
        return HandedBack(None, told.proposal)
    for path in reversed(waiting_proposals(archive)):
        if path == told.path:
            continue
        records = archive.catalogue.all(ObjectRecord)
        together = joined(read_proposal(path), told.proposal, records)
        if together is not None:
            rewrite_proposal(path, together)
            told.path.unlink()
            return HandedBack(path, told.proposal, True, reviewed, waiting)
    return HandedBack(told.path, told.proposal, False, reviewed, waiting)
