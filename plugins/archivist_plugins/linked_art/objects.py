"""A piece as a HumanMadeObject, and the archive as the Set that it belongs to."""

from __future__ import annotations

from archivist import wording
from archivist.hooks import DisclosedPhotograph, Piece, Selection
from archivist.model import (
    Certainty,
    CitationKind,
    EventKind,
    ProvenanceEvent,
    RelationKind,
    View,
    is_settled,
    not_rejected,
    only_reported,
)
from archivist.names import web_base
from archivist.wording.facts import Heading, facts
from archivist_plugins.addresses import Companion, PictureFile, nothing_there, picture_file
from archivist_plugins.changes_of_hands import PASSES_OWNERSHIP, happened
from archivist_plugins.linked_art import vocabulary as v
from archivist_plugins.linked_art.making import (
    modifications,
    opinions,
    production,
    said_of_the_piece,
)
from archivist_plugins.linked_art.parts import (
    CONTEXT,
    Resource,
    dimension,
    identifier,
    name,
    parties,
    statement,
    time_span,
    without_empty,
)
from archivist_plugins.linked_art.vocabulary import Vocabulary
from archivist_plugins.rights import rights_of
from archivist_plugins.titles import language_of_title

PRESENTATION = "http://iiif.io/api/presentation/3/context.json"


NAMED = (Heading.STOCK_NUMBER, Heading.OTHER_NUMBER, Heading.OTHER_TITLE, Heading.TITLE)
"""Headings of what stands among the names."""


def human_made_object(
    piece: Piece, selection: Selection, companion: Companion = nothing_there
) -> Resource:
    """The piece. `companion` finds what this release holds already."""
    record = piece.record
    archive = selection.archive
    terms = Vocabulary(web_base(archive.base_uri, archive.id))
    sizes = not_rejected(record.measurements)
    return without_empty(
        {
            "@context": CONTEXT,
            "id": piece.uri,
            "type": "HumanMadeObject",
            "_label": record.title or record.name,
            **said_of_the_piece(terms, piece),
            "identified_by": _names(terms, piece),
            "referred_to_by": _statements(terms, piece, selection),
            "dimension": [made for m in sizes if (made := dimension(terms, piece, m))],
            "produced_by": production(terms, piece),
            "modified_by": modifications(terms, piece),
            "attributed_by": opinions(terms, piece),
            "used_for": _exhibitions(terms, piece),
            "encountered_by": _events(terms, piece, frozenset({EventKind.FIND}), "Encounter"),
            "changed_ownership_through": _events(terms, piece, PASSES_OWNERSHIP, "Acquisition"),
            "part_of": _whole(terms, piece),
            "member_of": [_reference(selection)],
            "representation": [
                _picture(terms, p, picture_file(piece, p, archive, companion))
                for p in piece.photographs
            ],
            "subject_of": _manifest(piece, selection, companion),
        }
    )


def collection(selection: Selection) -> Resource:
    """The archive as a set; pieces point to it, and it does not list them."""
    terms = Vocabulary(web_base(selection.archive.base_uri, selection.archive.id))
    many = f"{selection.count} object record{'' if selection.count == 1 else 's'}"
    words = f"{many}, as they may be shown to the audience '{selection.audience}'."
    return {
        "@context": CONTEXT,
        **_reference(selection),
        "classified_as": [terms.of(v.COLLECTION)],
        "identified_by": [name(terms, selection.archive.name, v.PRIMARY_NAME)],
        "referred_to_by": [statement(terms, words, v.DESCRIPTION)],
    }


def _reference(selection: Selection) -> Resource:
    archive = selection.archive
    return {"id": f"urn:uuid:{archive.id}", "type": "Set", "_label": archive.name}


def _names(terms: Vocabulary, piece: Piece) -> list[Resource]:
    """Titles, the preferred one first, with their doubt; numbers; the UUID."""
    record = piece.record
    titles = [t for t in record.titles if t.value and t.certainty is not Certainty.REJECTED]
    titles.sort(key=lambda title: title.value != record.title)
    named = [
        name(
            terms,
            wording.with_caveats(piece, title.value, title),
            v.ALTERNATE_NAME if number else v.PRIMARY_NAME,
            language_of_title(title, ""),
        )
        for number, title in enumerate(titles)
    ]
    if record.stock_number:
        named.append(identifier(terms, record.stock_number, v.STOCK_NUMBER))
    for number in filter(None, record.other_numbers):
        other = {"type": "Identifier", "content": number}
        named.append({**other, "classified_as": [terms.own("identifier", "other number")]})
    return [*named, identifier(terms, record.id, v.SYSTEM_NUMBER)]


def _statements(terms: Vocabulary, piece: Piece, selection: Selection) -> list[Resource]:
    """Everything in words, of its kind and under its heading; then relations, rights, credit."""
    found = [
        statement(terms, fact.text, v.STATEMENTS.get(fact.heading, v.NOTE), fact.heading.value)
        for fact in facts(piece)
        if fact.heading not in NAMED and fact.heading is not Heading.RELATED
    ]
    for relation in piece.record.relations:
        if relation.certainty is Certainty.REJECTED:
            continue
        other = terms.address("objects", relation.object) if relation.object else ""
        words = wording.listed([relation.kind.value, other], " ")
        words = wording.with_words(words, relation.as_stated)
        told = wording.with_caveats(piece, words, relation)
        found.append(statement(terms, told, v.NOTE, "Relation"))
    rights = rights_of(piece, selection.archive)
    for words in (rights.uri, rights.holder and f"Rights holder: {rights.holder}", rights.note):
        if words:
            found.append(statement(terms, words, v.RIGHTS, "Rights"))
    if rights.credit:
        found.append(statement(terms, rights.credit, v.CREDIT, "Credit"))
    return found


def _events(
    terms: Vocabulary, piece: Piece, kinds: frozenset[EventKind], made: str
) -> list[Resource]:
    """The events of those kinds that are certain; all events are told in words besides."""
    return [
        _event(terms, piece, event, made)
        for event in piece.record.provenance
        if event.kind in kinds and event.certainty is Certainty.CERTAIN and not only_reported(event)
    ]


def _exhibitions(terms: Vocabulary, piece: Piece) -> list[Resource]:
    """Exhibitions that a citation or an event names for certain, as activities that used it."""
    found = [
        {
            "type": "Activity",
            "_label": wording.citation_shown(citation),
            "classified_as": [terms.of(v.EXHIBITING)],
            "identified_by": [name(terms, citation.title, v.PRIMARY_NAME)]
            if citation.title
            else [],
            "referred_to_by": [
                statement(terms, wording.citation_shown(citation), v.EXHIBITION, "Exhibition")
            ],
            "timespan": time_span(terms, wording.date_shown(citation.date), citation.date),
            "took_place_at": _place(terms, citation.venue),
        }
        for citation in piece.record.citations
        if citation.kind is CitationKind.EXHIBITION and is_settled(citation)
    ]
    return [without_empty(one) for one in found]


def _place(terms: Vocabulary, place: str) -> list[Resource]:
    where = terms.address("terms", "place", place)
    return [{"id": where, "type": "Place", "_label": place}] if place else []


def _event(terms: Vocabulary, piece: Piece, event: ProvenanceEvent, made: str) -> Resource:
    kind = v.ACQUISITIONS.get(event.kind)
    began, ended = happened(event)
    ends = [wording.date_shown(began), wording.date_shown(ended)]
    words = wording.listed(ends, " until ")
    transfer = {
        "transferred_title_from": parties(terms, piece, [event.giver]),
        "transferred_title_to": parties(terms, piece, [event.receiver]),
    }
    return without_empty(
        {
            "type": made,
            "_label": wording.event_shown(piece, event),
            "classified_as": [terms.of(kind) if kind else terms.own("event", event.kind.value)],
            "timespan": time_span(terms, words, began, ended),
            "took_place_at": _place(terms, event.place),
            "carried_out_by": parties(terms, piece, [event.agent]),
            **(transfer if made == "Acquisition" else {}),
        }
    )


def _whole(terms: Vocabulary, piece: Piece) -> Resource:
    """The one piece that this is certainly part of."""
    wholes = [
        relation.object
        for relation in piece.record.relations
        if relation.kind is RelationKind.PART_OF and is_settled(relation)
    ]
    if len(wholes) != 1 or not wholes[0]:
        return {}
    return {"id": terms.address("objects", wholes[0]), "type": "HumanMadeObject"}


def _picture(terms: Vocabulary, photo: DisclosedPhotograph, file: PictureFile) -> Resource:
    """What a photograph shows, and the file of it, known by its digest."""
    digest = identifier(terms, file.sha256, v.UNIQUE_IDENTIFIER, "SHA-256")
    access = [{"id": file.address, "type": "DigitalObject"}] if file.address else []
    shown = {
        "type": "DigitalObject",
        "_label": photo.name,
        "classified_as": [terms.of(v.DIGITAL_IMAGE)],
        "identified_by": [digest],
        "format": file.media_type,
        "access_point": access,
    }
    label = photo.label or photo.depiction.view.value
    known = photo.depiction.view is not View.UNKNOWN
    view = terms.own("view", photo.depiction.view.value)
    made = {"type": "VisualItem", "_label": label, "classified_as": [view] if known else []}
    return without_empty({**made, "digitally_shown_by": [without_empty(shown)]})


def _manifest(piece: Piece, selection: Selection, companion: Companion) -> list[Resource]:
    """The IIIF manifest of the piece, where this release holds one."""
    archive = selection.archive
    path = f"iiif/{piece.slug}/manifest.json"
    if companion(path) is None:
        return []
    carried = {
        "type": "DigitalObject",
        "format": "application/ld+json",
        "conforms_to": [{"id": PRESENTATION, "type": "InformationObject"}],
        "access_point": [
            {"id": web_base(archive.base_uri, archive.id) + path, "type": "DigitalObject"},
        ],
    }
    return [{"type": "LinguisticObject", "digitally_carried_by": [carried]}]
