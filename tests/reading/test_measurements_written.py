"""Sizes in words and in short, and numbers that are none: one class of turns a test."""

from __future__ import annotations

import pytest

from archivist.model.base import Certainty
from archivist.model.measurements import Measurement
from archivist.reading.measurements import read_measurements
from archivist.reading.numerals import numerals_of
from archivist.reading.spelling import fold
from archivist.reading.tables import load_tables

TABLES = load_tables()


def sizes(text: str) -> list[tuple[str, str, str]]:
    found = read_measurements(text, TABLES).statements
    return [(s.dimension.value, s.low, s.unit.value) for s in found if isinstance(s, Measurement)]


@pytest.mark.parametrize(
    ("words", "value"),
    [
        ("forty-two", 42),
        ("one hundred and five", 105),
        ("siebenunddreißig", 37),
        ("hundertzwölf", 112),
        ("vierentachtig", 84),
        ("quatre vingt dix sept", 97),
        ("soixante et onze", 71),
        ("ventotto", 28),
        ("centoventitré", 123),
        ("veintiséis", 26),
        ("ciento cuarenta y dos", 142),
    ],
)
def test_numbers_in_words_are_read_in_six_languages(words: str, value: int) -> None:
    folded = [fold(word) for word in words.replace("-", " ").split()]
    found = numerals_of(TABLES).at(folded, 0)
    assert found is not None
    assert (found.value, found.end) == (value, len(folded))


@pytest.mark.parametrize("word", ["unter", "drehen", "achtung", "seiden", "ottone", "onzichtbaar"])
def test_words_that_begin_like_a_number_are_none(word: str) -> None:
    assert numerals_of(TABLES).at([word], 0) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("forty-two and a half centimetres high", ("height", "42.5", "cm")),
        ("Height is seven and three-eighths inches", ("height", "7.375", "in")),
        ("siebenunddreißig Zentimeter hoch", ("height", "37", "cm")),
        ("vierentwintig centimeter hoog", ("height", "24", "cm")),
        ("vingt-huit centimètres de haut", ("height", "28", "cm")),
        ("ventotto centimetri e mezzo", ("unstated", "28.5", "cm")),
        ("cuarenta y dos centímetros de alto", ("height", "42", "cm")),
        ("fünf Komma acht Zentimeter", ("unstated", "5.8", "cm")),
        ("dreieinhalb Zoll", ("unstated", "3.5", "in")),
    ],
)
def test_sizes_are_spelled_out(text: str, expected: tuple[str, str, str]) -> None:
    assert sizes(text) == [expected]


def test_a_speaker_who_corrects_himself_means_the_last_number() -> None:
    text = "diameter forty-one — no, sorry — forty-one and a half centimetres"
    assert [low for _, low, _ in sizes(text)] == ["41.5"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("H 13,2", [("height", "13.2", "cm")]),
        ("H. incl. cover 11.8, L. 19.", [("height", "11.8", "cm"), ("length", "19", "cm")]),
        ("Höhe siebzehn Komma acht", [("height", "17.8", "cm")]),
    ],
)
def test_decimals_with_their_dimension_are_probably_centimetres(
    text: str, expected: list[tuple[str, str, str]]
) -> None:
    assert sizes(text) == expected
    found = read_measurements(text, TABLES).statements
    assert {s.certainty for s in found} == {Certainty.PROBABLE}


@pytest.mark.parametrize("text", ["H 13", "L. 2", "No. 4.2", "chapter 3.1"])
def test_whole_numbers_without_a_unit_are_no_sizes(text: str) -> None:
    assert not sizes(text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("cm 41 x 32", [("unstated", "41", "cm"), ("unstated", "32", "cm")]),
        ("peso kg 1,4", [("weight", "1.4", "kg")]),
        ("41 bij 32 cm", [("unstated", "41", "cm"), ("unstated", "32", "cm")]),
        ("14in brass dial", [("unstated", "14", "in")]),
        ("cm 41 x 32, spessore 3; peso kg 2,5", None),
    ],
)
def test_units_may_go_before_and_be_joined_to_their_numbers(
    text: str, expected: list[tuple[str, str, str]] | None
) -> None:
    found = sizes(text)
    if expected is None:
        assert [(low, unit) for _, low, unit in found] == [
            ("41", "cm"),
            ("32", "cm"),
            ("3", "cm"),
            ("2.5", "kg"),
        ]
    else:
        assert found == expected


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("Bowl, 24 cm by 1935", 1),
        ("The foot is ground by 2 mm", 0),
        ("the pendant is 2 cm taller", 0),
        ("Pendant, 1 cm hoger", 0),
        ("plate 12 in the catalogue", 0),
        ("£30 m.", 0),
        ("24 oz 10 dwt", 0),
        ("4 lb 9 oz", 1),
        ("howdah w. 3 figures, 6 in. high", 1),
    ],
)
def test_years_prices_differences_and_counts_are_no_sizes(text: str, count: int) -> None:
    assert len(sizes(text)) == count
