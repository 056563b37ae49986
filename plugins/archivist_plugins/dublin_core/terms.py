"""From a piece to Dublin Core terms. Pure: no XML is written here.

Each term is named once for both forms: its element of the fifteen, and its qualified term (DCMI
Metadata Terms, sections 2 and 3). The fifteen stand in the order in which DCMI lists them by
habit: title, creator, subject, description, publisher, date, type, format, identifier, relation,
coverage, rights. Contributor, source and language do not apply to a made thing and are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from archivist import wording
from archivist.hooks import ArchiveFacts, Piece, Selection
from archivist.model import RelationKind, Rights, is_settled
from archivist.wording.facts import Fact, Heading, facts
from archivist_plugins.dates import held_date, is_plain
from archivist_plugins.rights import rights_of
from archivist_plugins.titles import tagged_title

URI = "dcterms:URI"
W3CDTF = "dcterms:W3CDTF"
DCMI_TYPE = "dcterms:DCMIType"
LANGUAGE = "dcterms:RFC4646"


@dataclass(frozen=True)
class Term:
    """One value: `simple` is its element of the fifteen, `qualified` its term in the other form.

    An empty name leaves it out of that form. `scheme` is the syntax that the value truly follows,
    `language` the tag of the language it is written in.
    """

    simple: str
    qualified: str
    value: str
    scheme: str = ""
    language: str = ""


OWN_TERMS: dict[Heading, tuple[str, str]] = {
    Heading.MAKER: ("creator", "creator"),
    Heading.SUBJECT: ("subject", "subject"),
    Heading.FORM: ("type", "type"),
    Heading.WARE: ("format", "medium"),
    Heading.MATERIAL: ("format", "medium"),
    Heading.TECHNIQUE: ("format", "medium"),
    Heading.GLAZE: ("format", "medium"),
    Heading.SIZE: ("format", "extent"),
    Heading.COMPOSITION: ("format", "extent"),
    Heading.STOCK_NUMBER: ("identifier", "identifier"),
    Heading.OTHER_NUMBER: ("identifier", "identifier"),
    Heading.OTHER_TITLE: ("title", "alternative"),
    Heading.PERIOD: ("coverage", "temporal"),
    Heading.PLACE: ("coverage", "spatial"),
    Heading.KILN: ("coverage", "spatial"),
    Heading.CULTURE: ("coverage", "coverage"),
    Heading.RELATED: ("relation", "relation"),
    Heading.LITERATURE: ("relation", "bibliographicCitation"),
}
"""Headings whose lines have an element that means just that; all others are descriptions."""

SENTENCES = {Heading.SIZE, Heading.COMPOSITION, Heading.RELATED, Heading.LITERATURE}
"""Headings whose whole line, and not only its short value, goes into the element."""

RELATIONS: dict[RelationKind, tuple[str, str]] = {
    RelationKind.PART_OF: ("relation", "isPartOf"),
    RelationKind.HAS_PART: ("relation", "hasPart"),
}
"""Relations with a term of their own; the others are plain relations."""

OWNER = "owner"
"""The audience from whom nothing is withheld."""

ORDER = (
    "title",
    "creator",
    "subject",
    "description",
    "publisher",
    "date",
    "type",
    "format",
    "identifier",
    "relation",
    "coverage",
    "rights",
)


def piece_terms(piece: Piece, selection: Selection) -> tuple[Term, ...]:
    """All terms of one piece, in the order of the fifteen elements."""
    found = _piece_terms(piece, selection)
    return tuple(sorted(found, key=lambda term: ORDER.index(term.simple or "description")))


def _piece_terms(piece: Piece, selection: Selection) -> Iterator[Term]:
    archive = selection.archive
    record = piece.record
    title = tagged_title(record, archive.language)
    yield Term("title", "title", title.value or record.name, language=title.language)
    for fact in facts(piece):
        yield from _of_fact(fact)
    yield Term("publisher", "publisher", archive.owner)
    yield from _made(piece)
    yield Term("type", "type", "PhysicalObject", DCMI_TYPE)
    yield Term("identifier", "identifier", piece.uri, URI)
    yield Term("identifier", "identifier", f"urn:uuid:{record.id}", URI)
    yield Term("relation", "isPartOf", f"urn:uuid:{archive.id}", URI)
    yield Term("relation", "isPartOf", archive.name)
    for relation in record.relations:
        if relation.object and is_settled(relation):
            simple, qualified = RELATIONS.get(relation.kind, ("relation", "relation"))
            yield Term(simple, qualified, f"urn:uuid:{relation.object}", URI)
    yield from rights_terms(rights_of(piece, archive))
    if selection.audience != OWNER:
        told = f"As shown to the audience '{selection.audience}'; what is private is left out."
        yield Term("rights", "accessRights", told)


def _of_fact(fact: Fact) -> Iterator[Term]:
    """The element a line has of its own, and the description that tells what it leaves out."""
    own = OWN_TERMS.get(fact.heading)
    if fact.heading is Heading.DESCRIPTION:
        yield Term("description", "description", fact.text)
    elif fact.heading is Heading.PROVENANCE:
        yield Term("description", "", fact.headed)
        yield Term("", "provenance", fact.text)
    elif own is None:
        yield Term("description", "description", fact.headed)
    else:
        value = fact.text if fact.heading in SENTENCES else fact.short
        yield Term(*own, value)
        if value != fact.text:
            yield Term("description", "description", fact.headed)


def _made(piece: Piece) -> Iterator[Term]:
    """The date that is held, as EDTF. What a mark claims is never looked at.

    Typed W3CDTF where it is a plain year, month or day. EDTF has no type in the DCMI schemas (its
    datatype URI is http://id.loc.gov/datatypes/edtf/EDTF), and an unknown type would make the file
    invalid, so other values go untyped.
    """
    held = held_date(piece)
    if held is None or not held.edtf:
        return
    if held.date.earliest is None and held.date.latest is None:
        return
    yield Term("date", "created", held.edtf, W3CDTF if is_plain(held.edtf) else "")


def rights_terms(rights: Rights) -> Iterator[Term]:
    """Rights as their URI (a licence where it is one), their holder and the credit."""
    if rights.uri:
        licence = "creativecommons.org/licenses/" in rights.uri
        yield Term("rights", "license" if licence else "rights", rights.uri, URI)
    if rights.holder:
        yield Term("rights", "", f"Rights holder: {rights.holder}")
        yield Term("", "rightsHolder", rights.holder)
    if rights.credit and rights.credit != rights.holder:
        yield Term("rights", "rights", f"Credit: {rights.credit}")
    if rights.note:
        yield Term("rights", "rights", rights.note)


def collection_terms(selection: Selection, parts: Iterable[str]) -> Iterator[Term]:
    """The collection that a release gives out, with the URI and name of each piece.

    `parts` is what `part_of` says of each piece.

    The moment of the release is not among it: a release of what did not change stays the same.
    """
    archive: ArchiveFacts = selection.archive
    language = wording.language_tag(archive.language)
    how_many = f"{selection.count} object record{'' if selection.count == 1 else 's'}"
    yield Term("title", "title", selection.title or archive.name, language=language)
    yield Term("creator", "creator", archive.owner)
    yield Term(
        "description",
        "description",
        f"{how_many} of {archive.name}, as they may be shown to the "
        f"audience '{selection.audience}'.",
    )
    yield Term("publisher", "publisher", archive.owner)
    yield Term("type", "type", "Collection", DCMI_TYPE)
    yield Term("format", "extent", how_many)
    yield Term("identifier", "identifier", f"urn:uuid:{archive.id}", URI)
    if language:
        yield Term("language", "language", language, LANGUAGE)
    yield from rights_terms(rights_of(None, archive))
    for part in parts:
        uri, _, name = part.partition(" ")
        yield Term("relation", "hasPart", uri, URI)
        yield Term("relation", "hasPart", name)


def part_of(piece: Piece) -> str:
    """The URI of a piece and what it is called, as the collection names it."""
    named = piece.record.stock_number, piece.record.title
    return f"{piece.uri} {wording.listed(named) or piece.record.id}"
