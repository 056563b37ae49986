"""Dates as they are written in several languages and hands, one class of forms a test."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model.base import Certainty
from archivist.model.records import Aspect, Attribution
from archivist.reading.dates import read_dates
from archivist.reading.tables import load_tables

TABLES = load_tables()
CIRCA_REACH = 25
"""Years that no 'circa' reaches beyond, by the conventions of the tables."""


def dates(text: str) -> list[Attribution]:
    found = read_dates(text, TABLES).statements
    return [s for s in found if isinstance(s, Attribution) and s.aspect is Aspect.DATE]


def years(text: str) -> list[tuple[int | None, int | None]]:
    return [(s.date.earliest, s.date.latest) for s in dates(text) if s.date is not None]


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("Faience, XVIc, repaired", 1500, 1599),
        ("Zinn, XVIII, verbogen", 1700, 1799),
        ("segundo tercio del XVII", 1633, 1666),
        ("ultimo quarto del XVI", 1575, 1599),
        ("2e moitié 17e, restauré", 1650, 1699),
        ("the first half of the nineteenth.", 1800, 1849),
        ("première moitié du dix-huitième", 1700, 1749),
    ],
)
def test_a_century_may_leave_its_word_out(text: str, first: int, last: int) -> None:
    assert years(text) == [(first, last)]


@pytest.mark.parametrize("text", ["plate XVIII", "Louis XVIII", "late 17th table", "chapter XIV."])
def test_an_ordinal_of_something_else_is_no_century(text: str) -> None:
    assert not years(text)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("17. Jh., 1. Hälfte", 1600, 1649),
        ("18th century, second quarter", 1725, 1749),
        ("XVIe siècle (fin)", 1575, 1599),
        ("siglo XVII, primera mitad", 1600, 1649),
    ],
)
def test_a_part_may_stand_behind_its_century(text: str, first: int, last: int) -> None:
    assert years(text) == [(first, last)]


def test_what_else_follows_a_century_is_no_part_of_it() -> None:
    assert years("17th century, later gilding") == [(1600, 1699)]
    assert years("18th century, first published in Delft") == [(1700, 1799)]


@pytest.mark.parametrize(
    ("text", "century"),
    [
        ("vroeg negentiende-eeuws", None),
        ("zestiende-eeuwse kan", 16),
        ("achtzehntes Jahrhundert", 18),
        ("aus dem fünfzehnten Jahrhundert", 15),
        ("secolo diciassettesimo", 17),
        ("siglo dieciséis", 16),
        ("quinzième siècle", 15),
        ("credenza ottocentesca", 19),
    ],
)
def test_centuries_are_spelled_out_in_six_languages(text: str, century: int | None) -> None:
    found = years(text)
    if century is None:
        assert found == [(1800, 1825)]
    else:
        assert found == [((century - 1) * 100, century * 100 - 1)]


@pytest.mark.parametrize(
    ("text", "year"),
    [
        ("seventeen sixty-two", 1762),
        ("eighteen-oh-four", 1804),
        ("eighteen hundred and twelve", 1812),
        ("siebzehnhundertzweiundsechzig", 1762),
        ("zeventienhonderdtweeënzestig", 1762),
        ("zeventientweeënzestig", 1762),
        ("mille sept cent soixante-deux", 1762),
        ("dix-sept cent soixante-deux", 1762),
        ("millesettecentosessantadue", 1762),
        ("mil setecientos sesenta y dos", 1762),
        ("MDCCLXII", 1762),
        ("17[62]", 1762),
        ("一七六二年", 1762),
    ],
)
def test_years_are_spelled_out_in_letters_and_other_figures(text: str, year: int) -> None:
    assert years(text) == [(year, year)]


@pytest.mark.parametrize(
    "text", ["fifteen twelve-inch plates", "sixteen, seventy", "MD", "MCM", "two hundred pieces"]
)
def test_other_numbers_in_words_are_no_years(text: str) -> None:
    assert not years(text)


def test_a_question_mark_for_a_figure_leaves_the_figure_open() -> None:
    assert [s.date.edtf for s in dates("176?") if s.date] == ["176X"]
    assert [s.date.edtf for s in dates("17??") if s.date] == ["17XX"]
    [asked] = dates("17[62?]")
    assert asked.certainty is Certainty.PROBABLE


@pytest.mark.parametrize("text", ["l7th century", "I7th c."])
def test_a_letter_typed_for_a_figure_is_a_likely_slip(text: str) -> None:
    [found] = dates(text)
    assert found.date is not None
    assert (found.date.earliest, found.date.latest) == (1600, 1699)
    assert found.certainty is Certainty.PROBABLE
    assert found.reading is not None
    assert float(found.reading.confidence) <= 0.7


def test_soft_hyphens_do_not_part_words() -> None:
    assert years("eigh\u00adteenth cen\u00adtury") == [(1700, 1799)]


def test_a_stock_number_like_a_day_is_no_range_of_years() -> None:
    assert not years("1801-13-01")


@pytest.mark.parametrize(
    "text",
    [
        "not later than 1695",
        "nicht später als 1695",
        "spätestens 1695",
        "pas plus tard que 1695",
        "au plus tard 1695",
        "niet later dan 1695",
        "non oltre il 1695",
        "hasta 1695",
        "fino al 1695",
        "jusqu'en 1695",
        "tot 1695",
    ],
)
def test_a_latest_year_is_a_bound(text: str) -> None:
    assert years(text) == [(None, 1695)]


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("no earlier than the 17th century", 1600),
        ("nicht vor dem 17. Jh.", 1600),
        ("frühestens 1650", 1650),
        ("au plus tôt 1650", 1650),
        ("op zijn vroegst 1650", 1650),
        ("non prima del 1650", 1650),
        ("no antes de 1650", 1650),
    ],
)
def test_an_earliest_year_is_the_beginning_of_what_it_names(text: str, first: int) -> None:
    assert years(text) == [(first, None)]


def test_bounds_by_a_century_say_the_same_in_both_notations() -> None:
    for text, notation, ends in (
        ("before the 17th century", "../1600", (None, 1600)),
        ("after the 17th century", "1699/..", (1699, None)),
        ("no later than the 17th century", "../1699", (None, 1699)),
    ):
        [found] = dates(text)
        assert found.date is not None
        assert found.date.edtf == notation
        assert (found.date.earliest, found.date.latest) == ends


@pytest.mark.parametrize("text", ["between 1723 and 1735", "zwischen 1723 und 1735"])
def test_two_ends_are_one_date(text: str) -> None:
    assert years(text) == [(1723, 1735)]
    assert years("tra il 1723 e il 1735") == [(1723, 1735)]


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [("jin/yuan", 1115, 1368), ("Song or Yuan", 960, 1368), ("tang-song", 618, 1279)],
)
def test_two_dynasties_side_by_side_need_no_word_for_what_they_are(
    text: str, first: int, last: int
) -> None:
    assert years(text) == [(first, last)]


PARTS = st.sampled_from(
    ("", "early ", "mid ", "late ", "first half of the ", "last quarter of the ")
)
LEADS = st.sampled_from(
    ("", "c. ", "before ", "after ", "not later than ", "no earlier than ", "by ", "until ")
)
ENDS = st.sampled_from(("", " or later", " or earlier", " or after", "?"))
CORES = st.one_of(
    st.integers(1300, 1999).map(str),
    st.integers(13, 20).map(lambda n: f"{n}th century"),
    st.integers(130, 199).map(lambda n: f"{n}0s"),
    st.sampled_from(("Kangxi period", "Ming dynasty", "1710-20", "1750 or 1752", "17th-18th c.")),
)


@settings(max_examples=400, deadline=None)
@given(LEADS, PARTS, CORES, ENDS)
def test_edtf_and_years_never_disagree(lead: str, part: str, core: str, end: str) -> None:
    for found in dates(f"{lead}{part}{core}{end}"):
        assert found.date is not None
        first, last = _ends_of(found.date.edtf)
        reach = CIRCA_REACH if "~" in found.date.edtf or "%" in found.date.edtf else 0
        earliest = -math.inf if found.date.earliest is None else found.date.earliest
        latest = math.inf if found.date.latest is None else found.date.latest
        assert first - reach <= earliest <= first or earliest == first
        assert last <= latest <= last + reach or latest == last


def _ends_of(notation: str) -> tuple[float, float]:
    parts = re.split(r"/|\.\.(?!/)|,", notation.strip("[]")) if "/" not in notation else None
    ends = notation.split("/") if parts is None else parts
    low, high = ends[0], ends[-1]
    first = -math.inf if low in ("..", "") else int(re.sub(r"[~?%]", "", low).replace("X", "0"))
    last = math.inf if high in ("..", "") else int(re.sub(r"[~?%]", "", high).replace("X", "9"))
    return first, last
