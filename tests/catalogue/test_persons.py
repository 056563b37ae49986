"""Names are found in words however they are spelled, and nothing else is taken for them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.catalogue.persons import NameFinder
from archivist.model import Party, PartyKind
from tests.archives import new_id


def finder(
    name: str, kind: PartyKind = PartyKind.PERSON, address: str = "", contact: str = ""
) -> NameFinder:
    party = Party(id=new_id(), name=name, kind=kind, address=address, contact=contact)
    return NameFinder((party,))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("Edith Harrow", "bought of Edith Harrow in 1987"),
        ("Edith Harrow", "EDITH\n  HARROW"),
        ("Edith Harrow", "edith harrow's bowl"),
        ("Edith Harrow", "Mrs Harrow"),
        ("Edith Harrow", "Mrs. E. M. Harrow"),
        ("Edith Harrow", "Edith M. Harrow"),
        ("Edith Harrow", "Harrow, Edith"),
        ("Edith Harrow", "E. Harrow"),
        ("Edith Harrow", "Edith_Harrow_1987.jpg"),
        ("Harrow, Edith", "Edith Harrow"),
        ("Mrs Edith Harrow", "Edith Harrow"),
        ("Mrs Harrow", "Mr and Mrs Harrow"),
        ("Mr & Mrs J. Harrow", "Dr Harrow"),
        ("Pieter van der Meer", "Mr van der Meer"),
        ("Pieter van der Meer", "P. van der Meer"),
        ("José Müller", "Jose Muller"),
        ("José Müller", "Jose\u0301 Mu\u0308ller"),
        ("Jose Muller", "JOSÉ MÜLLER"),
        ("山田太郎", "旧蔵は山田太郎氏である"),
        ("김철수", "김철수에게 팔았다"),
        ("O'Brien, Sean", "Sean O’Brien"),
        ("Ōta Kenji", "Ota Kenji"),
        ("Edith Harrow (Bath)", "Edith Harrow"),
    ],
)
def test_a_person_is_found(name: str, text: str) -> None:
    assert finder(name).finds(text)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("John Mason", "Mason's ironstone"),
        ("Edith Harrow", "a Harrow School prize"),
        ("Anna Stone", "a stone bowl"),
        ("Anna Stone", "A stone bowl"),
        ("Mark", "a mark on the base"),
        ("Rose Glaze", "the glaze is rose"),
        ("Edith Harrow", "Edith Harrowby"),
        ("山田太郎", "山田焼"),
    ],
)
def test_words_that_are_no_name_are_left(name: str, text: str) -> None:
    assert not finder(name).finds(text)
    assert finder(name).replaced(text, "[x]") is text


def test_a_firm_is_found_without_its_legal_form_but_not_by_its_last_word() -> None:
    firm = finder("Harrow & Sons Ltd", PartyKind.FIRM)
    assert firm.replaced("of Harrow and Sons", "[x]") == "of Harrow and Sons"
    assert firm.replaced("of Harrow & Sons, Bath", "[x]") == "of [x], Bath"
    assert not firm.finds("Mr Ltd and his sons")


def test_where_somebody_lives_and_how_they_are_reached_is_found_but_not_the_town() -> None:
    found = finder(
        "Edith Harrow",
        address="4 Quarry Row, Marrowgate MG4 7QR, Wales",
        contact="01632 960123; edith@harrow.example",
    )
    assert found.replaced("at 4 Quarry Row, in Wales", "[x]") == "at [x], in Wales"
    assert found.finds("MG4 7QR")
    assert found.finds("ring 01632-960123")
    assert not found.finds("Wales")


@given(st.text(max_size=40), st.text(max_size=20), st.text(max_size=20))
def test_a_name_that_stands_between_other_words_is_gone_and_they_are_not(
    name: str, before: str, after: str
) -> None:
    found = finder("Edith Harrow")
    replaced = found.replaced(f"{before} | Edith Harrow | {after}", "[x]")
    assert "Edith Harrow" not in replaced
    assert "[x]" in replaced
    finder(name).replaced(f"{before}{name}{after}", "[x]")
