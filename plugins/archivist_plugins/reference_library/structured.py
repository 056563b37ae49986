"""The piece and the collection for programs that read pages: schema.org in JSON-LD.

https://schema.org/VisualArtwork and https://schema.org/Collection. Only what the vocabulary has a
property for is said, and a date only where one certain year or day is held: `dateCreated` has no
place for doubt.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urljoin

import msgspec

from archivist.hooks import ArchiveFacts, Piece, Selection
from archivist.wording.facts import Fact, Heading, facts
from archivist_plugins.dates import held_date
from archivist_plugins.reference_library.pictures import Picture
from archivist_plugins.rights import rights_of

CONTEXT = "https://schema.org"

PROPERTIES: dict[Heading, str] = {
    Heading.FORM: "artform",
    Heading.WARE: "artMedium",
    Heading.MATERIAL: "artMedium",
    Heading.GLAZE: "artMedium",
    Heading.TECHNIQUE: "artMedium",
    Heading.SIZE: "size",
    Heading.SUBJECT: "about",
    Heading.PLACE: "locationCreated",
    Heading.PERIOD: "temporal",
    Heading.OTHER_TITLE: "alternateName",
    Heading.DESCRIPTION: "description",
    Heading.LITERATURE: "citation",
}
"""The property that takes the line of each heading; the rest has none."""

SENTENCES = frozenset({Heading.SIZE, Heading.DESCRIPTION, Heading.LITERATURE})
"""Headings of which the whole line is told, and no short value."""

PLACES = frozenset({"locationCreated"})


def piece_data(
    piece: Piece, selection: Selection, pictures: tuple[Picture, ...], root: str
) -> dict[str, Any]:
    """The piece; `root` is the address of the library, empty where it is published nowhere."""
    record, archive = piece.record, selection.archive
    lines = facts(piece)
    rights = rights_of(piece, archive)
    made: dict[str, Any] = {
        "@context": CONTEXT,
        "@type": "VisualArtwork",
        "@id": piece.uri if archive.base_uri else f"urn:uuid:{record.id}",
        "identifier": [f"urn:uuid:{record.id}", *filter(None, [record.stock_number])],
        "name": record.title or record.name,
        "isPartOf": collection_reference(archive),
    }
    if root:
        made["url"] = urljoin(root, f"pieces/{record.id}/index.html")
    for heading, name in PROPERTIES.items():
        values = [_value(fact) for fact in lines if fact.heading is heading]
        if values:
            told = [{"@type": "Place", "name": v} for v in values] if name in PLACES else values
            made.setdefault(name, []).extend(told)
    created = _created(piece)
    if created:
        made["dateCreated"] = created
    if pictures:
        made["image"] = [_image(picture, root) for picture in pictures]
    if rights.uri:
        made["license"] = rights.uri
    if rights.credit:
        made["creditText"] = rights.credit
    return made


def collection_reference(archive: ArchiveFacts) -> dict[str, Any]:
    """The collection, as its pieces name it."""
    return {"@type": "Collection", "@id": f"urn:uuid:{archive.id}", "name": archive.name}


def collection_data(selection: Selection, address: str) -> dict[str, Any]:
    """The collection itself."""
    archive = selection.archive
    made = {
        "@context": CONTEXT,
        **collection_reference(archive),
        "name": selection.title or archive.name,
        "collectionSize": selection.count,
        "publisher": {"@type": "Organization", "name": archive.owner},
    }
    if address:
        made["url"] = address
    licence = rights_of(None, archive).uri
    if licence:
        made["license"] = licence
    return made


def as_block(data: dict[str, Any]) -> str:
    """JSON that may stand in a script element, whatever is in it (HTML, 4.12.1.3)."""
    return msgspec.json.encode(data).decode("utf-8").replace("<", "\\u003c")


def _value(fact: Fact) -> str:
    return fact.text if fact.heading in SENTENCES else fact.short


def _created(piece: Piece) -> str:
    date = held_date(piece)
    return date.day if date else ""


def _image(picture: Picture, root: str) -> dict[str, Any]:
    """A picture in its largest size, at its whole address where that is known."""
    size = picture.sizes[-1]
    made: dict[str, Any] = {
        "@type": "ImageObject",
        "caption": picture.alt,
        "width": size.width,
        "height": size.height,
    }
    if root:
        made["contentUrl"] = urljoin(root, picture.address(size))
    return made
