"""A column of opinions, and any other, says who holds what: each with a party of its own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.intake.parties import Parties
from archivist.intake.roles import Role
from archivist.intake.words import read
from archivist.model import Aspect, Attribution, Certainty, ObjectRecord, Party, PartyKind
from archivist.reading.tables import load_tables

TABLES = load_tables()
Sheet = Callable[..., Path]


def held(role: Role, text: str) -> list[tuple[str, str, str]]:
    """Each date or name that a cell says of the piece: its words, certainty and holder."""
    found = read(role, text, TABLES)
    names = {party.id: party.name for party in found.parties}
    told = [
        (s.as_stated, s.certainty.value, names.get(s.who, s.who))
        for s in found.statements
        if isinstance(s, Attribution)
    ]
    return list(dict.fromkeys(told))


@pytest.mark.parametrize(
    ("text", "speakers"),
    [
        ("I had it as 1780; Dr Tolling says c. 1900", ["Dr Tolling"]),
        ("Tolling: c. 1900", ["Tolling"]),
        ("Tolling: c. 1900\nMarr: 18th century", ["Tolling", "Marr"]),
        ("Tolling: c. 1900; me: 18th century", ["Tolling", ""]),
        ("17th century, says Nishidera", ["Nishidera"]),
        ("Castagnac sold it as Goryeo", ["Castagnac"]),
        ("according to Mme A. Castagnac Ming", ["Mme A. Castagnac"]),
        ("laut Prof. Osterhues 17. Jh.", ["Prof. Osterhues"]),
        ("selon Vauquelin, XVIIIe siècle", ["Vauquelin"]),
        ("dealer: 18th century", ["dealer"]),
        ("18th century", [""]),
    ],
)
def test_each_opinion_of_a_cell_has_its_holder(text: str, speakers: list[str]) -> None:
    found = [who for _, _, who in held(Role.OPINION, text)]
    assert [who for who in speakers if who not in found] == []
    assert found[-1:] == speakers[-1:]


@pytest.mark.parametrize("text", ["Date: c. 1900", "Base: 18th century", "Period: Edo"])
def test_a_heading_before_a_colon_is_no_speaker(text: str) -> None:
    found = read(Role.OPINION, text, TABLES)
    assert found.parties == ()


def test_a_part_of_the_piece_holds_no_opinion() -> None:
    found = read(Role.CONDITION, "Neck broken and held with old staples, chip", TABLES)
    assert found.parties == ()
    assert {s.who for s in found.statements} == {""}


def test_who_holds_an_opinion_is_a_person_unless_the_name_says_otherwise() -> None:
    parties = Parties((), TABLES)
    assert parties.speaking("Castagnac").kind is PartyKind.PERSON
    assert parties.speaking("Calder Row Museum").kind is PartyKind.MUSEUM


@pytest.mark.parametrize(
    ("role", "text", "certainty"),
    [
        (Role.DATE, "certainly not 17th century", Certainty.REJECTED),
        (Role.PERIOD, "keineswegs Edo", Certainty.REJECTED),
        (Role.PLACE, "not Arita", Certainty.REJECTED),
        (Role.KILN, "probably Hodota", Certainty.PROBABLE),
        (Role.MAKER, "Verrin?", Certainty.POSSIBLE),
        (Role.MAKER, "Verrin", Certainty.CERTAIN),
        (Role.DATE, "18th century", Certainty.CERTAIN),
    ],
)
def test_a_cell_that_denies_or_doubts_its_value_says_so(
    role: Role, text: str, certainty: Certainty
) -> None:
    found = [s for s in read(role, text, TABLES).statements if isinstance(s, Attribution)]
    assert {s.certainty for s in found} == {certainty}


@pytest.mark.parametrize(
    ("role", "text", "label"),
    [
        (Role.KILN, "probably Hodota", "Hodota"),
        (Role.MAKER, "not Verrin", "Verrin"),
        (Role.MAKER, "Verrin & Sons", "Verrin & Sons"),
        (Role.MAKER, "Verrin (?)", "Verrin"),
    ],
)
def test_a_name_is_kept_without_the_words_of_doubt(role: Role, text: str, label: str) -> None:
    (found,) = read(role, text, TABLES).statements
    assert isinstance(found, Attribution)
    assert found.term is not None
    assert found.term.label == label


@pytest.mark.parametrize("text", ["unknown", "?", "not"])
def test_a_cell_without_a_name_names_nobody(text: str) -> None:
    assert read(Role.MAKER, text, TABLES).statements == ()


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("Title", "Bowl, according to Dr Tolling 17th century"),
        ("Description", "According to Dr Tolling this bowl dates from the 17th century."),
        ("Opinion", "Dr Tolling: 17th century"),
        ("When made", "17th century according to Dr Tolling"),
    ],
)
def test_another_holder_is_filed_as_a_party_that_stays_private(
    archive: Archive, sheet: Sheet, take_in: Callable[[Path], object], heading: str, words: str
) -> None:
    take_in(sheet([["Stock no", heading], ["HW 0401", words], ["HW 0402", "A vase"]]))
    record = next(r for r in archive.catalogue.all(ObjectRecord) if r.stock_number == "HW 0401")
    (date,) = [a for a in record.attributions if a.date is not None and a.aspect is Aspect.DATE]
    party = archive.catalogue.get(date.who, Party)
    assert party is not None
    assert (party.name, party.kind, party.private) == ("Dr Tolling", PartyKind.PERSON, True)
