"""Date phrases as dealers write them on labels, in six languages, and what they are worth.

Invented phrases; the years follow from the words by the conventions that ship.
"""

from __future__ import annotations

import pytest

from archivist.model.dates import historical_year
from archivist.reading import overall, read_date_cell
from archivist.reading.tables import load_tables

TABLES = load_tables()


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("twenties", 1920, 1929),
        ("late thirties", 1935, 1939),
        ("1920er Jahre", 1920, 1929),
        ("frühe 1920er", 1920, 1924),
        ("in den 20er Jahren", 1920, 1929),
        ("1920er-1930er Jahre", 1920, 1939),
        ("années trente", 1930, 1939),
        ("début des années 30", 1930, 1934),
        ("anni '30", 1930, 1939),
        ("fine anni Trenta", 1935, 1939),
        ("jaren '20", 1920, 1929),
        ("jaren twintig", 1920, 1929),
        ("años veinte", 1920, 1929),
        ("década de 1930", 1930, 1939),
        ("1834-5 AD", 1834, 1835),
        ("AH 1250 (1834-5 AD)", 1834, 1835),
        ("1250 AH/1834-35 AD", 1834, 1835),
        ("960-79 AD", 960, 979),
        ("206-9 AD", -206, 9),
        ("50 BC-50 AD", -50, 50),
        ("1st century BC/AD", -100, 99),
        ("2nd century BC or AD", -200, 199),
        ("1er quart du XIXe siècle", 1800, 1824),
        ("2. Hälfte 18. Jh.", 1750, 1799),
        ("2. H. 18. Jh.", 1750, 1799),
        ("Ende 18./Anfang 19. Jh.", 1775, 1825),
        ("Mitte 17./Anfang 18. Jh.", 1635, 1725),
        ("premières années du XIXe siècle", 1800, 1825),
        ("primi anni del XIX secolo", 1800, 1825),
        ("primeros años del siglo XIX", 1800, 1825),
        ("Meissen, c. 1740, restored 1985", 1735, 1745),
        ("c. 1740, bought 1985", 1735, 1745),
        ("gegen 1800", 1795, 1805),
        ("sec. XVIII", 1700, 1799),
        ("finales del siglo XVIII", 1775, 1799),
        ("tweede helft 18e eeuw", 1750, 1799),
        ("dated by inscription to 1702", 1702, 1702),
        ("cyclical date corresponding to 1868", 1868, 1868),
        ("18th/early 19th century", 1700, 1825),
        ("turn of the 18th/19th century", 1790, 1810),
        ("c1780-1800", 1775, 1805),
    ],
)
def test_a_phrase_of_a_label_is_worth_its_years(text: str, first: int, last: int) -> None:
    date = overall(read_date_cell(text, TABLES))
    assert date is not None
    assert date.earliest is not None
    assert date.latest is not None
    assert (historical_year(date.earliest), historical_year(date.latest)) == (first, last)


@pytest.mark.parametrize(
    ("text", "edtf"),
    [
        ("jiazi year, 18th century", "1744"),
        ("dated jiazi (1744)", "1744"),
        ("jiazi year, corresponding to 1744", "1744"),
        ("Jin dynasty, 12th/13th century", "1115/1234"),
        ("Chia Ching, 16th century", "1522/1566"),
        ("Liao/Jin", "0916/1234"),
        ("Han/Jin", "-0201/0420"),
    ],
)
def test_another_date_of_the_text_decides_what_one_leaves_open(text: str, edtf: str) -> None:
    understood = read_date_cell(text, TABLES)
    assert understood.questions == ()
    first = understood.statements[0]
    assert getattr(first, "date", None) is not None
    assert first.date.edtf == edtf  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "text", ["jiazi year", "cyclical date jiazi, 1744 or 1804", "Jin dynasty", "Chia Ching"]
)
def test_what_nothing_decides_is_asked(text: str) -> None:
    assert len(read_date_cell(text, TABLES).questions) == 1
