"""Where dates agree: the narrow wins, and what agrees is contained in all that it rests on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.model import Date
from archivist.model.overlap import agreed, only_bounds, without_reach
from tests.strategies import dates


def years(first: int | None, last: int | None) -> Date:
    return Date(edtf=f"{first or '..'}/{last or '..'}", earliest=first, latest=last)


@pytest.mark.parametrize(
    ("said", "held"),
    [
        ([(1603, 1868), (1700, 1799)], (1700, 1799)),
        ([(1700, 1799), (1603, 1868)], (1700, 1799)),
        ([(1368, 1644), (1601, 1700)], (1601, 1644)),
        ([(1700, 1799), (1740, 1740)], (1740, 1740)),
        ([(1700, 1799), (1714, None)], (1714, 1799)),
        ([(1600, None), (None, 1700)], (1600, 1700)),
        ([(1700, 1799), (1900, 1925)], (1700, 1799)),
    ],
)
def test_the_years_that_dates_share_are_held(
    said: list[tuple[int | None, int | None]], held: tuple[int | None, int | None]
) -> None:
    kept, _ = agreed([years(*ends) for ends in said])
    assert kept is not None
    assert (kept.earliest, kept.latest) == held


def test_dynasties_that_follow_each_other_do_not_agree_in_the_year_of_the_change() -> None:
    kept, ground = agreed([years(1271, 1368), years(1368, 1644)])
    assert kept == years(1271, 1368)
    assert ground == (0,)


def test_a_bound_narrows_without_the_reach_that_a_convention_gives_it() -> None:
    after = Date(edtf="1713/..", earliest=1713, latest=1743, convention="after: 30 years")
    kept, _ = agreed([years(1700, 1799), after])
    assert kept is not None
    assert (kept.earliest, kept.latest) == (1713, 1799)


@given(st.lists(dates(), max_size=5))
def test_what_is_held_lies_within_all_that_it_rests_on(said: list[Date]) -> None:
    kept, ground = agreed(said)
    assert (kept is None) == (not ground)
    mixed = len({only_bounds(said[place]) for place in ground}) > 1
    for place in ground:
        date = without_reach(said[place]) if mixed else said[place]
        assert kept is not None
        first, last = (without_reach(kept) if mixed else kept).earliest, kept.latest
        assert date.earliest is None or (first is not None and first >= date.earliest)
        if not (mixed and only_bounds(kept)):
            assert date.latest is None or (last is not None and last <= date.latest)
