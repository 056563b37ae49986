"""Opinions by hand are read as they are laid out, with holder, ground, date and certainty."""

from __future__ import annotations

import pytest

from archivist.errors import RecordError, SelectionError
from archivist.intake.by_hand import BY_HEADING, Hand, changed_by_hand
from archivist.intake.parties import Parties
from archivist.model import Attribution, Certainty, ObjectRecord
from archivist.reading.tables import load_tables

OPINION = BY_HEADING["Opinion"]


class NoRecords:
    def object_named(self, name: str) -> ObjectRecord:
        raise SelectionError(f"There is no {name}.", "Name another.")


@pytest.fixture
def hand() -> Hand:
    tables = load_tables()
    return Hand(tables, Parties((), tables), NoRecords())


def names(hand: Hand) -> dict[str, str]:
    return {party.id: party.name for party in hand.parties.changed.values()}


def read(line: str, hand: Hand) -> Attribution:
    record, _ = changed_by_hand(ObjectRecord(id="r"), OPINION, line, hand, lambda _: "")
    return record.attributions[-1]


@pytest.mark.parametrize(
    "line",
    [
        "Dr Tolling: date: c. 1900; ground: the foot; said: 1998",
        "kiln: not Marrowgate; ground: the clay, which is grey",
        "Ada Voss: maker: Jan Hoek; ground: style; mark; sure: doubtful",
        "Ada Voss: date: 1850; said: 1998-05-03; part: cover; role: decorated",
    ],
)
def test_what_is_written_stands_there_again(line: str, hand: Hand) -> None:
    said = read(line, hand)
    known = names(hand)
    assert OPINION.line(said, lambda id_: known.get(id_, "")) == line


def test_a_bound_is_no_denial(hand: Hand) -> None:
    bound = read("Ada Voss: date: not before 1700", hand)
    assert bound.certainty is Certainty.CERTAIN
    assert bound.date is not None
    assert (bound.date.earliest, bound.as_stated) == (1700, "not before 1700")
    assert read("date: not 1700; ground: the foot", hand).certainty is Certainty.REJECTED


def test_a_hedge_within_the_words_is_kept_and_a_word_that_is_like_a_key_is_none(
    hand: Hand,
) -> None:
    hedged = read("Ada Voss: date: perhaps 1740; ground: a treasure", hand)
    assert hedged.certainty is not Certainty.CERTAIN
    assert hedged.ground == "a treasure"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("nice", "what the opinion is about"),
        ("Voss: date: banana", "not understood as a date"),
        ("Voss: kiln: Mino; sure: rather", "none of these"),
        ("Voss: kiln: Mino; role: thrown", "none of these"),
        ("Voss: kiln: Mino; said: long ago", "does not say when"),
        ("Voss: kiln: Mino; because", "not understood"),
    ],
)
def test_what_is_not_understood_is_refused(line: str, told: str, hand: Hand) -> None:
    with pytest.raises(RecordError, match=told):
        read(line, hand)
