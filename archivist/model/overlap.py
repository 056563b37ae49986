"""Where dates agree: the narrow wins over the broad, and what contradicts it is left out.

'Edo period' and '18th century' said of one piece are no two opinions: both hold, and so it was
made in the years that they have in common.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from archivist.model import edtf
from archivist.model.dates import Date

SHARED = 10
"""Dates agree where they share at least this part of the shorter one's years: a tenth. Dynasties
that follow each other share the year of the change and agree in nothing (common practice, no
source)."""

AGREE = "the years in which several statements agree"
"""The convention of a date that is narrower than each of those it was made from."""


def years_in_common(one: Date, other: Date) -> tuple[int | None, int | None] | None:
    """The years that two dates have in common, None where they have none."""
    firsts = [y for y in (one.earliest, other.earliest) if y is not None]
    lasts = [y for y in (one.latest, other.latest) if y is not None]
    first, last = max(firsts, default=None), min(lasts, default=None)
    if first is not None and last is not None and first > last:
        return None
    return first, last


def only_bounds(date: Date) -> bool:
    """Whether a date says when at the earliest or at the latest, and not when."""
    return ".." in date.edtf


def without_reach(date: Date) -> Date:
    """A bound without the reach that a convention gives it: 'after 1713' has no end."""
    if not only_bounds(date):
        return date
    if date.edtf.startswith(".."):
        return Date(edtf=date.edtf, latest=date.latest)
    return Date(edtf=date.edtf, earliest=date.earliest)


def has_years(date: Date | None) -> bool:
    """Whether a date lies between years that are known, at one end at least."""
    return date is not None and not (date.earliest is None and date.latest is None)


def length(date: Date) -> float:
    """How many years a date may lie in, without end where it is open."""
    if date.earliest is None or date.latest is None:
        return math.inf
    return date.latest - date.earliest + 1


def between(first: int | None, last: int | None, convention: str) -> Date:
    """The date of some time within those years."""
    notation = edtf.interval(
        edtf.year(first) if first is not None else "", edtf.year(last) if last is not None else ""
    )
    return Date(edtf=edtf.expressible(notation), earliest=first, latest=last, convention=convention)


def agreed(dates: Sequence[Date]) -> tuple[Date | None, tuple[int, ...]]:
    """The years in which `dates` agree, and which of them those are (positions from 0).

    The first that has years stands; each further one that has years in common with what is left
    narrows it, one that has none contradicts it and is left out. Where what is left is just what
    one of them says, it is that date, with its notation.
    """
    kept: Date | None = None
    ground: list[int] = []
    for place, date in enumerate(dates):
        if not has_years(date):
            continue
        if kept is None:
            kept = date
        else:
            common = _common(kept, date)
            if common is None:
                continue
            kept = _narrower(kept, date, common)
        ground.append(place)
    return kept, tuple(ground)


def _common(one: Date, other: Date) -> tuple[int | None, int | None] | None:
    """The years in which two dates agree; a bound beside a date counts without its reach."""
    if only_bounds(one) is not only_bounds(other):
        one, other = without_reach(one), without_reach(other)
    common = years_in_common(one, other)
    shorter = min(length(one), length(other))
    if common is None or shorter == math.inf:
        return common
    shared = length(Date(earliest=common[0], latest=common[1]))
    return common if shared * SHARED >= shorter else None


def _narrower(kept: Date, date: Date, common: tuple[int | None, int | None]) -> Date:
    """`kept` or `date` where its years are those in common, else a date of those years."""
    for candidate in (kept, date):
        if common == (candidate.earliest, candidate.latest):
            return candidate
    return between(*common, AGREE)
