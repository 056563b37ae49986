"""Provenance text into events in order, with the parties they name."""

from __future__ import annotations

import re

from archivist.model.base import Reading
from archivist.model.parties import Party
from archivist.model.provenance import EventKind, ProvenanceEvent
from archivist.reading.provenance.naming import Event, Holder, party_kind
from archivist.reading.provenance.parse import parse
from archivist.reading.provenance.split import Segment, split
from archivist.reading.result import Understood
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, unread_spans


class Parties:
    """The parties of one text: the same name is the same party."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        self._by_name: dict[str, Party] = {}

    def id_of(self, holder: Holder, trade: bool) -> str:
        """The local id of the party that `holder` names, '' where it names none."""
        if not holder.name:
            return ""
        key = " ".join(holder.name.split()).casefold().removeprefix("the ")
        known = self._by_name.get(key)
        if known is None or (holder.life and known.life and holder.life != known.life):
            while key in self._by_name:
                key += "\0"
            known = Party(
                id=f"party-{len(self._by_name) + 1}",
                name=holder.name,
                kind=party_kind(holder.name, trade, self._tables),
                life=holder.life,
                place=holder.place,
                note=holder.note,
            )
        elif holder.life and not known.life:
            known = Party(
                id=known.id,
                name=known.name,
                kind=known.kind,
                life=holder.life,
                place=known.place or holder.place,
                note=known.note or holder.note,
            )
        self._by_name[key] = known
        return known.id

    def all(self) -> tuple[Party, ...]:
        """The parties in the order in which they came up."""
        return tuple(self._by_name.values())


def read_provenance(text: str, tables: Tables) -> Understood:
    """The provenance events of `text` in order.

    Published convention and free sentences alike: ';' is a direct passage, '.' a gap, what stands
    in round brackets is the trade. A numbered note becomes the ground of the event that refers to
    it, and stays unread as words. Words that whoever kept the file left for themselves ('Under
    review') are no event and stay unread too.
    """
    events, parties = provenance_in(text, tables)
    spans = [(e.reading.start, e.reading.end) for e in events if e.reading is not None]
    return Understood(
        text=text,
        statements=events,
        unread=unread_spans(Words(text), spans, fillers(tables)),
        parties=parties,
    )


def provenance_in(
    text: str, tables: Tables
) -> tuple[tuple[ProvenanceEvent, ...], tuple[Party, ...]]:
    """As `read_provenance`, for readers that keep account of the words themselves."""
    taken = split(text, tables)
    parties = Parties(tables)
    events = tuple(
        _event(segment, text, taken.notes, parties, tables) for segment in taken.segments
    )
    return events, parties.all()


def _event(
    segment: Segment, text: str, notes: dict[str, str], parties: Parties, tables: Tables
) -> ProvenanceEvent:
    words = text[segment.start : segment.end]
    parsed = parse(words, tables)
    ids = {role: parties.id_of(holder, role == "agent") for role, holder in parsed.holders.items()}
    when = parsed.when
    return ProvenanceEvent(
        as_stated=words,
        certainty=parsed.certainty,
        ground=" ".join(notes[n] for n in parsed.notes if notes.get(n)),
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
        passage=segment.passage,
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
