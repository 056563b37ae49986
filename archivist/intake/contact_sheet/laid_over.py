"""What people said of photographs, laid over what is proposed of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.intake.audiences import Audiences
from archivist.intake.contact_sheet.deciding import Decider
from archivist.intake.contact_sheet.pieces import Pieces
from archivist.intake.contact_sheet.places import Photographs
from archivist.intake.contact_sheet.remembered import remembered_rows, spoken_of
from archivist.intake.contact_sheet.reviewing import (
    is_spoken_of,
    time_is_reviewed,
    with_review,
)
from archivist.intake.pictures.questions import (
    is_of_clock,
    is_of_new_records,
    without_photographs,
)
from archivist.intake.proposal import AddPhotograph, AnyItem, Asked, ReviewPhotograph
from archivist.intake.series import first_views
from archivist.model import Certainty
from archivist.reading.tables import Tables

Reviews = dict[str, ReviewPhotograph]
"""What was said of photographs, by their UUID."""


def reviews_in(items: Iterable[AnyItem]) -> Reviews:
    """What items say of photographs that are known; of two the later holds."""
    return {
        item.photograph: item
        for item in items
        if isinstance(item, ReviewPhotograph) and item.photograph and item.says_something
    }


def recalled(
    catalogue: Catalogue,
    tables: Tables,
    known: Photographs,
    pieces: Pieces,
    audiences: Audiences,
) -> Reviews:
    """What lists that were taken in say of photographs that are proposed."""
    decider = Decider(pieces, tables, audiences, known)
    said: Reviews = {}
    for row in remembered_rows(catalogue, tables):
        about = spoken_of(row, known)
        if about is not None and not about.held:
            decision = decider.decide(row.said, about, row.source)
            if decision.says_something:
                said[about.photograph.id] = ReviewPhotograph(
                    accept=True,
                    key=row.said.key,
                    source=row.source,
                    reasons=("as its owner said in a list that was taken in before",),
                    path=row.said.path,
                    photograph=about.photograph.id,
                    depictions=decision.depictions,
                    taken=decision.taken,
                    copy_of=decision.copy_of,
                )
    return said


def laid_over(items: Iterable[AnyItem], said: Reviews) -> list[AnyItem]:
    """The items with what a person said of photographs in place of guesses."""
    result: list[AnyItem] = []
    for item in items:
        if isinstance(item, AddPhotograph) and item.photograph.id in said:
            review = said[item.photograph.id]
            item = msgspec.structs.replace(
                item,
                photograph=with_review(
                    item.photograph, review.depictions, review.taken, review.copy_of
                ),
                certainty=review.certainty,
                reasons=tuple(dict.fromkeys((*item.reasons, *review.reasons))),
            )
        result.append(item)
    return _originals_freed(result, said)


def _originals_freed(items: list[AnyItem], said: Reviews) -> list[AnyItem]:
    """The items, where what a picture is said to be a copy of is itself no copy of that picture."""
    copies = {
        review.copy_of: item.photograph.sha256
        for item in items
        if isinstance(item, AddPhotograph)
        and (review := said.get(item.photograph.id)) is not None
        and review.copy_of
    }
    if not copies:
        return items
    return [
        msgspec.structs.replace(
            item, photograph=msgspec.structs.replace(item.photograph, derived_from="")
        )
        if isinstance(item, AddPhotograph)
        and item.photograph.derived_from
        and copies.get(item.photograph.sha256) == item.photograph.derived_from
        else item
        for item in items
    ]


def still_open(questions: Iterable[Asked], items: Sequence[AnyItem]) -> list[Asked]:
    """The questions that are not settled by what a person has said of the photographs."""
    added = [item.photograph for item in items if isinstance(item, AddPhotograph)]
    reviewed = {p.id for p in added if is_spoken_of(p)}
    timed = {p.id for p in added if time_is_reviewed(p)}
    placed = {
        f"regions\n{p.sha256}"
        for p in added
        if all(d.region for d in p.depictions if d.certainty is not Certainty.REJECTED)
    }
    result: list[Asked] = []
    for question in questions:
        about = {
            item.photograph
            for choice in question.choices
            for item in choice.items
            if not isinstance(item, AddPhotograph) and hasattr(item, "photograph")
        }
        said = timed if is_of_clock(question) else reviewed
        if question.key in placed or (about and about <= said):
            continue
        if about & said and (is_of_clock(question) or is_of_new_records(question)):
            result.append(without_photographs(question, said))
            continue
        if question.key.startswith("first views\n") and about & reviewed:
            sources = {item.source for choice in question.choices for item in choice.items}
            of = [i for i in items if i.source in sources]
            result.extend(first_views(of, next(iter(sources))))
            continue
        result.append(question)
    return result
