"""Words of folders speak of a piece, or of the history of photographs; the second says nothing of
a piece and is no witness of when a photograph was taken."""

from __future__ import annotations

import pytest

from archivist.intake.pictures.taken import told
from archivist.intake.rules.folders import says_a_piece, says_history, says_nothing_of_a_piece
from archivist.intake.rules.number_meanings import not_of_the_making
from archivist.reading.tables import load_tables

TABLES = load_tables()

HISTORY = (
    "sold 2011", "Backup 2012", "website 2010", "Site 2009", "verkauft 2011", "350 EUR", "ask 1200",
    "invoice 2008", "for customers 2009", "Sicherung 2012", "vendu 2010", "lot 417", "copies 2003",
)  # fmt: skip


@pytest.mark.parametrize("name", HISTORY)
def test_sales_backups_websites_and_prices_say_nothing_of_a_piece_nor_of_when(name: str) -> None:
    assert says_history(name, TABLES)
    assert says_nothing_of_a_piece(name, TABLES)
    assert told([], f"{name}/IMG_1.JPG", 2027, TABLES).best is None


@pytest.mark.parametrize("name", ["Marrow 2011", "Lyon 2010", "Dr Elm 2009", "Hollis (2012)"])
def test_the_year_of_a_customer_or_a_place_is_no_witness_of_when(name: str) -> None:
    assert told([], f"{name}/IMG_1.JPG", 2027, TABLES).best is None


@pytest.mark.parametrize(
    ("folder", "when"),
    [
        ("2009", "2009?"), ("2009/March", "2009-03?"), ("fair 2014", "2014?"),
        ("2009-03-14 Lyon", "2009-03-14?"), ("photos 2009", "2009?"), ("2009/sold 2011", "2009?"),
        ("Messe 2012", "2012?"), ("2009-03", "2009-03?"),
    ],
)  # fmt: skip
def test_days_and_years_of_taking_photographs_are_witnesses(folder: str, when: str) -> None:
    best = told([], f"{folder}/IMG_1.JPG", 2027, TABLES).best
    assert best is not None
    assert best.date.edtf == when


def test_words_of_the_trade_say_a_piece() -> None:
    for name in ("blue vase", "moon jar", "celadon", "vases", "sold blue vase"):
        assert says_a_piece(name, TABLES), name
    for name in ("Marrow", "2009 Lyon", "new camera", "foot", "350 EUR"):
        assert not says_a_piece(name, TABLES), name


@pytest.mark.parametrize(
    ("words", "spans"),
    [
        ("Delft vase 1750 EUR", ["1750"]), ("Delft vase sold 1850", ["sold 1850"]),
        ("Delft vase lot 1740", ["1740"]), ("Delft vase 1740", []),
        ("Delft plate 1750", []), ("bowl, c. 1150, D. 19 cm", []),
        ("about 1750", []), ("vase page 417", ["417"]), ("CAD 1750", ["1750"]),
        ("verkauft 1890", ["verkauft 1890"]),
    ],
)  # fmt: skip
def test_prices_lots_and_years_of_sale_tell_nothing_of_the_making(
    words: str, spans: list[str]
) -> None:
    assert [words[a:b] for a, b in not_of_the_making(words, TABLES)] == spans
