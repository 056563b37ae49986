"""Dates among words of provenance are found in six languages and read as far as they are sure."""

from __future__ import annotations

import pytest

from archivist.reading.moments import date_of, find_dates
from archivist.reading.sums import sums_in, without_sums
from archivist.reading.tables import load_tables

TABLES = load_tables()


@pytest.mark.parametrize(
    ("words", "date", "until"),
    [
        ("Kassel, bis 1938", "", "1938"),
        ("von 1920 bis 1938", "1920", "1938"),
        ("le 12 juin 1934, Paris", "1934-06-12", ""),
        ("desde 1920 hasta 1938", "1920", "1938"),
        ("dal 1920 al 1938", "1920", "1938"),
        ("tot 1938", "", "1938"),
        ("until her death in 1951", "", "1951"),
    ],
)
def test_a_stay_has_its_beginning_and_its_end(words: str, date: str, until: str) -> None:
    (found,) = find_dates(words, TABLES)
    assert (found.date.edtf if found.date else "") == date
    assert (found.until.edtf if found.until else "") == until


@pytest.mark.parametrize(
    ("words", "edtf"),
    [
        ("12/6/63", "1963"),
        ("31/5/1961", "1961-05-31"),
        ("5/31/1961", "1961-05-31"),
        ("3/1971", "1971-03"),
    ],
)
def test_a_day_in_figures_is_as_narrow_as_it_can_only_be(words: str, edtf: str) -> None:
    found = date_of(words, TABLES)
    assert found is not None
    assert found.edtf == edtf


@pytest.mark.parametrize(
    ("words", "left"),
    [
        ("bought for £350, 1962", "bought , 1962"),
        ("1,200 guineas by Marr", "by Marr"),
        ("Köln, DM 1200, 1971", "Köln, , 1971"),
        ("5 000 francs", ""),
        ("US$ 4,500 the pair", ""),
        ("£3 10s 6d", ""),
    ],
)
def test_a_sum_is_blanked_and_nothing_else(words: str, left: str) -> None:
    blanked = without_sums(words, TABLES)
    assert len(blanked) == len(words)
    assert " ".join(blanked.split()) == left
    assert len(sums_in(words, TABLES)) == 1


@pytest.mark.parametrize("words", ["seit dem 1200 Jahr", "at 14 Bond Street", "no. 350", "in 1962"])
def test_a_number_without_money_is_no_sum(words: str) -> None:
    assert without_sums(words, TABLES) == words
