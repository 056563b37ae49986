"""What is on a piece, what it consists of, whence it came, and when it was photographed."""

from __future__ import annotations

from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import (
    OWNERSHIP_UNCHANGED,
    Attribution,
    AttributionRole,
    Certainty,
    Citation,
    Composition,
    CompositionKind,
    EventKind,
    Legibility,
    Mark,
    MarkKind,
    MarkRelation,
    Observation,
    Part,
    Passage,
    Presence,
    Presentness,
    ProvenanceEvent,
    Relation,
    RelationKind,
    Script,
    Term,
)
from archivist.wording.caveats import party_name
from archivist.wording.dates import date_shown
from archivist.wording.plain import listed, quoted, with_words

MARK_WORDS: dict[MarkKind, str] = {
    MarkKind.REIGN: "reign mark",
    MarkKind.SEAL: "seal mark",
    MarkKind.WORKSHOP: "workshop mark",
    MarkKind.CYCLICAL: "cyclical date",
    MarkKind.DATE: "date written on the piece",
    MarkKind.PRESENTATION: "presentation mark",
    MarkKind.UNDETERMINED: "mark",
}
"""Kinds whose own word does not yet say what they are; the others are called by their value."""


RELATION_WORDS: dict[MarkRelation, str] = {
    MarkRelation.OF_THE_PERIOD: "held to be of the period it names",
    MarkRelation.LATER_THAN_IT_CLAIMS: "held to be later than it claims",
    MarkRelation.IN_THE_STYLE: "held to be in the style of the period it names",
    MarkRelation.UNDETERMINED: "not determined whether it is of the period it names",
}


EVENT_WORDS: dict[EventKind, str] = {
    EventKind.OFFER: "offered for sale",
    EventKind.WITHDRAWAL: "withdrawn from sale",
}
"""Kinds of event whose own word is too short to be understood."""

OWNERSHIP_KEPT = "no change of ownership"
"""What is said beside an event that gave nobody title."""

BESIDE_WORDS: dict[RelationKind, str] = {
    RelationKind.PAIR_WITH: "one of a pair with",
    RelationKind.COMPARE: "to be compared with",
    RelationKind.SAME_SALE: "sold together with",
}
"""How the piece stands to another; the rest are called by their value."""


def attribution_shown(attribution: Attribution) -> str:
    """The value of an attribution, with the part it is of and what was done to it then, there or
    by whom: 'mounts, mounted: Paris', 'decorated: c. 1900 (1895–1905; ...)'."""
    if attribution.date is not None:
        text = date_shown(attribution.date, attribution.as_stated)
    else:
        text = term_shown(attribution.term, attribution.as_stated)
    made = attribution.role is AttributionRole.MADE
    about = listed([attribution.part, "" if made else attribution.role.value])
    return f"{about}: {text}" if about and text else text


def citation_shown(citation: Citation) -> str:
    """What is cited, as a reader would look for it: 'A. Tolling, “Blue and white”, 1985, p. 14'."""
    cited = listed(
        [
            citation.authors,
            quoted(citation.title) if citation.title else "",
            citation.venue,
            date_shown(citation.date),
            citation.pages,
            citation.number,
        ]
    )
    return with_words(cited, citation.as_stated)


def relation_shown(piece: Piece, relation: Relation) -> str:
    """How the piece stands to another: 'to be compared with: jar in the Tolling collection'.

    '' where nothing but an identifier is known of the other.
    """
    words = " ".join(relation.as_stated.split())
    way = BESIDE_WORDS.get(relation.kind, relation.kind.value)
    return f"{way}: {words}" if words else ""


def mark_shown(piece: Piece, mark: Mark) -> str:
    """A mark: what is written, how and where, what it claims, and how that stands to the date."""
    claim = date_shown(mark.claims, mark.claim)
    count = f"{mark.count} characters" if mark.count else ""
    columns = f"in {mark.columns} columns" if mark.columns else ""
    writer = party_name(piece, mark.written_by)
    what = listed(
        [
            MARK_WORDS.get(mark.kind, mark.kind.value),
            quoted(mark.characters.replace("\n", " / ")) if mark.characters else "",
            f"[{mark.romanised}]" if mark.romanised else "",
            f"meaning {quoted(mark.translation)}" if mark.translation else "",
        ],
        " ",
    )
    look = listed(
        [
            what,
            listed([count, columns], " "),
            "" if mark.script is Script.UNSTATED else f"{mark.script.value} script",
            mark.technique,
            mark.colour,
            f"place: {mark.place}" if mark.place else "",
            "" if mark.legibility is Legibility.UNSTATED else mark.legibility.value,
        ]
    )
    stands = listed(
        [
            look,
            f"written by {writer}" if writer else "",
            f"claims {claim}" if claim and claim != mark.characters else "",
            RELATION_WORDS.get(mark.relation, ""),
        ],
        "; ",
    )
    return with_words(stands, mark.as_stated)


def observation_shown(observation: Observation) -> str:
    """What was seen, or looked for and not found: 'hairline (rim)', 'no restoration (rim)'."""
    seen = observation.term.label
    if observation.presence is Presence.ABSENT:
        seen = f"no {seen}"
    text = listed(
        [
            f"{seen} ({observation.part})" if observation.part else seen,
            observation.extent,
            f"when: {date_shown(observation.date)}" if observation.date else "",
            "looked for and not decided" if observation.presence is Presence.UNKNOWN else "",
        ]
    )
    return with_words(text, observation.as_stated)


def term_shown(term: Term | None, as_stated: str) -> str:
    """A term, with the words it was stated in where they differ."""
    return with_words(term.label if term else "", as_stated)


def part_shown(part: Part) -> str:
    """A part and whether it is there: 'cover (missing)', '6 × saucer'."""
    counted = f"{part.count} × {part.name}" if part.count > 1 else part.name
    return counted if part.state is Presentness.PRESENT else f"{counted} ({part.state.value})"


def composition_shown(composition: Composition) -> str:
    """Whether it is one piece, a pair or a set, and of what parts; '' where nobody said."""
    return listed([_whole(composition), *map(_part_with_doubt, composition.parts)])


def _part_with_doubt(part: Part) -> str:
    """A part with how sure it is: 'cover (missing; probable)'."""
    shown = part_shown(part)
    if part.certainty is Certainty.CERTAIN:
        return shown
    if shown.endswith(")"):
        return f"{shown[:-1]}; {part.certainty})"
    return f"{shown} ({part.certainty})"


def _whole(composition: Composition) -> str:
    """'single piece, one of a pair', '4 of a set of 6', 'group of 2'."""
    kind, count, of = composition.kind, composition.count, composition.of
    if of > max(count, 1) and kind is not CompositionKind.PAIR:
        there_were = "a pair" if of == 2 else f"a set of {of}"
        if count <= 1:
            return f"single piece, one of {there_were}"
        return f"{count} of {there_were}"
    kinds = {CompositionKind.UNSTATED: "", CompositionKind.SINGLE: "single piece"}
    name = kinds.get(kind, kind.value)
    many = count > 1 and kind is not CompositionKind.PAIR
    return f"{name or 'group'} of {count}" if many else name


def event_shown(piece: Piece, event: ProvenanceEvent) -> str:
    """A change of hands or a stay: '1987: sale, from private collection, Wales'."""
    giver, receiver, agent = (
        party_name(piece, party) for party in (event.giver, event.receiver, event.agent)
    )
    when = listed([date_shown(event.date), date_shown(event.until)], " until ")
    happened = listed(
        [
            EVENT_WORDS.get(event.kind, event.kind.value),
            f"from {giver}" if giver else "",
            f"to {receiver}" if receiver else "",
            f"through {agent}" if agent else "",
            event.place,
            f"lot {event.lot}" if event.lot else "",
            f"number {event.number}" if event.number else "",
            OWNERSHIP_KEPT if event.kind in OWNERSHIP_UNCHANGED else "",
        ]
    )
    line = with_words(listed([when, happened], ": "), event.as_stated)
    return f"after a gap, {line}" if event.passage is Passage.GAP else line


def taken_shown(disclosed: DisclosedPhotograph) -> str:
    """When the photograph was taken and by what witness; '' where nothing is known."""
    taken = disclosed.photograph.taken
    chosen = next((t for t in taken if t.preferred), taken[0] if taken else None)
    if chosen is None:
        return ""
    when = chosen.date.edtf or date_shown(chosen.date, chosen.as_stated)
    doubt = "" if chosen.certainty is Certainty.CERTAIN else chosen.certainty.value
    return listed([when, f"by the {chosen.witness}" if chosen.witness else "", doubt])
