"""Sizes are read as they are written, and years are compared honestly."""

from __future__ import annotations

from decimal import Decimal

import pytest

from archivist.errors import SelectionError
from archivist.finding.order import natural
from archivist.finding.query import sizes_of
from archivist.finding.search import meant, needs_of, within


@pytest.mark.parametrize(
    ("typed", "sizes"),
    [
        ("5cm/20cm", (50, 200)),
        ("5/20cm", (50, 200)),
        ("5/20", (50, 200)),
        ("120mm", (120, 120)),
        ("../8in", (None, Decimal("203.2"))),
        ("1.5 m/..", (1500, None)),
        ("7,5/8,5", (75, 85)),
        ("/2ft", (None, Decimal("609.6"))),
        ("2 CM / 3 In", (20, Decimal("76.2"))),
    ],
)
def test_sizes_are_read_in_any_unit_of_length(typed: str, sizes: tuple[object, object]) -> None:
    assert sizes_of(typed) == sizes


@pytest.mark.parametrize("typed", ["", "..", "../..", "5kg", "-5cm", "5cm/20cm/30cm", "big", "5e3"])
def test_what_is_no_range_of_sizes_is_told(typed: str) -> None:
    with pytest.raises(SelectionError, match="is not a range of sizes"):
        sizes_of(typed)


def test_a_range_that_ends_before_it_begins_is_told() -> None:
    with pytest.raises(SelectionError, match="ends before it begins"):
        sizes_of("20cm/5cm")


@pytest.mark.parametrize(
    ("dated", "asked", "possibly", "certainly"),
    [
        ((1736, 1795), (1700, 1800), True, True),
        ((1700, 1800), (1736, 1795), True, False),
        ((1700, 1735), (1736, 1795), False, False),
        ((None, 1800), (1736, 1800), True, False),
        ((1736, None), (1736, None), True, True),
        ((None, None), (None, 1800), False, False),
    ],
)
def test_a_date_lies_possibly_or_certainly_within_years(
    dated: tuple[int | None, int | None],
    asked: tuple[int | None, int | None],
    possibly: bool,
    certainly: bool,
) -> None:
    assert within(dated, asked) == (possibly, certainly)


def test_a_value_is_meant_by_itself_before_its_likes_and_those_before_what_begins_so() -> None:
    values = ("bowl", "bowl stand", "Qianlong", "qi", "vase")
    assert meant("BÔWL", values) == ("bowl",)
    assert meant("Ch'ien-lung", values) == ("Qianlong",)
    assert meant("bow", values) == ("bowl", "bowl stand")
    assert meant("jar", values) == ()
    assert meant("", values) == ()


def test_a_name_of_several_words_is_needed_as_one() -> None:
    names = {"clair de lune": ("=x",), "lune": ("=y",)}
    assert [need.signs for need in needs_of("clair de lune bowl", names)] == [("=x",), ()]
    assert [need.words for need in needs_of("clair de l", names)] == [("clair", "de", "l")]


def test_numbers_in_words_are_put_in_order_by_their_size() -> None:
    numbers = ["HW 10", "hw 9", "HW 9", "HW 9a", "421", "0422", "", "É 1", "E 2"]
    wanted = ["", "421", "0422", "É 1", "E 2", "hw 9", "HW 9", "HW 9a", "HW 10"]
    assert sorted(numbers, key=natural) == wanted
