"""Dates in words: nothing sharpened, and the words as stated are kept."""

from __future__ import annotations

import pytest

from archivist import wording
from archivist.model import (
    Date,
)


@pytest.mark.parametrize(
    ("date", "shown"),
    [
        (Date(earliest=1987, latest=1987), "1987"),
        (Date(earliest=1775, latest=1825), "1775–1825"),
        (Date(earliest=1644), "not before 1644"),
        (Date(latest=1644), "not after 1644"),
        (Date(earliest=-205, latest=8), "206 BCE–8 CE"),
        (Date(earliest=-205, latest=-100), "206 BCE–101 BCE"),
        (Date(earliest=0, latest=0), "1 BCE"),
        (Date(), ""),
    ],
)
def test_years_are_shown_as_historians_count_them(date: Date, shown: str) -> None:
    # ISO 8601 counts a year 0, historians do not: year 0 is 1 BCE, -0205 is 206 BCE.
    assert wording.years_shown(date) == shown


def test_a_date_keeps_the_words_it_was_stated_in_and_adds_years_only_where_they_say_more() -> None:
    date = Date(edtf="1775/1825", earliest=1775, latest=1825)
    assert wording.date_shown(date, "late Qianlong or after") == (
        "late Qianlong or after (1775–1825)"
    )
    assert wording.date_shown(date, "1775 to 1825") == "1775 to 1825"
    assert wording.date_shown(date) == "1775–1825"
    assert wording.date_shown(Date(edtf="XXXX"), "undated") == "undated"
    assert wording.date_shown(None, "old") == "old"


def test_a_convention_that_made_years_of_words_is_named() -> None:
    date = Date(edtf="1900~", earliest=1895, latest=1905, convention="circa: 5 years either way")
    assert wording.date_shown(date, "c. 1900") == ("c. 1900 (1895–1905; circa: 5 years either way)")


@pytest.mark.parametrize(
    ("edtf", "shown"),
    [
        ("1987", "1987"),
        ("1987-05", "1987-05"),
        ("1987-05-12", "1987-05-12"),
        ("1987?", "1987 (uncertain)"),
        ("1987~", "about 1987"),
        ("1987%", "about 1987 (uncertain)"),
    ],
)
def test_a_date_without_words_is_shown_as_close_and_as_sure_as_its_notation(
    edtf: str, shown: str
) -> None:
    assert wording.date_shown(Date(edtf=edtf, earliest=1987, latest=1987)) == shown
