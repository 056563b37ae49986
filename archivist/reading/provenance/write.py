"""Provenance events into the text of the published convention, and what it could not carry.

The convention (AAM, *Guide to Provenance Research*, 2001): earliest first, life dates in square
brackets, the trade in round ones, ';' for a direct passage and '.' for a gap; a line break where
nobody knows which. What is printed is read back at once, so that whatever would not come back as
it was is named and never lost in silence.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence

from archivist.model.base import Certainty
from archivist.model.parties import Party
from archivist.model.provenance import EventKind, Passage, ProvenanceEvent
from archivist.reading.provenance.dates import date_words
from archivist.reading.provenance.read import read_provenance
from archivist.reading.tables import Tables, load_tables

_HEDGES = {
    Certainty.PROBABLE: "probably",
    Certainty.POSSIBLE: "possibly",
    Certainty.DOUBTFUL: "doubtfully",
}
_SEPARATORS = {Passage.DIRECT: "; ", Passage.GAP: ". ", Passage.UNKNOWN: "\n"}
_PRINTED = ("kind", "certainty", "place", "lot", "number", "passage")
_NEVER_PRINTED = ("who", "said", "ground", "evidence", "source", "private")


@functools.lru_cache(maxsize=8)
def _words(tables: Tables) -> dict[EventKind, tuple[str, str]]:
    """For each kind its printed word, and the word before whom it came from."""
    found: dict[EventKind, tuple[str, str]] = {}
    for row in tables.terms("event"):
        if printed := row.more.get("print"):
            giver = "by" if row.more.get("by") == "giver" else "from"
            found.setdefault(EventKind(row.label), (printed, giver))
    return found


def print_provenance(
    events: Sequence[ProvenanceEvent],
    parties: Sequence[Party],
    tables: Tables | None = None,
) -> tuple[str, tuple[str, ...]]:
    """The events as text, and what could not be carried, one plain sentence each.

    Reading the text again gives the same events, but for what is named, their words as stated,
    and the ids of the parties. `tables` are those that ship where none are given.
    """
    tables = tables or load_tables()
    by_id = {party.id: party for party in parties}
    printed = ""
    for number, event in enumerate(events):
        words = _event_words(event, by_id, tables)
        if number:
            separator = _SEPARATORS[event.passage]
            words = words if separator != ". " else words[:1].upper() + words[1:]
            printed += separator + words
        else:
            printed = words
    if printed:
        printed += "."
    return printed, tuple(_lost(printed, events, by_id, tables))


def _event_words(event: ProvenanceEvent, parties: Mapping[str, Party], tables: Tables) -> str:
    phrase, from_whom = _words(tables)[event.kind]
    receiver, giver, agent = (
        _name(parties.get(i)) for i in (event.receiver, event.giver, event.agent)
    )
    holds = event.kind is EventKind.STAY and not giver and bool(receiver) != bool(agent)
    if holds:
        words = receiver or f"({agent})"
    else:
        words = phrase
        if giver:
            words += f" {from_whom} {giver}"
        if receiver:
            words += f" to {receiver}"
        if agent:
            words += f" through ({agent})"
    nobody = not (receiver or giver or agent)
    if nobody and event.place:
        words += f" in {event.place}"
    if event.certainty in _HEDGES:
        words = f"{_HEDGES[event.certainty]} {words}"
    parts = [words]
    if event.place and not nobody:
        parts.append(event.place)
    if event.date is not None and (when := date_words(event.date)):
        parts.append(when)
    if event.until is not None and (until := date_words(event.until)):
        between = " " if event.date is not None else ", "
        parts[-1] += f"{between}until {until}"
    if event.lot:
        parts.append(f"lot {event.lot}")
    if event.number:
        parts.append(f"no. {event.number}")
    return ", ".join(parts)


def _name(party: Party | None) -> str:
    if party is None:
        return ""
    return f"{party.name} [{party.life}]" if party.life else party.name


def _lost(
    printed: str,
    events: Sequence[ProvenanceEvent],
    parties: Mapping[str, Party],
    tables: Tables,
) -> list[str]:
    """Compare what was given with what the printed text reads as."""
    lost: list[str] = []
    understood = read_provenance(printed, tables)
    again = [s for s in understood.statements if isinstance(s, ProvenanceEvent)]
    names = {party.id: party for party in understood.parties}
    if len(again) != len(events):
        lost.append(f"{len(events)} events are printed but would be read as {len(again)}")
    for number, (event, read) in enumerate(zip(events, again, strict=False), start=1):
        for field in _PRINTED:
            if getattr(event, field) != getattr(read, field):
                lost.append(f"event {number}: {field} ({getattr(event, field)})")
        for field in ("date", "until"):
            given, back = getattr(event, field), getattr(read, field)
            if (given is None) != (back is None) or (
                given is not None
                and back is not None
                and (given.edtf, given.earliest, given.latest)
                != (back.edtf, back.earliest, back.latest)
            ):
                lost.append(f"event {number}: {field} ({given.edtf if given else 'none'})")
        for role in ("giver", "receiver", "agent"):
            if _life_of(parties, getattr(event, role)) != _life_of(names, getattr(read, role)):
                lost.append(f"event {number}: {role}")
        lost.extend(
            f"event {number}: {field}"
            for field in _NEVER_PRINTED
            if getattr(event, field) != getattr(ProvenanceEvent(), field)
        )
    return lost


def _life_of(parties: Mapping[str, Party], party_id: str) -> tuple[str, str]:
    party = parties.get(party_id)
    return (party.name, party.life) if party else ("", party_id and "unknown party")
