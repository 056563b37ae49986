"""Cells of opinions are parted by clause, each with who says it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.intake.opinions import opinions_in, speaker_at
from archivist.intake.parties import Parties
from archivist.model import PartyKind
from archivist.reading.tables import load_tables

TABLES = load_tables()


@pytest.mark.parametrize(
    ("text", "speakers"),
    [
        ("I had it as 18th; Dr Tolling says c. 1900", ["", "Dr Tolling"]),
        ("Tolling: 'could be 18th'", ["Tolling"]),
        ("Seto rather than Mino, says Nishidera", ["Nishidera"]),
        ("Castagnac sold it as Goryeo; it is later", ["Castagnac", ""]),
        ("according to Mme A. Castagnac", ["Mme A. Castagnac"]),
        ("in Momoyama style, not Momoyama", [""]),
        ("Mark is apocryphal: Chenghua mark, but Arita", [""]),
        ("we thought 1880", [""]),
        ("I think it is later", [""]),
        ("laut Prof. Osterhues", ["Prof. Osterhues"]),
        ("selon Vauquelin", ["Vauquelin"]),
    ],
)
def test_each_clause_has_its_speaker(text: str, speakers: list[str]) -> None:
    assert [opinion.speaker for opinion in opinions_in(text, TABLES)] == speakers


@given(st.text())
def test_clauses_lie_in_the_text_in_order_and_any_place_has_a_speaker(text: str) -> None:
    opinions = tuple(opinions_in(text, TABLES))
    ends = [0, *(opinion.end for opinion in opinions)]
    assert all(o.start >= end for o, end in zip(opinions, ends, strict=False))
    assert isinstance(speaker_at(opinions, len(text) // 2), str)


def test_who_holds_an_opinion_is_a_person_unless_the_name_says_otherwise() -> None:
    parties = Parties((), TABLES)
    assert parties.speaking("Castagnac").kind is PartyKind.PERSON
    assert parties.speaking("Calder Row Museum").kind is PartyKind.MUSEUM
