"""What happened to a piece: its making as it is held and as others hold it, and its provenance."""

from __future__ import annotations

from lxml import etree

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    EventKind,
    Passage,
    ProvenanceEvent,
)
from archivist.wording.facts import held
from archivist_plugins.changes_of_hands import PASSES_OWNERSHIP, happened, stayed_until
from archivist_plugins.lido.writing import Writer, attributes, doubted

PRODUCTION = "Production"
PROVENANCE = "Provenance"

EVENT_TYPES: dict[EventKind, str] = {
    **dict.fromkeys(PASSES_OWNERSHIP, "Acquisition"),
    EventKind.COMMISSION: "Commissioning",
    EventKind.FIND: "Finding",
    EventKind.EXHIBITION: "Exhibition",
}
"""The term of LIDO's event types for a change of hands (the documentation of `eventType` in the
schema of LIDO 1.0 lists them).

Whatever is no change of owner for certain is 'Provenance'; the exact kind is the event's method.
"""

OTHER = "Not the opinion that is preferred; it stands beside it."
GAP = "What happened between the event before and this one is not known."


def events(writer: Writer, half: etree._Element, piece: Piece) -> None:
    """All events in order: the making first. What was rejected is no event."""
    standing = [
        a for a in piece.record.attributions if a.certainty is not Certainty.REJECTED and _words(a)
    ]
    preferred = [a for a in standing if a is held(piece, a.aspect)]
    others = [a for a in standing if a is not held(piece, a.aspect)]
    changes = [e for e in piece.record.provenance if e.certainty is not Certainty.REJECTED]
    if not preferred and not changes:
        return
    wrap = writer.add(half, "eventWrap")
    if preferred:
        _production(writer, wrap, piece, preferred, 1, "")
    for number, other in enumerate(others, start=2):
        _production(writer, wrap, piece, [other], number, OTHER)
    for number, change in enumerate(changes, start=2 + len(others)):
        _change_of_hands(writer, wrap, piece, change, number)


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
    note: str,
) -> None:
    """The making, as these attributions have it, at most one of each aspect."""
    by_aspect = {a.aspect: a for a in attributions}
    told = [_told(piece, by_aspect[aspect]) for aspect in Aspect if aspect in by_aspect]
    event = _event(writer, wrap, wording.listed(told, "; "), PRODUCTION, order)
    if maker := by_aspect.get(Aspect.MAKER):
        label = maker.term.label if maker.term else " ".join(maker.as_stated.split())
        _actor(writer, event, label, "maker", _told(piece, maker), _doubt(maker))
    if culture := by_aspect.get(Aspect.CULTURE):
        writer.term(event, "culture", culture.term, culture)
    if date := by_aspect.get(Aspect.DATE):
        words = wording.with_caveats(piece, _words(date), date)
        writer.date_set(event, "eventDate", words, date.date, None)
    if period := by_aspect.get(Aspect.PERIOD):
        writer.term(event, "periodName", period.term, period)
    for aspect in (Aspect.PLACE, Aspect.KILN):
        if place := by_aspect.get(aspect):
            label = place.term.label if place.term else " ".join(place.as_stated.split())
            words = wording.with_caveats(piece, _words(place), place)
            _place(writer, event, doubted(label, place), aspect.value, words)
    if note:
        writer.note(event, "eventDescriptionSet", note, "other opinion")


def _told(piece: Piece, attribution: Attribution) -> str:
    """An attribution in words, with who holds it, how surely and why."""
    words = f"{attribution.aspect.value}: {_words(attribution)}"
    return wording.with_caveats(piece, words, attribution)


def _words(attribution: Attribution) -> str:
    """What is held, without who holds it and how surely."""
    if attribution.aspect is Aspect.DATE:
        return wording.date_shown(attribution.date, attribution.as_stated)
    return wording.term_shown(attribution.term, attribution.as_stated)


def _doubt(attribution: Attribution) -> str:
    sure = attribution.certainty is Certainty.CERTAIN
    return "" if sure else attribution.certainty.value


def _change_of_hands(
    writer: Writer, wrap: etree._Element, piece: Piece, change: ProvenanceEvent, order: int
) -> None:
    words = wording.with_caveats(piece, wording.event_shown(piece, change), change)
    sure = change.certainty is Certainty.CERTAIN
    kind = EVENT_TYPES.get(change.kind, PROVENANCE) if sure else PROVENANCE
    event = _event(writer, wrap, words, kind, order)
    for party, role in (
        (change.giver, "giver"),
        (change.receiver, "receiver"),
        (change.agent, "agent"),
    ):
        name = wording.party_name(piece, party)
        if name:
            _actor(writer, event, name, role, "", "")
    began, ended = happened(change)
    ends = [wording.date_shown(began), wording.date_shown(ended)]
    writer.date_set(event, "eventDate", wording.listed(ends, " until "), began, ended)
    if change.place:
        _place(writer, event, change.place, "", change.place)
    writer.concept(event, "eventMethod", doubted(change.kind.value, change))
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
