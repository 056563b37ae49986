"""Dates in characters, in small Roman numerals, and as a tired typist writes them."""

from __future__ import annotations

import pytest

from archivist.model.dates import historical_year
from archivist.model.records import Attribution
from archivist.reading import load_tables, read_date_cell, read_dates

TABLES = load_tables()


def years(text: str) -> list[tuple[int | None, int | None]]:
    """The first and last years of all that a column of dates holds."""
    return [
        (
            None if s.date.earliest is None else historical_year(s.date.earliest),
            None if s.date.latest is None else historical_year(s.date.latest),
        )
        for s in read_date_cell(text, TABLES).statements
        if isinstance(s, Attribution) and s.date is not None
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("18世紀", (1700, 1799)),
        ("十八世紀", (1700, 1799)),
        ("十八世纪", (1700, 1799)),
        ("二十世紀", (1900, 1999)),
        ("18世紀後半", (1750, 1799)),
        ("19世紀初頭", (1800, 1825)),
        ("17世紀末～18世紀初", (1675, 1725)),
        ("清末", (1823, 1911)),
        ("明末清初", (1553, 1731)),
        ("宋元", (960, 1368)),
        ("清乾隆", (1736, 1795)),
        ("江戸時代後期", (1781, 1868)),
        ("1780年", (1780, 1780)),
        ("光緒三年", (1877, 1877)),
    ],
)
def test_dates_in_characters_are_read(text: str, expected: tuple[int, int]) -> None:
    assert years(text) == [expected]


def test_what_follows_a_date_in_characters_is_left_unread() -> None:
    understood = read_dates("清中期青花", TABLES)
    assert [understood.text[s.start : s.end] for s in understood.unread] == ["青花"]


def test_a_mark_in_characters_stays_a_mark() -> None:
    assert years("大清乾隆年製") == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("xviiie siècle", (1700, 1799)),
        ("fine xviii secolo", (1775, 1799)),
        ("sec. xviii", (1700, 1799)),
        ("prima metà '700", (1700, 1749)),
        ("époque Kangxi", (1662, 1722)),
        ("18C", (1700, 1799)),
        ("17th c. or later", (1600, None)),
        ("Ming or perhaps earlier", (None, 1644)),
    ],
)
def test_labels_of_other_hands_are_read(text: str, expected: tuple[int, int | None]) -> None:
    assert years(text) == [expected]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("18th centruy", (1700, 1799)),
        ("early eigteenth century", (1700, 1725)),
        ("darly 1900s", (1900, 1925)),
        ("Qing dynsaty", (1644, 1911)),
        ("Febuary 1912", (1912, 1912)),
    ],
)
def test_a_misspelt_date_word_is_read_with_less_confidence(
    text: str, expected: tuple[int, int]
) -> None:
    assert years(text) == [expected]
    (first, *_) = read_date_cell(text, TABLES).statements
    assert first.reading is not None
    assert float(first.reading.confidence) < 1
    assert "misspelt" in first.reading.rule


@pytest.mark.parametrize(
    "text",
    [
        "a pearly glaze, the country house, an abort",
        "The 18th gentry, the 19th sentry",
        "'700 pieces', xi jinping, vi et armis, xie",
    ],
)
def test_no_ordinary_word_of_a_running_text_is_mended_into_a_date(text: str) -> None:
    understood = read_dates(text, TABLES)
    assert understood.statements == ()
