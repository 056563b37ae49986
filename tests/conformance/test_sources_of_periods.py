"""A period that names a published list as its source has the years of that list.

Sources: PeriodO of 2015 and strings of open museum data in `../shared/data`, and `japanera` for
the eras of Japan; each where it is present. A year of difference is said in the source.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from archivist.model.dates import astronomical_year
from archivist.reading.tables import PeriodRow, load_tables

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"
PERIODS = load_tables().periods
needs_data = pytest.mark.skipif(not DATA.is_dir(), reason="the published lists are not here")


def cited(words: str) -> list[PeriodRow]:
    return [row for row in PERIODS if row.source.startswith(f"years as in {words}")]


def rows_of(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@needs_data
def test_periods_that_name_periodo_have_its_years() -> None:
    known = {row["id"].rsplit("/", 1)[1]: row for row in rows_of("periodo_2015.csv")}
    rows = cited("PeriodO")
    assert len(rows) > 20
    for row in rows:
        found = re.search(r", (p0\w+)(, within a year)?", row.source)
        assert found is not None, row
        theirs = known[found[1]]
        assert row.last is not None
        apart = (row.first - int(theirs["start_earliest"]), row.last - int(theirs["stop_latest"]))
        allowed = 1 if found[2] else 0
        assert max(map(abs, apart)) <= allowed, row


@needs_data
def test_periods_that_quote_a_museum_stand_in_its_data_with_these_years() -> None:
    strings = [row["text"] for row in rows_of("period_strings.csv")]
    strings += [row["date_text"] for row in rows_of("dates.csv")]
    rows = cited("open data")
    assert len(rows) > 30
    for row in rows:
        quoted = re.search(r"\('(.*\))'\)(, within a year)?", row.source)
        assert quoted is not None, row
        assert any(quoted[1] in text for text in strings), row
        first, last = years_in(quoted[1])
        allowed = 1 if quoted[2] else 0
        assert row.last is not None
        assert abs(row.first - first) <= allowed, row
        assert abs(row.last - last) <= allowed, row


def years_in(quoted: str) -> tuple[int, int]:
    """The years of 'Han dynasty (202 BCE-220 CE)' and of '(1628-44)', astronomical."""
    found = re.search(r"(\d+) ?(BCE)? ?[–—-] ?(\d+) ?(BCE)?", quoted)
    assert found is not None, quoted
    first, last = found[1], found[3]
    if found[4]:
        return astronomical_year(-int(first)), astronomical_year(-int(last))
    if found[2]:
        return astronomical_year(-int(first)), int(last)
    if int(last) < int(first):
        last = first[: len(first) - len(last)] + last
    return int(first), int(last)


def test_eras_that_name_japanera_have_its_years() -> None:
    data = pytest.importorskip("japanera.era_data", reason="japanera is not installed")
    theirs = {row[0]: row for row in data._ERA_DATA_GENERAL if row[0]}
    rows = cited("japanera")
    assert len(rows) > 30
    for row in rows:
        era = next(theirs[c] for c in row.characters if c in theirs)
        assert (row.first, row.last) == (era[2].year, era[3].year if era[3] else None), row
