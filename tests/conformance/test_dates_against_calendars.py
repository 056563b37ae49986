"""Reigns, eras, sexagenary and Islamic years against independent libraries and tables.

Sources: `lunar-python` and `sxtwl` (sexagenary years), `japanera` (Japanese eras), and the table of
Ming and Qing reigns with their days in `../shared/trade/reigns.csv`, where they are present.
Where they may disagree, a tolerance says so.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from archivist.model.dates import historical_year
from archivist.reading.dates import overall, read_dates
from archivist.reading.dates.calendars import (
    hijri_years,
    sexagenary_position,
    sexagenary_years,
)
from archivist.reading.dates.lore import lore_of
from archivist.reading.tables import PeriodRow, load_tables

REIGNS = Path(__file__).resolve().parents[3] / "shared" / "trade" / "reigns.csv"
TABLES = load_tables()
LORE = lore_of(TABLES)

ERA_YEARS_APART = 1
"""An era begins within a calendar year; tables of years differ by one over which year that is."""


def reign(label: str) -> PeriodRow:
    """The reign of this label."""
    return next(r for r in TABLES.periods if r.kind == "reign" and r.label == label)


@pytest.mark.skipif(
    not REIGNS.is_file(), reason="the table of reign days is not beside the project"
)
def test_reigns_of_ming_and_qing_agree_with_the_table_of_days() -> None:
    with REIGNS.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 26
    for row in rows:
        ours = reign(row["pinyin"])
        assert (ours.first, ours.last) == (
            int(row["first_year"]),
            int(row["last_year_conventional"]),
        )
        assert row["chars"] in ours.characters
        assert ours.within == row["dynasty"]
        assert LORE.periods.exactly(row["wade_giles"])
        assert ours in LORE.periods.exactly(row["wade_giles"])
        position = LORE.cycle[row["ganzhi_first"]]
        assert ours.first in sexagenary_years(position, ours.first, ours.first)


def test_sexagenary_years_agree_with_lunar_python() -> None:
    lunar_python = pytest.importorskip("lunar_python", reason="lunar-python is not installed")
    characters = {place: name for name, place in LORE.cycle.items()}
    assert len(characters) == 60
    for year in range(1300, 2050):
        theirs = lunar_python.Lunar.fromYmd(year, 6, 1).getYearInGanZhi()
        (place,) = (p for p in characters if year in sexagenary_years(p, year, year))
        assert characters[place] == theirs, year


def test_sexagenary_years_agree_with_sxtwl() -> None:
    sxtwl = pytest.importorskip("sxtwl", reason="sxtwl is not installed")
    for year in range(1368, 1950, 7):
        found = sxtwl.fromSolar(year, 6, 1).getYearGZ()
        place = sexagenary_position(found.tg + 1, found.dz + 1)
        assert place is not None
        assert sexagenary_years(place, year, year) == (year,)


@pytest.mark.parametrize(
    ("characters", "year"),
    [
        ("甲子", 1744),
        ("戊辰", 1808),
        ("戊辰", 1868),
        ("壬子", 1912),
        ("壬寅", 1662),
        ("壬寅", 1722),
    ],
)
def test_published_sexagenary_years_hold(characters: str, year: int) -> None:
    """Worked examples of the trade notes beside the project."""
    assert sexagenary_years(LORE.cycle[characters], year, year) == (year,)


def test_japanese_eras_agree_with_japanera_within_a_year() -> None:
    data = pytest.importorskip("japanera.era_data", reason="japanera is not installed")
    theirs = {row[0]: row for row in data._ERA_DATA_GENERAL if row[0]}
    checked = 0
    for row in TABLES.periods:
        if row.culture != "Japan" or row.kind != "era":
            continue
        for characters in row.characters:
            if characters in theirs:
                _, _, start, end, _ = theirs[characters]
                assert abs(row.first - start.year) <= ERA_YEARS_APART, row.label
                if row.last is not None and end is not None:
                    assert abs(row.last - end.year) <= ERA_YEARS_APART, row.label
                checked += 1
    assert checked >= 30


@pytest.mark.parametrize(
    ("text", "day", "era", "number"),
    [("Meiji 12", (1879, 6, 1), "明治", 12), ("Showa 3", (1928, 6, 1), "昭和", 3)],
)
def test_regnal_years_of_japan_agree_with_japanera(
    text: str, day: tuple[int, int, int], era: str, number: int
) -> None:
    japanera = pytest.importorskip("japanera", reason="japanera is not installed")
    import datetime

    found = japanera.EraDate.from_date(datetime.date(*day))
    assert (found.era.kanji, found.year - found.era.since.year + 1) == (era, number)
    date = overall(read_dates(text, TABLES))
    assert date is not None
    assert date.earliest == day[0]


@pytest.mark.parametrize(
    ("hijri", "first", "last"),
    [
        (1, 622, 623),  # the epoch, 16 July 622
        (1065, 1654, 1655),  # 'dated A.H. 1065 (AD 1654-1655)', Williams College Museum of Art
        (1297, 1879, 1880),  # from memory
        (1400, 1979, 1980),  # 1 Muharram 1400 fell in November 1979, from memory
    ],
)
def test_islamic_years_fall_where_published_dates_say(hijri: int, first: int, last: int) -> None:
    assert hijri_years(hijri) == (first, last)


def test_islamic_years_follow_one_another_without_a_gap() -> None:
    for year in range(1, 1500):
        _, last = hijri_years(year)
        first, _ = hijri_years(year + 1)
        assert first - last in (0, 1)


def test_years_of_a_reign_are_printed_as_historical_years() -> None:
    date = overall(read_dates("Han dynasty", TABLES))
    assert date is not None
    assert date.earliest is not None
    assert historical_year(date.earliest) == -202
