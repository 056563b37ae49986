"""Provenance text into events in order, with the parties they name, and the citations in it."""

from __future__ import annotations

import re
from typing import NamedTuple

from archivist.model.base import Reading
from archivist.model.citations import Citation
from archivist.model.parties import Party
from archivist.model.provenance import EventKind, Passage, ProvenanceEvent
from archivist.model.records import Relation
from archivist.reading.provenance.naming import Event
from archivist.reading.provenance.owners import Parties
from archivist.reading.provenance.parse import parse
from archivist.reading.provenance.passages import Link, passages
from archivist.reading.provenance.sorting import sort
from archivist.reading.provenance.split import Segment, split
from archivist.reading.result import Understood
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, unread_spans


class History(NamedTuple):
    """What a text of provenance tells: events, citations (and what is only compared), parties."""

    events: tuple[ProvenanceEvent, ...]
    citations: tuple[Citation | Relation, ...]
    parties: tuple[Party, ...]


def read_provenance(text: str, tables: Tables) -> Understood:
    """The provenance events of `text` in order, and the literature and exhibitions among them.

    Published convention and free sentences alike: where a text keeps to it throughout, ';' is a
    direct passage and '.' a gap; what stands in round brackets is the trade. A numbered note
    becomes the ground of the event that refers to it, and stays unread as words. Words that
    whoever kept the file left for themselves ('Under review') are no event and stay unread too.
    """
    history = history_in(text, tables)
    statements = sorted((*history.events, *history.citations), key=_place)
    spans = [(s.reading.start, s.reading.end) for s in statements if s.reading is not None]
    return Understood(
        text=text,
        statements=tuple(statements),
        unread=unread_spans(Words(text), spans, fillers(tables)),
        parties=history.parties,
    )


def _place(statement: ProvenanceEvent | Citation | Relation) -> int:
    return statement.reading.start if statement.reading is not None else 0


def history_in(text: str, tables: Tables) -> History:
    """All that a text of provenance tells, for readers that keep account of the words."""
    taken = split(text, tables)
    found = sort(text, taken.segments, tables)
    parsed = [(segment, parse(segment.own(text), tables)) for segment in found.events]
    links = [
        Link(s.mark, s.gap, text[s.words_start : s.end], event.kind, event.when)
        for s, event in parsed
    ]
    parties = Parties(tables)
    events = tuple(
        _event(segment, event, passage, text, taken.notes, parties)
        for (segment, event), passage in zip(parsed, passages(links, tables), strict=True)
    )
    return History(events, found.citations, parties.all())


def _event(
    segment: Segment,
    parsed: Event,
    passage: Passage,
    text: str,
    notes: dict[str, str],
    parties: Parties,
) -> ProvenanceEvent:
    words = text[segment.start : segment.end]
    ids = parties.ids_of(parsed)
    when = parsed.when
    return ProvenanceEvent(
        as_stated=words,
        certainty=parsed.certainty,
        ground=" ".join(filter(None, (parsed.ground, *(notes.get(n, "") for n in parsed.notes)))),
        reading=Reading(
            rule=f"provenance: {parsed.rule}",
            confidence=_confidence(parsed, words),
            start=segment.start,
            end=segment.end,
        ),
        kind=parsed.kind,
        giver=ids.get("giver", ""),
        receiver=ids.get("receiver", ""),
        agent=ids.get("agent", ""),
        place=parsed.place,
        date=when.date if when else None,
        until=when.until if when else None,
        passage=passage,
        lot=parsed.lot,
        number=parsed.number,
    )


def _confidence(event: Event, words: str) -> str:
    """Lower where a sentence was not of the convention, or names nobody."""
    if not event.holders:
        return "0.5"
    longest = max(len(holder.name) for holder in event.holders.values())
    if longest > 60 or re.search(r"\b(?:that|which|who|was|were)\b", words):
        return "0.6"
    return "0.8" if event.kind is EventKind.STAY else "0.9"
