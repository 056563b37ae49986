"""Asks what the place of a photograph in its series may mean; nothing is taken from it unasked."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import PurePosixPath

from archivist.intake.ordering import began_again, in_series
from archivist.intake.pictures.taken import CAMERA
from archivist.intake.proposal import AddPhotograph, AnyItem, Asked, Choice, DescribeView
from archivist.model import View

FEWEST_PIECES = 3
"""Pieces that must be photographed in that way before it is asked: a habit, not a chance."""


def first_views(items: Iterable[AnyItem], source: str) -> list[Asked]:
    """Whether the first photograph of each series is the overall view, asked once for all.

    A series are the photographs in one folder of one piece, in the order of the camera's clock or
    else of their names, of which none is known to be an overall view and the first has no word for
    its view.
    """
    series: dict[tuple[str, str], list[AddPhotograph]] = {}
    for item in items:
        if not isinstance(item, AddPhotograph) or item.photograph.derived_from:
            continue  # copies are no series of their own
        if len(item.photograph.depictions) == 1:
            folder = str(PurePosixPath(item.path).parent)
            series.setdefault((item.photograph.depictions[0].object, folder), []).append(item)
    firsts = []
    for pictures in series.values():
        _put_in_order(pictures)
        views = [item.photograph.depictions[0].view for item in pictures]
        if len(views) > 1 and views[0] is View.UNKNOWN and View.OVERALL not in views:
            firsts.append(pictures[0])
    if len(firsts) < FEWEST_PIECES:
        return []
    keys = hashlib.sha256("\n".join(sorted(i.key for i in firsts)).encode("utf-8")).hexdigest()
    yes = Choice(
        answer="yes",
        items=tuple(
            DescribeView(
                accept=True,
                key=item.key,
                source=source,
                path=item.path,
                photograph=item.photograph.id,
                object=item.photograph.depictions[0].object,
                view=View.OVERALL,
            )
            for item in firsts
        ),
    )
    named = ", ".join(item.path for item in firsts[:3])
    return [
        Asked(
            key=f"first views\n{keys}",
            source="",
            asks=(
                f"In {len(firsts)} series of photographs no name says which view each is. Is the "
                "first of each series the overall view?"
            ),
            about=f"{named} and {len(firsts) - 3} more" if len(firsts) > 3 else named,
            choices=(yes, Choice(answer="no")),
        )
    ]


def _put_in_order(pictures: list[AddPhotograph]) -> None:
    """In the order of the camera's clock where it tells of all, else of names."""
    clocks = {item.key: _clock(item) for item in pictures}
    again = began_again([item.path for item in pictures])
    by_clock = all(clocks.values())
    pictures.sort(
        key=lambda item: (clocks[item.key] if by_clock else "", in_series(item.path, again))
    )


def _clock(item: AddPhotograph) -> str:
    """When the camera says a photograph was taken, to the second; '' where it does not say."""
    for taken in item.photograph.taken:
        told = taken.reading is None or float(taken.reading.confidence) > 0.2
        if taken.witness == CAMERA[0] and "T" in taken.date.edtf and told:
            return taken.date.edtf[:19]
    return ""
