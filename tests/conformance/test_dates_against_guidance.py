"""The conventions that ship against the published cataloguing guidance they name.

Sources, as summarised beside the project: Object ID guide (ICOM/Getty, 1997), Cataloging Cultural
Objects (CCO) 4.2.3.2, the cataloguing guide of the University of California San Diego (UCSD), the
habit of the Carnegie Museum of Art's open data (CMOA). They disagree with one another; each check
names whose it is.
"""

from __future__ import annotations

import pytest

from archivist.reading.dates import overall, read_dates
from archivist.reading.tables import Tables, load_tables

SHIPPED = load_tables()


def years(text: str, tables: Tables = SHIPPED) -> tuple[int | None, int | None]:
    """The years of the whole."""
    date = overall(read_dates(text, tables))
    assert date is not None
    return date.earliest, date.latest


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("ca. 1610", (1605, 1615)),  # CCO 4.2.3.2
        ("16th century", (1500, 1599)),  # UCSD
        ("early 16th century", (1500, 1525)),  # UCSD: 00-25
        ("mid-16th century", (1535, 1565)),  # UCSD: 35-65
        ("late 16th century", (1575, 1599)),  # CMOA: 75-99
        ("first half of the 16th century", (1500, 1549)),  # from memory: 00-49
        ("third quarter of the 16th century", (1550, 1574)),  # from memory: blocks of 25
    ],
)
def test_shipped_conventions_are_those_of_the_sources_they_name(
    text: str, expected: tuple[int, int]
) -> None:
    assert years(text) == expected


def test_circa_of_the_object_id_guide_is_a_setting() -> None:
    """'c.' plus or minus 10 years (Object ID guide, which adds that no agreed rules exist)."""
    tables = SHIPPED.with_conventions({"circa": [{"earlier": 10, "later": 10}]})
    assert years("c. 1610", tables) == (1600, 1620)


def test_before_and_after_of_the_object_id_guide_are_a_setting() -> None:
    """'Before' and 'after' up to 100 years (Object ID guide)."""
    tables = SHIPPED.with_conventions({"before": 100, "after": 100})
    assert years("before 1912", tables) == (1812, 1912)
    assert years("after 1612", tables) == (1612, 1712)


def test_centuries_that_begin_with_the_year_one_are_a_setting() -> None:
    """1201 to 1300 is the 13th century (University of Massachusetts)."""
    tables = SHIPPED.with_conventions({"century_first": 1})
    assert years("13th century", tables) == (1201, 1300)


def test_wider_early_and_late_are_a_setting() -> None:
    """'probably late 12th' is 1150 to 1220 in an example of CCO: halves, and on."""
    tables = SHIPPED.with_conventions({"parts": {"late": [50, 99]}})
    assert years("late 12th century", tables) == (1150, 1199)


def test_the_convention_is_named_beside_the_years_it_gave() -> None:
    date = overall(read_dates("ca. 1610", SHIPPED))
    assert date is not None
    assert "circa: 5 years either way" in date.convention
    exact = overall(read_dates("1610", SHIPPED))
    assert exact is not None
    assert exact.convention == ""
