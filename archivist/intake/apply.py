"""Applies a proposal: files are copied in, then everything else changes in one action."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.erased import erased_names
from archivist.catalogue.events import EventType, Outcome, record_event
from archivist.catalogue.holdings import (
    damaged_originals,
    note_sound,
    original,
    write_inventory,
)
from archivist.digests import Digests, digest_file
from archivist.errors import FixityError, SelectionError, SourceError
from archivist.intake.erased import without_erased
from archivist.intake.files import inside
from archivist.intake.mapping import Mapping, taken_in_beside, write_mapping
from archivist.intake.pause import without_garbage_search
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    ChangeObject,
    CreateObject,
    DescribeView,
    FileFacts,
    KeepFile,
    LinkPhotograph,
    Proposal,
    ProposedSource,
    ReviewPhotograph,
    SameParty,
    SaveParty,
    TellPhotograph,
)
from archivist.intake.rows import INTAKE
from archivist.intake.work import Applied, Work

Progress = Callable[[int], None]


def size_of(archive: Archive, proposal: Proposal) -> int:
    """The bytes that applying would copy in."""
    return sum(
        item.file.size
        for item in _chosen(proposal)
        if isinstance(item, KeepFile) and not _is_there(archive, item)
    )


def apply(
    archive: Archive,
    proposal: Proposal,
    name: str,
    who: str,
    progress: Progress = lambda amount: None,
) -> Applied:
    """Does what the proposal says, as far as it is accepted and answered.

    Applied again it does only what is not done yet. A file that cannot be copied is named and
    the others go on. Stopped at any moment before the end, the catalogue is as it was, and files
    that were copied are not copied again.

    Raises:
        ArchiveError: where another command is at work on the archive.
        SelectionError: where an answer is none of its choices, or the proposal names a file that
            lies elsewhere than among the proposals.
        ArchiveError: where the archive's disk is full; nothing in the catalogue has changed.
    """
    with archive.at_work():
        return _applied(archive, proposal, name, who, progress)


def _applied(
    archive: Archive, proposal: Proposal, name: str, who: str, progress: Progress
) -> Applied:
    erased = erased_names(archive.catalogue.connection)
    if erased is not None:
        proposal, _ = without_erased(proposal, erased)
    items = _chosen(proposal)
    mappings = [(s, _mapping_of(archive, s)) for s in proposal.sources if s.columns]
    done = Applied(open_questions=sum(not q.answer for q in proposal.questions))
    held = _take_in_files(archive, proposal, items, done, progress)
    with without_garbage_search(), archive.catalogue.action(INTAKE, who, name) as action:
        work = Work(archive, action, proposal, held, done, erased)
        work.run(items)
        if not action.empty:
            outcome = Outcome.WARNING if done.failures else Outcome.SUCCESS
            record_event(
                archive.catalogue,
                EventType.INGESTION,
                f"proposal {name}: {done.records} records, {done.photographs} photographs, "
                f"{done.files} files",
                outcome,
                "\n".join(done.failures),
            )
            done.action = archive.catalogue.actions()[0].number
    write_inventory(archive.catalogue, archive.store)
    for source, mapping in mappings:
        columns = Mapping(source=source.id, column=source.columns)
        write_mapping(taken_in_beside(mapping), columns)
    return done


def _mapping_of(archive: Archive, source: ProposedSource) -> Path:
    """The file that says how the columns of a source are read, which lies among the proposals.

    Raises:
        SelectionError: where the proposal names one elsewhere.
    """
    name = source.mapping
    if not name or name in (".", "..") or any(sign in name for sign in "/\\:\0"):
        raise SelectionError(
            f"The proposal says that the columns of {source.location} are told in '{name}', which "
            "does not lie among the proposals.",
            "Nothing was changed. Do not trust a proposal that somebody else gave you; survey the "
            "source yourself.",
        )
    return archive.proposals / name


def _chosen(proposal: Proposal) -> list[AnyItem]:
    """The accepted items, and those of the answers that were given; parties and files first."""
    items: list[AnyItem] = [item for item in proposal.items if item.accept]
    same: list[SameParty] = []
    for _, choice in proposal.answered():
        items.extend(item for item in choice.items if item.accept)
        same.extend(choice.same)
    return sorted(items, key=lambda item: _ORDER[type(item)])


_ORDER: dict[type[AnyItem], int] = {
    SaveParty: 0,
    KeepFile: 1,
    CreateObject: 2,
    ChangeObject: 3,
    AddPhotograph: 4,
    LinkPhotograph: 5,
    DescribeView: 6,
    TellPhotograph: 7,
    ReviewPhotograph: 8,
}


def _is_there(archive: Archive, item: KeepFile) -> bool:
    """Whether the original is in the store, whole as far as its size tells and as nobody found it
    damaged."""
    facts = item.file
    if facts.sha256 in damaged_originals(archive.catalogue):
        return False
    known = original(archive.catalogue, facts.sha256)
    extension = known.extension if known else facts.extension
    path = archive.store.path_of(facts.sha256, extension)
    return path.is_file() and path.stat().st_size == facts.size


def _digests(archive: Archive, facts: FileFacts) -> Digests:
    """Both digests of a file that is in the store, read again only if nobody wrote them down, as
    where an earlier run was stopped after it had copied the file."""
    known = original(archive.catalogue, facts.sha256)
    if known is not None:
        return Digests(known.size, known.sha256, known.sha512)
    if facts.sha512:
        return Digests(facts.size, facts.sha256, facts.sha512)
    return digest_file(archive.store.path_of(facts.sha256, facts.extension))


def _take_in_files(
    archive: Archive,
    proposal: Proposal,
    items: Iterable[AnyItem],
    done: Applied,
    progress: Progress,
) -> dict[str, Digests]:
    """Copies every file in that is not there; gives the digests of all that now are."""
    places = {source.id: Path(source.location) for source in proposal.sources}
    held: dict[str, Digests] = {}
    for item in items:
        if not isinstance(item, KeepFile) or item.file.sha256 in held:
            continue
        facts = item.file
        try:
            if _is_there(archive, item):
                held[facts.sha256] = _digests(archive, facts)
                continue
            path = inside(places[item.source], facts.path, facts.path_bytes)
            known = original(archive.catalogue, facts.sha256)
            extension = known.extension if known else facts.extension
            held[facts.sha256] = archive.store.take_in(path, extension, progress, facts.sha256)
            note_sound(archive.catalogue, facts.sha256)
        except (SourceError, FixityError) as problem:
            done.failures.append(f"{problem.message} {problem.remedy}".strip())
    archive.store.sync()
    return held
