"""A cell of several things is parted: nobody is called by a day or a sum."""

from __future__ import annotations

import pytest

from archivist.reading.provenance import dealing_in
from archivist.reading.tables import load_tables

TABLES = load_tables()


@pytest.mark.parametrize(
    ("cell", "name", "place", "day", "money"),
    [
        ("A. Voss, 12.6.1998, £350", "A. Voss", "", "1998-06-12", "£350"),
        ("Mrs Holm / 12/5/99 / £1,200", "Mrs Holm", "", "1999", "£1,200"),
        ("sold to Dr Holm, Ripon, March 1998, 350 EUR", "Dr Holm", "Ripon", "1998-03", "350 EUR"),
        ("verkauft an Hartwig, Kassel, 1200 DM, 1971", "Hartwig", "Kassel", "1971", "1200 DM"),
        ("Brand Gallery\n1998\n£2,000", "Brand Gallery", "", "1998", "£2,000"),
        ("M. Duvernay, 5 000 francs, mars 1999", "M. Duvernay", "", "1999-03", "5 000 francs"),
        ("unknown, 1998", "", "", "1998", ""),
        ("Holm, 1998, 900", "Holm", "", "1998", ""),
        ("£350", "", "", "", "£350"),
    ],
)
def test_name_place_day_and_sum_are_parted(
    cell: str, name: str, place: str, day: str, money: str
) -> None:
    dealing = dealing_in(cell, TABLES)
    found = (dealing.name, dealing.place, dealing.date.edtf if dealing.date else "", dealing.sum)
    assert found == (name, place, day, money)


def test_of_two_days_or_sums_none_is_that_of_the_dealing() -> None:
    dealing = dealing_in("Voss, 1998, £350, paid 1999, £300", TABLES)
    assert (dealing.name, dealing.date, dealing.sum) == ("Voss", None, "")
