"""Counted is what is there. The cases are invented, their words common practice, no source."""

from __future__ import annotations

import pytest

from archivist.model.records import CompositionKind, Presentness
from archivist.reading.composition import composition_in
from archivist.reading.tables import load_tables
from archivist.reading.words import Words

TABLES = load_tables()
SINGLE, PAIR, SET, UNSTATED = (
    CompositionKind.SINGLE,
    CompositionKind.PAIR,
    CompositionKind.SET,
    CompositionKind.UNSTATED,
)


@pytest.mark.parametrize(
    ("text", "kind", "count", "of"),
    [
        ("A pair of celadon bowls", PAIR, 2, 0),
        ("Ein Paar Leuchter, Silber", PAIR, 2, 0),
        ("Paire de vases couverts", PAIR, 2, 0),
        ("Coppia di candelieri", PAIR, 2, 0),
        ("Pareja de jarrones", PAIR, 2, 0),
        ("Stel van vijf kastvazen", SET, 5, 0),
        ("Set of six Imari plates", SET, 6, 0),
        ("a set of 12 plates", SET, 12, 0),
        ("Ein Satz von sechs Tellern", SET, 6, 0),
        ("Suite de huit chaises", SET, 8, 0),
        ("Serie di quattro piatti", SET, 4, 0),
        ("Juego de seis tazas", SET, 6, 0),
        ("Garniture of five, Delft", SET, 5, 0),
        ("Two pairs of candlesticks", SET, 4, 0),
        ("One of a pair of vases", SINGLE, 1, 2),
        ("Vase, one of a pair", SINGLE, 1, 2),
        ("Leuchter, einer von einem Paar", SINGLE, 1, 2),
        ("Vase, l'un d'une paire", SINGLE, 1, 2),
        ("Uno di una coppia di vasi", SINGLE, 1, 2),
        ("Vaas, een van een paar", SINGLE, 1, 2),
        ("Bowl; its pair is in Leeds", SINGLE, 1, 2),
        ("Four of a set of six dining chairs", SET, 4, 6),
        ("Vier aus einem Satz von sechs Stühlen", SET, 4, 6),
        ("Three vases of what was a garniture of five", SET, 3, 5),
        ("Tile panel, six tiles of an original twelve", SET, 6, 12),
        ("Vier von ursprünglich sechs Stühlen", SET, 4, 6),
        ("Set of six (one missing)", SET, 5, 6),
        ("Set of twelve, two lost", SET, 10, 12),
        ("Two bowls, not a pair", UNSTATED, 2, 0),
        ("A couple, but no pair", UNSTATED, 2, 0),
        ("Zwei Vasen, kein Paar", UNSTATED, 2, 0),
        ("Deux vases, pas une paire", UNSTATED, 2, 0),
        ("Two celadon bowls", UNSTATED, 2, 0),
        ("Drei Schalen", UNSTATED, 3, 0),
    ],
)
def test_the_count_is_of_what_is_there(
    text: str, kind: CompositionKind, count: int, of: int
) -> None:
    found = composition_in(Words(text), TABLES).composition
    assert found is not None
    assert (found.kind, found.count, found.of) == (kind, count, of)


@pytest.mark.parametrize(
    "text",
    [
        "Vase with a pair of scroll handles",
        "Dish with a pair of fish in the well",
        "Jar with paired handles",
        "Ring set with garnets",
        "Two-handled cup",
        "Six-character mark",
        "It pairs with the one in Leeds",
        "It could pass as one of a pair",
        "Seven plates, three soup plates",
        "Celadon jar",
    ],
)
def test_what_counts_no_pieces_is_no_composition(text: str) -> None:
    assert composition_in(Words(text), TABLES).composition is None


@pytest.mark.parametrize(
    ("text", "name", "state"),
    [
        ("Celadon jar and cover", "cover", Presentness.PRESENT),
        ("Jar with its original wooden cover", "cover", Presentness.PRESENT),
        ("Vase mit Deckel", "cover", Presentness.PRESENT),
        ("Tasse et soucoupe", "saucer", Presentness.PRESENT),
        ("Cup and saucer", "saucer", Presentness.PRESENT),
        ("Jar lacking its cover", "cover", Presentness.MISSING),
        ("Jar, the lid is missing", "cover", Presentness.MISSING),
        ("Lidless jar", "cover", Presentness.MISSING),
        ("Terrine ohne Deckel", "cover", Presentness.MISSING),
        ("Vase, Deckel fehlt", "cover", Presentness.MISSING),
        ("Sucrier sans couvercle", "cover", Presentness.MISSING),
        ("Zuccheriera senza coperchio", "cover", Presentness.MISSING),
        ("Pot zonder deksel", "cover", Presentness.MISSING),
        ("Azucarero sin tapa", "cover", Presentness.MISSING),
        ("Sauce boat without its stand", "stand", Presentness.MISSING),
        ("Decanter, stopper lost", "stopper", Presentness.MISSING),
        ("Jar with replacement cover", "cover", Presentness.REPLACED),
        ("Jar, later cover", "cover", Presentness.REPLACED),
        ("Teapot, the cover associated", "cover", Presentness.REPLACED),
        ("Vase, Deckel ergänzt", "cover", Presentness.REPLACED),
        ("Pot, couvercle rapporté", "cover", Presentness.REPLACED),
        ("Jug with a married lid", "cover", Presentness.REPLACED),
    ],
)
def test_a_part_is_there_missing_or_replaced(text: str, name: str, state: Presentness) -> None:
    found = composition_in(Words(text), TABLES).composition
    assert found is not None
    assert [(part.name, part.state) for part in found.parts] == [(name, state)]


@pytest.mark.parametrize("text", ["A figure on the cover of a book", "Lid and body of one clay"])
def test_a_part_of_which_nothing_is_told_is_none_of_the_composition(text: str) -> None:
    assert composition_in(Words(text), TABLES).composition is None
