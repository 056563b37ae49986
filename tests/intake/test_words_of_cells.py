"""What cells of stock lists say beyond the plain case: answers, troy weight, places by dates."""

from __future__ import annotations

import pytest

from archivist.intake.parties import name_in, tells_no_dealing
from archivist.intake.roles import Role
from archivist.intake.words import read
from archivist.model import Aspect, Attribution
from archivist.reading.tables import load_tables

TABLES = load_tables()


@pytest.mark.parametrize("words", ["Yes", "Y", "Ja", "Oui", "Fair", "Sold", "Onbekend"])
def test_an_answer_is_nobody(words: str) -> None:
    assert name_in(words, TABLES) is None


@pytest.mark.parametrize("words", ["no", "N", "nein", "Non", "nee"])
def test_no_says_that_nothing_was_sold(words: str) -> None:
    assert tells_no_dealing(words, TABLES)


@pytest.mark.parametrize("words", ["Mr Yestrow", "Fairlop, Thripton", "Noakes", "Yarrow"])
def test_names_that_begin_like_an_answer_are_names(words: str) -> None:
    assert name_in(words, TABLES) is not None
    assert not tells_no_dealing(words, TABLES)


@pytest.mark.parametrize("words", ["14 oz 10 dwt", "5oz 3dwt", "9.5 oz troy", "12 ozt"])
def test_a_troy_weight_is_not_read_as_common_ounces(words: str) -> None:
    understood = read(Role.WEIGHT, words, TABLES)
    assert understood.statements == ()
    assert [(s.start, s.end) for s in understood.unread] == [(0, len(words))]


def test_a_common_weight_is_still_read() -> None:
    assert len(read(Role.WEIGHT, "9.5 oz", TABLES).statements) == 1


@pytest.mark.parametrize(
    ("words", "place"),
    [("Nevers, fin XVIIe siècle", "Nevers"), ("late 17th century, Japan", "Japan")],
)
def test_a_place_beside_a_date_is_where_the_piece_was_made(words: str, place: str) -> None:
    understood = read(Role.DATE, words, TABLES)
    places = [
        s for s in understood.statements if isinstance(s, Attribution) and s.aspect is Aspect.PLACE
    ]
    assert [s.as_stated for s in places] == [place]
    reading = places[0].reading
    assert reading is not None
    assert words[reading.start : reading.end] == place
    assert understood.unread == ()


@pytest.mark.parametrize(
    "words", ["not Nevers, 1740", "near Japan, 1740", "hallmarked London 1789"]
)
def test_a_place_among_other_words_beside_a_date_is_left_unread(words: str) -> None:
    understood = read(Role.DATE, words, TABLES)
    assert understood.unread
    assert all(
        s.aspect is not Aspect.PLACE for s in understood.statements if isinstance(s, Attribution)
    )
