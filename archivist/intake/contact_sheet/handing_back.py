"""Lists of photographs within a survey, and a sheet handed back to a proposal that waits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.hooks import FoundRow, Trouble
from archivist.intake.audiences import audiences_of
from archivist.intake.choose import waiting_proposals
from archivist.intake.contact_sheet.findings import findings_with
from archivist.intake.contact_sheet.laid_over import (
    laid_over,
    recalled,
    reviews_in,
    still_open,
)
from archivist.intake.contact_sheet.list_intake import ListIntake
from archivist.intake.contact_sheet.pieces import Pieces
from archivist.intake.contact_sheet.places import add_proposed, photographs_known
from archivist.intake.contact_sheet.remembered import anything_remembered, copies_said
from archivist.intake.contact_sheet.reviewing import is_spoken_of, time_is_reviewed
from archivist.intake.contact_sheet.testimony import (
    of_items,
    of_photographs,
    together,
    without_guesses,
)
from archivist.intake.pictures.findings import Findings
from archivist.intake.proposal import (
    AddPhotograph,
    AnyItem,
    Asked,
    CreateObject,
    KeepFile,
    LinkPhotograph,
    Proposal,
    ProposedSource,
    ReviewPhotograph,
    read_proposal,
)
from archivist.model import ObjectRecord, Photograph
from archivist.plugins import Plugins
from archivist.reading.tables import Tables


@dataclass(frozen=True)
class FoundList:
    """A list of photographs among the sources of a survey."""

    source: ProposedSource
    rows: Sequence[FoundRow]


@dataclass
class WithLists:
    """What a survey comes to once lists of photographs are laid over it."""

    items: list[AnyItem]
    questions: list[Asked]
    found: Findings
    unchanged: int = 0
    troubles: list[tuple[ProposedSource, list[Trouble]]] = field(default_factory=list)


def with_lists(
    archive: Archive,
    lists: Sequence[FoundList],
    items: Sequence[AnyItem],
    questions: Sequence[Asked],
    found: Findings,
    sources: Iterable[ProposedSource],
    records: Iterable[ObjectRecord],
    tables: Tables,
    plugins: Plugins,
) -> WithLists:
    """The items, questions and findings of a survey with what people said of the photographs.

    People's words are in `lists`, and in those that the archive took in before.
    """
    records = list(records)
    names = {record.id: record.name for record in records}
    held = of_photographs(_reviewed(archive, found))
    found = findings_with(found, held, names)
    result = WithLists(list(items), list(questions), found)
    result.items = _unreviewed(archive, result.items)
    if not lists and not anything_remembered(archive.catalogue):
        return result
    waiting = _waiting(archive) if lists else []
    known = photographs_known(archive.catalogue, *waiting)
    add_proposed(known, items, {source.id: source.location for source in sources})
    pieces = Pieces([*records, *_proposed_records(waiting)], tables)
    audiences = audiences_of(archive, plugins)
    said = recalled(archive.catalogue, tables, known, pieces, audiences)
    result.items = laid_over(result.items, said)
    for listed in lists:
        name = Path(listed.source.location).name
        intake = ListIntake(
            archive.catalogue, listed.source.id, name, known, pieces, tables, audiences
        )
        handed = intake.take(listed.rows)
        result.items = laid_over(result.items, reviews_in(handed.items))
        if not handed.items and not handed.questions:
            kept = [i for i in result.items if i.source != listed.source.id]
            result.items = kept
        result.items.extend(handed.items)
        result.questions.extend(handed.questions)
        result.unchanged += handed.unchanged
        result.troubles.append((listed.source, handed.troubles))
    digests = known.digests()
    added = (i.photograph for i in result.items if isinstance(i, AddPhotograph))
    all_said = together(
        held,
        copies_said(archive.catalogue, tables, known),
        of_items((*said.values(), *result.items), digests),
        of_photographs(added),
    )
    names |= {record.id: record.name for record in pieces.records.values()}
    result.found = findings_with(found, all_said, names)
    result.items = without_guesses(result.items, all_said, digests)
    result.questions = still_open(result.questions, result.items)
    return result


def _reviewed(archive: Archive, found: Findings) -> list[Photograph]:
    """The photographs among those found that the archive has and of whom a person spoke."""
    digests = dict.fromkeys(file.sha256 for file in found.photographs if file.known)
    held = (p for sha256 in digests for p in archive.catalogue.keyed(Photograph, sha256)[:1])
    return [p for p in held if not p.withdrawn and (is_spoken_of(p) or time_is_reviewed(p))]


def _waiting(archive: Archive) -> list[Proposal]:
    """The proposals that are not applied yet; one that cannot be read says so when it is used."""
    proposals = []
    for path in waiting_proposals(archive):
        try:
            proposals.append(read_proposal(path))
        except SelectionError:
            continue
    return proposals


def _proposed_records(proposals: Iterable[Proposal]) -> list[ObjectRecord]:
    return [i.record for p in proposals for i in p.items if isinstance(i, CreateObject)]


def _unreviewed(archive: Archive, items: Iterable[AnyItem]) -> list[AnyItem]:
    """The items without later guesses about photographs that a person has reviewed."""
    kept = []
    for item in items:
        if isinstance(item, LinkPhotograph):
            photograph = archive.catalogue.get(item.photograph, Photograph)
            if photograph is not None and is_spoken_of(photograph):
                continue
        kept.append(item)
    return kept


def joined(
    waiting: Proposal, handed: Proposal, records: Iterable[ObjectRecord] = ()
) -> Proposal | None:
    """The waiting proposal with what a handed-back list says of its photographs.

    `records` are those of the archive. None where the list says nothing of any of them.
    """
    added = {i.photograph.id for i in waiting.items if isinstance(i, AddPhotograph)}
    said = reviews_in(handed.items)
    if not added & said.keys():
        return None
    replaced = {
        (i.source, i.key if isinstance(i, KeepFile) else i.row)
        for i in handed.items
        if isinstance(i, KeepFile | ReviewPhotograph)
    }
    stay = [
        i
        for i in waiting.items
        if not (isinstance(i, ReviewPhotograph) and (i.source, i.row) in replaced)
        and not (isinstance(i, KeepFile) and (i.source, i.key) in replaced)
    ]
    items = [*laid_over(stay, said), *handed.items]
    sources = {source.id: source for source in (*waiting.sources, *handed.sources)}
    asked = {question.key: question for question in (*waiting.questions, *handed.questions)}
    digests = {
        i.photograph.id: i.photograph.sha256 for i in waiting.items if isinstance(i, AddPhotograph)
    }
    added_now = (i.photograph for i in items if isinstance(i, AddPhotograph))
    all_said = together(of_items(handed.items, digests), of_photographs(added_now))
    names = {r.id: r.name for r in (*records, *_proposed_records([waiting]))}
    return msgspec.structs.replace(
        waiting,
        found=findings_with(waiting.found, all_said, names),
        sources=tuple(sources.values()),
        items=tuple(without_guesses(items, all_said, digests)),
        questions=tuple(still_open(asked.values(), items)),
        troubles=(*waiting.troubles, *handed.troubles),
    )
