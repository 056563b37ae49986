"""The date of a whole text that holds several."""

from __future__ import annotations

from collections.abc import Sequence

from archivist.model.base import Certainty
from archivist.model.dates import Date
from archivist.model.held import only_reported
from archivist.model.overlap import between, only_bounds, without_reach, years_in_common
from archivist.model.records import Attribution
from archivist.reading.result import Understood

_KINDS = ("period", "dynasty", "reign", "era", "style")
_FROM_TABLE = frozenset(
    f"{circa}{part}{kind}{joined}"
    for circa in ("", "circa ")
    for part in ("", "part of ")
    for kind in _KINDS
    for joined in ("", " range", " alternatives", ", or later", ", or earlier")
) | {"mark and period"}
"""Rules whose years come from the table of periods and were not said."""


def narrowest(dates: Sequence[Date]) -> Date | None:
    """Where one date lies within another, the narrower; where they do not, from first to last.

    'Ming dynasty, 16th century' is the 16th century; 'designed 1984, made 2000' is 1984 to 2000;
    '18th century, after 1713' is 1713 to 1799, since 'after' only bounds.
    """
    kept: Date | None = None
    for date in dates:
        common = years_in_common(kept, date) if kept is not None else None
        if kept is not None and only_bounds(date) is not only_bounds(kept):
            common = years_in_common(without_reach(kept), without_reach(date)) or common
            if common is not None:
                kept = between(*common, "where a date and a bound of it agree")
                continue
        if kept is None or common == (date.earliest, date.latest) or _about_within(date, kept):
            kept = date
        elif common != (kept.earliest, kept.latest):
            kept = _span(kept, date)
    return kept


def _about_within(date: Date, other: Date) -> bool:
    """Whether a 'circa' date lies within another but for the reach of its 'circa'."""
    if "~" not in date.edtf or None in (date.earliest, date.latest):
        return False
    common = years_in_common(date, other)
    if common is None or common[0] is None or common[1] is None:
        return False
    assert date.earliest is not None
    assert date.latest is not None
    length = date.latest - date.earliest + 1
    longer = (
        other.earliest is None
        or other.latest is None
        or (other.latest - other.earliest + 1 > length)
    )
    return longer and (common[1] - common[0] + 1) * 2 >= length


def _span(one: Date, other: Date) -> Date:
    open_first = one.earliest is None or other.earliest is None
    open_last = one.latest is None or other.latest is None
    return between(
        None if open_first else min(one.earliest or 0, other.earliest or 0),
        None if open_last else max(one.latest or 0, other.latest or 0),
        "the whole of several dates",
    )


def overall(understood: Understood) -> Date | None:
    """The date of the whole text, None where it has none.

    Years that were said go before those that a table gives a named period, where the two agree at
    all; within each, see `narrowest`.
    """
    attributions = [
        s
        for s in understood.statements
        if isinstance(s, Attribution)
        and s.reading is not None
        and s.certainty is not Certainty.REJECTED
        and s.of_the_piece
        and not (s.who or only_reported(s))
    ]
    of_periods = {
        (s.reading.start, s.reading.end)
        for s in attributions
        if s.term is not None and s.reading is not None and s.reading.rule in _FROM_TABLE
    }
    said: list[Date] = []
    from_table: list[Date] = []
    for one in attributions:
        if one.date is not None and one.reading is not None:
            place = (one.reading.start, one.reading.end)
            (from_table if place in of_periods else said).append(one.date)
    stated, held = narrowest(said), narrowest(from_table)
    if stated is None or held is None:
        return stated or held
    if years_in_common(stated, held) is not None and not only_bounds(stated):
        return stated
    return narrowest((held, stated))
