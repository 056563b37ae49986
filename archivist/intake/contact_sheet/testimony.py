"""What people said of photographs: of each, by its digest, one value, whoever said which part of it
where. It takes the place of what rules found, in findings as in what is proposed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import msgspec

from archivist.intake.contact_sheet.reviewing import is_spoken_of, time_is_reviewed
from archivist.intake.proposal import AnyItem, ReviewPhotograph, TellPhotograph
from archivist.model import Certainty, Depiction, Photograph, TakenAt

SAID = "as its owner says"
"""The ground of what a person said."""


@dataclass(frozen=True)
class Testimony:
    """What it shows (what is said not to be shown left out), when it was taken, of which picture it
    is a copy, by digest ('' of none); each None where nothing was said of that."""

    shows: tuple[Depiction, ...] | None = None
    taken: TakenAt | None = None
    copy_of: str | None = None

    def then(self, later: Testimony) -> Testimony:
        """This, with what was said later in its place."""
        return Testimony(
            self.shows if later.shows is None else later.shows,
            self.taken if later.taken is None else later.taken,
            self.copy_of if later.copy_of is None else later.copy_of,
        )


Testimonies = Mapping[str, Testimony]
"""What was said of photographs, by their digest."""


def together(*said: Testimonies) -> dict[str, Testimony]:
    """All that was said; of two words for one thing the later holds."""
    all_said: dict[str, Testimony] = {}
    for testimonies in said:
        for sha256, testimony in testimonies.items():
            all_said[sha256] = all_said.get(sha256, Testimony()).then(testimony)
    return all_said


def of_photographs(photographs: Iterable[Photograph]) -> dict[str, Testimony]:
    """What photographs hold by a person's word; those of whom nobody spoke are left out."""
    return {
        photograph.sha256: Testimony(
            shows=tuple(d for d in photograph.depictions if d.certainty is not Certainty.REJECTED)
            if is_spoken_of(photograph)
            else None,
            taken=next(t for t in photograph.taken if t.preferred)
            if time_is_reviewed(photograph)
            else None,
        )
        for photograph in photographs
        if is_spoken_of(photograph) or time_is_reviewed(photograph)
    }


def of_items(items: Iterable[AnyItem], digests: Mapping[str, str]) -> dict[str, Testimony]:
    """What items say of times and copies; `digests` are those of photographs by their UUID."""
    return together(
        *(
            {digests[item.photograph]: Testimony(taken=item.taken, copy_of=item.copy_of)}
            for item in items
            if isinstance(item, ReviewPhotograph) and item.photograph in digests
        )
    )


def without_guesses(
    items: Iterable[AnyItem], said: Testimonies, digests: Mapping[str, str]
) -> list[AnyItem]:
    """The items without guesses of what is a copy of what, where a person has spoken of it."""
    kept: list[AnyItem] = []
    for item in items:
        if isinstance(item, TellPhotograph):
            testimony = said.get(digests.get(item.photograph, ""))
            if testimony is not None and testimony.copy_of is not None:
                item = msgspec.structs.replace(item, derived_from="")
                if not item.taken and not item.captions:
                    continue
        kept.append(item)
    return kept
