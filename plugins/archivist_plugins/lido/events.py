"""What happened to a piece: its making as it is held and as others hold it, and its provenance."""

from __future__ import annotations

from itertools import count

from lxml import etree

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Citation,
    CitationKind,
    EventKind,
    Passage,
    ProvenanceEvent,
    Standing,
    is_settled,
    only_reported,
    standing_of,
)
from archivist.wording.facts import held_date_shown
from archivist_plugins.changes_of_hands import PASSES_OWNERSHIP, happened, stayed_until
from archivist_plugins.dates import held_date
from archivist_plugins.lido.writing import Writer, attributes, doubted

PRODUCTION = "Production"
MODIFICATION = "Modification"
EXHIBITION = "Exhibition"
PROVENANCE = "Provenance"

EVENT_TYPES: dict[EventKind, str] = {
    **dict.fromkeys(PASSES_OWNERSHIP, "Acquisition"),
    EventKind.COMMISSION: "Commissioning",
    EventKind.FIND: "Finding",
    EventKind.EXHIBITION: EXHIBITION,
}
"""The term of LIDO's event types for a change of hands (the documentation of `eventType` in the
schema of LIDO 1.0 lists them).

Whatever is no change of owner for certain is 'Provenance'; the exact kind is the event's method.
"""

OTHER = "Not the opinion that is preferred; it stands beside it."
GAP = "What happened between the event before and this one is not known."


def events(writer: Writer, half: etree._Element, piece: Piece) -> None:
    """All events in order: the making first. What was rejected is no event."""
    attributions = piece.record.attributions
    standings = list(zip(attributions, standing_of(attributions), strict=True))
    preferred = [a for a, standing in standings if standing is Standing.HELD and _words(a)]
    others = [a for a, standing in standings if standing is Standing.OTHER and _words(a)]
    later = [a for a, standing in standings if standing is Standing.APART and _is_event(a)]
    changes = [e for e in piece.record.provenance if e.certainty is not Certainty.REJECTED]
    shown = [c for c in piece.record.citations if _is_exhibition(c)]
    if not (preferred or others or later or changes or shown):
        return
    wrap = writer.add(half, "eventWrap")
    if preferred:
        _production(writer, wrap, piece, preferred, 1, PRODUCTION, "")
    numbers = count(2)
    for other in others:
        _production(writer, wrap, piece, [other], next(numbers), PRODUCTION, OTHER)
    for change in later:
        _production(writer, wrap, piece, [change], next(numbers), MODIFICATION, change.role.value)
    for event in changes:
        _change_of_hands(writer, wrap, piece, event, next(numbers))
    for citation in shown:
        _exhibition(writer, wrap, citation, next(numbers))


def _is_event(attribution: Attribution) -> bool:
    """Whether it is an event of the piece, done later for certain; what is of a part is none."""
    return is_settled(attribution) and not attribution.part and bool(_words(attribution))


def _is_exhibition(citation: Citation) -> bool:
    return is_settled(citation) and citation.kind is CitationKind.EXHIBITION


def _exhibition(writer: Writer, wrap: etree._Element, citation: Citation, order: int) -> None:
    event = _event(writer, wrap, wording.citation_shown(citation), EXHIBITION, order)
    if citation.title:
        writer.named(event, "eventName", citation.title)
    words = wording.date_shown(citation.date)
    writer.date_set(event, "eventDate", words, citation.date, None)
    if citation.venue:
        _place(writer, event, citation.venue, "", citation.venue)


def _event(
    writer: Writer, wrap: etree._Element, words: str, kind: str, order: int
) -> etree._Element:
    element = writer.add(wrap, "eventSet", attributes=attributes(sortorder=str(order)))
    writer.add(element, "displayEvent", words)
    event = writer.add(element, "event")
    writer.concept(event, "eventType", kind)
    return event


def _production(
    writer: Writer,
    wrap: etree._Element,
    piece: Piece,
    attributions: list[Attribution],
    order: int,
    kind: str,
    note: str,
) -> None:
    """The making, as these attributions have it, at most one of each aspect; or what was done
    later, which `note` names."""
    by_aspect = {a.aspect: a for a in attributions}
    told = [_told(piece, by_aspect[aspect]) for aspect in Aspect if aspect in by_aspect]
    event = _event(writer, wrap, wording.listed(told, "; "), kind, order)
    if maker := by_aspect.get(Aspect.MAKER):
        label = maker.term.label if maker.term else " ".join(maker.as_stated.split())
        _actor(writer, event, label, "maker", _told(piece, maker), wording.doubt(piece, maker))
    if culture := by_aspect.get(Aspect.CULTURE):
        writer.term(event, "culture", culture.term, culture, piece)
    if date := by_aspect.get(Aspect.DATE):
        _date(writer, event, piece, date)
    if period := by_aspect.get(Aspect.PERIOD):
        writer.term(event, "periodName", period.term, period, piece)
    for aspect in (Aspect.PLACE, Aspect.KILN):
        if place := by_aspect.get(aspect):
            label = place.term.label if place.term else " ".join(place.as_stated.split())
            words = wording.with_caveats(piece, _words(place), place)
            _place(writer, event, doubted(piece, label, place), aspect.value, words)
    if note:
        about = "other opinion" if kind == PRODUCTION else "what was done"
        writer.note(event, "eventDescriptionSet", note, about)


def _date(writer: Writer, event: etree._Element, piece: Piece, said: Attribution) -> None:
    """The years of a date, what keeps them from being certain beside them.

    Of a date that is held they are those in which all that agree with it agree.
    """
    held = held_date(piece)
    doubt = wording.doubt(piece, said)
    date, words = said.date, wording.with_caveats(piece, _words(said), said)
    if held is not None and said is piece.record.preferred(Aspect.DATE):
        date = held.date
        words = wording.with_caveats(piece, held.words, said)
        sure = held.certainty is Certainty.CERTAIN
        doubt = doubt or ("" if sure else held.certainty.value)
    doubtful = said.certainty is Certainty.DOUBTFUL
    writer.date_set(event, "eventDate", words, None if doubtful else date, None, doubt)


def _told(piece: Piece, attribution: Attribution) -> str:
    """An attribution in words, with who holds it, how surely and why."""
    held = attribution is piece.record.preferred(Aspect.DATE)
    value = held_date_shown(piece) if held else _words(attribution)
    return wording.with_caveats(piece, f"{attribution.aspect.value}: {value}", attribution)


def _words(attribution: Attribution) -> str:
    """What is held, without who holds it and how surely."""
    if attribution.aspect is Aspect.DATE:
        return wording.date_shown(attribution.date, attribution.as_stated)
    return wording.term_shown(attribution.term, attribution.as_stated)


def _change_of_hands(
    writer: Writer, wrap: etree._Element, piece: Piece, change: ProvenanceEvent, order: int
) -> None:
    words = wording.with_caveats(piece, wording.event_shown(piece, change), change)
    sure = change.certainty is Certainty.CERTAIN and not only_reported(change)
    kind = EVENT_TYPES.get(change.kind, PROVENANCE) if sure else PROVENANCE
    event = _event(writer, wrap, words, kind, order)
    for party, role in (
        (change.giver, "giver"),
        (change.receiver, "receiver"),
        (change.agent, "agent"),
    ):
        name = wording.party_name(piece, party)
        if name:
            _actor(writer, event, name, role, "", wording.doubt(piece, change))
    began, ended = happened(change)
    ends = [wording.date_shown(began), wording.date_shown(ended)]
    words, doubt = wording.listed(ends, " until "), wording.doubt(piece, change)
    writer.date_set(event, "eventDate", words, began, ended, doubt)
    if change.place:
        words = wording.with_caveats(piece, change.place, change)
        _place(writer, event, doubted(piece, change.place, change), "", words)
    writer.concept(event, "eventMethod", doubted(piece, change.kind.value, change))
    if change.passage is Passage.GAP:
        writer.note(event, "eventDescriptionSet", GAP, "gap")
    left = wording.date_shown(stayed_until(change))
    if left:
        writer.note(event, "eventDescriptionSet", f"The stay that followed ended: {left}.", "until")


def _actor(
    writer: Writer, event: etree._Element, name: str, role: str, words: str, doubt: str
) -> None:
    element = writer.add(event, "eventActor")
    writer.add(element, "displayActorInRole", words or f"{role}: {name}")
    inner = writer.add(element, "actorInRole")
    writer.named(writer.add(inner, "actor"), "nameActorSet", name)
    writer.concept(inner, "roleActor", role)
    if doubt:
        writer.concept(inner, "attributionQualifierActor", doubt)


def _place(writer: Writer, event: etree._Element, name: str, kind: str, words: str) -> None:
    element = writer.add(event, "eventPlace", attributes=attributes(type=kind))
    writer.add(element, "displayPlace", words)
    writer.named(writer.add(element, "place"), "namePlaceSet", name)
