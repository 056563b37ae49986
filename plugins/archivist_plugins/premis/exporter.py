"""Writes one piece and its photograph files as PREMIS 3.0."""

from __future__ import annotations

from lxml import etree

from archivist.content import ByteSource
from archivist.hooks import DisclosedPhotograph, Exporter, Package, Piece, Selection
from archivist.model import Certainty, Rights
from archivist_plugins.addresses import Companion, nothing_there
from archivist_plugins.dates import notation, with_doubt
from archivist_plugins.premis.events import (
    DISSEMINATION,
    Event,
    befallen,
    derivation,
    digested,
    dissemination,
    embedding,
    taken,
)
from archivist_plugins.premis.formats import NAMES, REGISTRY, registered
from archivist_plugins.premis.locations import (
    CarryingCopy,
    Location,
    carrying_copy,
    locations,
)
from archivist_plugins.rights import rights_of
from archivist_plugins.xml_writing import XSI, XmlDocument

NAMESPACE = "http://www.loc.gov/premis/v3"
_TYPE = f"{{{XSI}}}type"
_LOCATION = {f"{{{XSI}}}schemaLocation": f"{NAMESPACE} {NAMESPACE}/premis-v3-0.xsd"}

CARRIES = "a copy of the photograph that carries what it shows, rights and credit within it"
STAYS = "The original stays in the archive and is not part of this release."

Identifier = tuple[str, str]
"""Type and value, as every identifier of PREMIS is given."""


class Premis(Exporter):
    """Writes `SLUG.xml` a piece."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes one piece."""
        package.write(f"{piece.slug}.xml", document(piece, selection, package.companion))


def document(piece: Piece, selection: Selection, companion: Companion = nothing_there) -> bytes:
    """The PREMIS document of one piece, as UTF-8. `companion` finds what is there already."""
    return _Description(piece, selection, companion).as_bytes()


class _Description:
    """The PREMIS document of one piece."""

    def __init__(self, piece: Piece, selection: Selection, companion: Companion) -> None:
        self._piece = piece
        self._selection = selection
        self._companion = companion
        self._document = XmlDocument(
            NAMESPACE,
            "premis",
            {"premis": NAMESPACE, "xsi": XSI},
            {"version": "3.0", **_LOCATION},
        )
        self._entity: Identifier = ("URI", piece.uri)
        self._group: Identifier = ("URI", f"{piece.uri}#photographs")
        self._rights: Identifier = ("URI", f"{piece.uri}#rights")
        self._program: Identifier = ("name", selection.archive.program)
        self._programs: dict[str, None] = {self._program[1]: None}
        self._owner: Identifier = ("URI", f"urn:uuid:{selection.archive.id}")

    def as_bytes(self) -> bytes:
        """Objects, then events, agents and rights: the order of the schema."""
        selection = self._selection
        files = {photo.sha256: photo for photo in self._piece.photographs}
        originals = {
            photo.original_sha256: photo
            for photo in files.values()
            if photo.original_sha256 not in files
        }
        events = [dissemination(self._piece, selection)]
        self._intellectual_entity(bool(files))
        if files:
            self._representation()
        for photo in files.values():
            mine = self._events_of(photo)
            events.extend(mine)
            self._file(photo, mine)
        for photo in self._piece.photographs:
            copy = carrying_copy(self._piece, photo, selection, self._companion)
            if copy is not None:
                embedded = embedding(self._piece, copy, selection)
                events.append(embedded)
                self._carrying(copy, embedded)
        for photo in originals.values():
            self._original(photo, self._events_of(photo))
        for event in {event.uri: event for event in events}.values():
            self._event(event, list(files))
        self._agents()
        self._rights_statement(rights_of(self._piece, self._selection.archive))
        return self._document.as_bytes()

    def _events_of(self, photo: DisclosedPhotograph) -> list[Event]:
        found = []
        if photo.how or photo.sha256 != photo.original_sha256:
            found.append(derivation(self._piece, photo, self._selection))
            found.append(digested(self._piece, photo, self._selection))
        found += befallen(self._piece, photo)
        chosen = next((t for t in photo.photograph.taken if t.preferred), None)
        chosen = chosen or next(iter(photo.photograph.taken), None)
        edtf = notation(chosen.date) if chosen else ""
        if chosen is not None and edtf and chosen.certainty is not Certainty.REJECTED:
            sure = chosen.certainty is Certainty.CERTAIN
            when = edtf if sure else with_doubt(edtf.partition("T")[0])  # no doubt about an hour
            found.append(taken(self._piece, photo, when))
        return found

    # Objects

    def _object(self, kind: str) -> etree._Element:
        return self._add(self._document.root, "object", attributes={_TYPE: f"premis:{kind}"})

    def _intellectual_entity(self, has_photographs: bool) -> None:
        record = self._piece.record
        element = self._object("intellectualEntity")
        self._identified(element, "object", self._entity)
        self._identified(element, "object", ("UUID", record.id))
        numbered = [("stock number", record.stock_number)]
        numbered += [("other number", number) for number in record.other_numbers]
        for kind, number in numbered:
            if number:
                self._identified(element, "object", (kind, number))
        if record.title:
            self._property(element, "title", record.title)
        if has_photographs:
            self._related(element, "structural", "is represented by", self._group)
        self._link(element, "Event", ("URI", f"{self._piece.uri}#{DISSEMINATION}"))
        self._link(element, "RightsStatement", self._rights)

    def _representation(self) -> None:
        element = self._object("representation")
        self._identified(element, "object", self._group)
        self._property(element, "what it is", "the photographs of the piece, as released")
        self._related(element, "structural", "represents", self._entity)

    def _file(self, photo: DisclosedPhotograph, events: list[Event]) -> None:
        element = self._object("file")
        self._identified(element, "object", ("SHA-256", photo.sha256))
        if photo.sha256 == photo.original_sha256:
            self._identified(element, "object", ("UUID", photo.photograph.id))
        self._property(element, "view", photo.depiction.view.value)
        self._property(element, "name in this release", photo.name)
        if photo.label != photo.depiction.view.value:
            self._property(element, "caption", photo.label)
        if photo.width and photo.height:
            self._property(element, "size in pixels", f"{photo.width} x {photo.height}")
        digests = (("SHA-256", photo.sha256), ("SHA-512", photo.sha512))
        self._characteristics(element, digests, photo.size, photo.media_type, photo.content())
        places = [
            at
            for same in self._piece.photographs
            if same.sha256 == photo.sha256
            for at in locations(self._piece, same, self._selection, self._companion)
        ]
        for at in dict.fromkeys(places):
            self._location(element, at)
        self._related(element, "structural", "is part of", self._group)
        if photo.sha256 != photo.original_sha256:
            source = ("SHA-256", photo.original_sha256)
            self._related(element, "derivation", "has source", source)
        self._link_events(element, photo.sha256, events)
        self._link(element, "RightsStatement", self._rights)

    def _carrying(self, copy: CarryingCopy, event: Event) -> None:
        """A copy that carries its words within it."""
        file, photo = copy.file, copy.photo
        element = self._object("file")
        self._identified(element, "object", ("SHA-256", file.sha256))
        self._property(element, "what it is", CARRIES)
        digests = (("SHA-256", file.sha256), ("SHA-512", file.sha512))
        self._characteristics(element, digests, file.size, photo.media_type, file.content())
        self._location(element, copy.location)
        self._related(element, "derivation", "has source", ("SHA-256", photo.sha256))
        self._link(element, "Event", ("URI", event.uri))
        self._link(element, "RightsStatement", self._rights)

    def _location(self, parent: etree._Element, at: Location) -> None:
        location = self._add(self._add(parent, "storage"), "contentLocation")
        self._add(location, "contentLocationType", at.kind)
        self._add(location, "contentLocationValue", at.path)

    def _original(self, photo: DisclosedPhotograph, events: list[Event]) -> None:
        """The original of a copy: known by its digest, and said not to be here."""
        element = self._object("file")
        self._identified(element, "object", ("SHA-256", photo.original_sha256))
        self._identified(element, "object", ("UUID", photo.photograph.id))
        self._property(element, "availability", STAYS)
        digests = (("SHA-256", photo.original_sha256),)
        self._characteristics(element, digests, None, photo.photograph.media_type)
        self._link_events(element, photo.original_sha256, events)

    def _link_events(self, element: etree._Element, digest: str, events: list[Event]) -> None:
        """Those of the events that befell just this file."""
        for event in events:
            if digest in (event.outcomes or ()):
                self._link(element, "Event", ("URI", event.uri))

    def _characteristics(
        self,
        parent: etree._Element,
        digests: tuple[Identifier, ...],
        size: int | None,
        media_type: str,
        source: ByteSource | None = None,
    ) -> None:
        element = self._add(parent, "objectCharacteristics")
        self._add(element, "compositionLevel", "0")
        for algorithm, value in digests:
            if not value:
                continue
            fixity = self._add(element, "fixity")
            self._add(fixity, "messageDigestAlgorithm", algorithm)
            self._add(fixity, "messageDigest", value)
            self._add(fixity, "messageDigestOriginator", self._selection.archive.program)
        if size is not None:
            self._add(element, "size", str(size))
        form = self._add(element, "format")
        designation = self._add(form, "formatDesignation")
        self._add(designation, "formatName", media_type or "not identified")
        key = registered(source) if source else ""
        if key:
            registry = self._add(form, "formatRegistry")
            self._add(registry, "formatRegistryName", REGISTRY)
            self._add(registry, "formatRegistryKey", key)
            self._add(form, "formatNote", NAMES[key])

    # Events, agents, rights

    def _event(self, event: Event, released: list[str]) -> None:
        element = self._add(self._document.root, "event")
        self._identified(element, "event", ("URI", event.uri))
        self._add(
            element,
            "eventType",
            event.type.label,
            {
                "authority": "eventType",
                "authorityURI": "http://id.loc.gov/vocabulary/preservation/eventType",
                "valueURI": event.type.uri,
            },
        )
        self._add(element, "eventDateTime", event.when)
        if event.detail:
            self._add(self._add(element, "eventDetailInformation"), "eventDetail", event.detail)
        if event.outcome:
            told = self._add(element, "eventOutcomeInformation")
            self._add(told, "eventOutcome", event.outcome)
        program = event.agent or (self._program[1] if event.by_program else "")
        if program:
            self._programs.setdefault(program)
            agent = self._link(element, "Agent", ("name", program))
            self._add(agent, "linkingAgentRole", "executing program")
        for digest in event.sources:
            linked = self._link(element, "Object", ("SHA-256", digest))
            self._add(linked, "linkingObjectRole", "source")
        for digest in event.outcomes if event.outcomes is not None else released:
            linked = self._link(element, "Object", ("SHA-256", digest))
            self._add(linked, "linkingObjectRole", "outcome")
        if event.outcomes is None:
            self._link(element, "Object", self._entity)

    def _agents(self) -> None:
        for identifier in self._programs:
            program = self._add(self._document.root, "agent")
            name, _, version = identifier.partition(" ")
            self._identified(program, "agent", ("name", identifier))
            self._add(program, "agentName", name)
            self._add(program, "agentType", "software")
            if version:
                self._add(program, "agentVersion", version)
        owner = self._add(self._document.root, "agent")
        self._identified(owner, "agent", self._owner)
        self._add(owner, "agentName", self._selection.archive.owner)
        self._add(owner, "agentNote", f"owner of the archive '{self._selection.archive.name}'")

    def _rights_statement(self, rights: Rights) -> None:
        """A Creative Commons URI is a licence; anything else is told under 'other', as it is."""
        statement = self._add(self._add(self._document.root, "rights"), "rightsStatement")
        self._identified(statement, "rightsStatement", self._rights)
        notes = [
            f"Rights holder: {rights.holder}" if rights.holder else "",
            f"Credit: {rights.credit}" if rights.credit else "",
            rights.note,
        ]
        licence = "creativecommons.org/" in rights.uri
        self._add(statement, "rightsBasis", "license" if licence else "other")
        prefix, group = (
            ("license", "licenseInformation")
            if licence
            else ("otherRights", "otherRightsInformation")
        )
        told = self._add(statement, group)
        if rights.uri:
            self._identified(told, f"{prefix}Documentation", ("URI", rights.uri))
        if not licence:
            basis = "standardised rights statement" if rights.uri else "as stated by the owner"
            self._add(told, "otherRightsBasis", basis)
        for note in notes:
            if note:
                self._add(told, f"{prefix}Note", note)
        agent = self._link(statement, "Agent", self._owner)
        self._add(agent, "linkingAgentRole", "owner of the archive")

    # Small pieces

    def _add(
        self,
        parent: etree._Element,
        name: str,
        text: str = "",
        attributes: dict[str, str] | None = None,
    ) -> etree._Element:
        return self._document.add(parent, name, text, attributes)

    def _identified(self, parent: etree._Element, what: str, identifier: Identifier) -> None:
        element = self._add(parent, f"{what}Identifier")
        self._add(element, f"{what}IdentifierType", identifier[0])
        self._add(element, f"{what}IdentifierValue", identifier[1])

    def _link(self, parent: etree._Element, what: str, identifier: Identifier) -> etree._Element:
        element = self._add(parent, f"linking{what}Identifier")
        self._add(element, f"linking{what}IdentifierType", identifier[0])
        self._add(element, f"linking{what}IdentifierValue", identifier[1])
        return element

    def _related(
        self, parent: etree._Element, kind: str, sub_kind: str, identifier: Identifier
    ) -> None:
        element = self._add(parent, "relationship")
        self._add(element, "relationshipType", kind)
        self._add(element, "relationshipSubType", sub_kind)
        self._identified(element, "relatedObject", identifier)

    def _property(self, parent: etree._Element, kind: str, value: str) -> None:
        element = self._add(parent, "significantProperties")
        self._add(element, "significantPropertiesType", kind)
        self._add(element, "significantPropertiesValue", value)
