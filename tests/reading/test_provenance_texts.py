"""Provenance as dealers write it, in six languages: what each text tells, and what it does not.

`provenance_texts.jsonl` holds 176 invented texts with their truth, each put down before the program
had read it. Pass 1 was written before the rules, pass 2 before they were widened. Pass 3 was
written when the rules had been left alone: 51 of its 61 texts were wholly right when they were
first read (84 %), and the rules were then put right where the others showed them wrong; all hold.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from archivist.model import Citation, ProvenanceEvent, Relation
from archivist.reading.provenance import read_provenance
from archivist.reading.tables import load_tables

TABLES = load_tables()
TEXTS = [
    json.loads(line)
    for line in (Path(__file__).parent / "provenance_texts.jsonl")
    .read_text(encoding="utf-8")
    .splitlines()
]
ROLES = {"from": "giver", "to": "receiver", "via": "agent"}
CITED = ("title", "authors", "venue", "pages", "number")
Told = dict[str, str]


def told(text: str) -> list[Told]:
    """What is read of a text, in the words of the table of truth."""
    understood = read_provenance(text, TABLES)
    parties = {party.id: party for party in understood.parties}
    found: list[Told] = []
    for statement in understood.statements:
        if isinstance(statement, ProvenanceEvent):
            found.append(event_told(statement, parties))
        elif isinstance(statement, Citation):
            one = {"kind": statement.kind.value}
            one |= {name: getattr(statement, name) for name in CITED}
            one["on"] = statement.date.edtf if statement.date else ""
            found.append({name: value for name, value in one.items() if value})
        else:
            assert isinstance(statement, Relation)
            found.append({"kind": statement.kind.value})
    return found


def event_told(event: ProvenanceEvent, parties: dict[str, Any]) -> Told:
    one = {"kind": event.kind.value, "passage": event.passage.value, "at": event.place}
    for word, role in ROLES.items():
        if party := parties.get(getattr(event, role)):
            one[word] = party.name
    if receiver := parties.get(event.receiver):
        one["life"] = receiver.life
    one["on"] = event.date.edtf if event.date else ""
    one["until"] = event.until.edtf if event.until else ""
    one["lot"] = event.lot
    one["sure"] = "" if event.certainty == "certain" else event.certainty.value
    return {name: value for name, value in one.items() if value}


def agrees(found: Told, true: Told) -> bool:
    """Whether an event is what it is in every field, a citation in those that the truth names."""
    if true["kind"] in ("literature", "exhibition", "compare") and "passage" not in found:
        return all(found.get(name) == value for name, value in true.items())
    if "passage" not in true:
        found = {name: value for name, value in found.items() if name != "passage"}
    return found == true


@pytest.mark.parametrize("case", TEXTS, ids=lambda c: c["text"])
def test_each_event_and_citation_of_a_text_is_what_it_tells(case: dict[str, Any]) -> None:
    found = told(case["text"])
    assert len(found) == len(case["told"]), found
    for one, true in zip(found, case["told"], strict=True):
        assert agrees(one, true), found


NO_OWNERS = ("unsold", "bought in", "withdrawn", "unverkauft", "invendu", "onverkocht")


def test_no_sum_is_a_place_and_no_place_a_sum() -> None:
    money = ("£", "$", "DM", "lire", "francs", "pesetas", "gns", "guineas", "10s")
    for case in TEXTS:
        for statement in read_provenance(case["text"], TABLES).statements:
            if isinstance(statement, ProvenanceEvent):
                assert not any(word in statement.place for word in money), case["text"]


def test_whoever_put_up_a_piece_that_was_not_sold_made_nobody_an_owner() -> None:
    checked = 0
    for case in TEXTS:
        if any(word in case["text"] for word in NO_OWNERS):
            kinds = {one["kind"] for one in told(case["text"])}
            assert kinds <= {"offer", "withdrawal"}, case["text"]
            checked += 1
    assert checked >= 8
