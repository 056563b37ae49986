"""Whose record it is, its rights, and the photographs that go with it."""

from __future__ import annotations

from lxml import etree

from archivist import wording
from archivist.hooks import DisclosedPhotograph, Piece, Selection
from archivist.model import Certainty, CompositionKind, Rights, View
from archivist_plugins.addresses import Companion, PictureFile, picture_file
from archivist_plugins.lido.writing import Writer
from archivist_plugins.rights import rights_of

ITEM, GROUP = "Item-level record", "Group-level record"
"""Terms of LIDO's record types ('Group-level record' stands in the schema, the other is from
memory)."""


def administrative_metadata(
    writer: Writer, piece: Piece, selection: Selection, companion: Companion
) -> None:
    """The administrative half of the record, in the order of the schema."""
    half = writer.metadata("administrativeMetadata")
    rights = rights_of(piece, selection.archive)
    _record(writer, half, piece, selection, rights)
    if piece.photographs:
        wrap = writer.add(half, "resourceWrap")
        for photo in piece.photographs:
            file = picture_file(piece, photo, selection.archive, companion)
            _resource(writer, wrap, photo, rights, file)


def _record(
    writer: Writer, half: etree._Element, piece: Piece, selection: Selection, rights: Rights
) -> None:
    archive = selection.archive
    record = piece.record
    wrap = writer.add(half, "recordWrap")
    writer.identifier(wrap, "recordID", record.stock_number, "stock number")
    for number in record.other_numbers:
        writer.identifier(wrap, "recordID", number, "other number")
    writer.identifier(wrap, "recordID", record.id, "UUID")
    kind = record.composition.kind if record.composition else CompositionKind.UNSTATED
    several = kind in (CompositionKind.PAIR, CompositionKind.SET)
    writer.concept(wrap, "recordType", GROUP if several else ITEM)
    source = writer.add(wrap, "recordSource")
    writer.identifier(source, "legalBodyID", f"urn:uuid:{archive.id}", "URI")
    writer.named(source, "legalBodyName", archive.owner)
    _rights(writer, wrap, "recordRights", rights)
    writer.add(writer.add(wrap, "recordInfoSet"), "recordInfoLink", piece.uri)
    collection = writer.add(writer.add(wrap, "collection"), "object")
    writer.identifier(collection, "objectID", f"urn:uuid:{archive.id}", "URI")
    writer.named(collection, "objectName", archive.name)


def _rights(writer: Writer, parent: etree._Element, name: str, rights: Rights) -> None:
    element = writer.add(parent, name)
    if rights.uri or rights.note:
        writer.concept(element, "rightsType", rights.note, uri=rights.uri)
    if rights.holder:
        writer.named(writer.add(element, "rightsHolder"), "legalBodyName", rights.holder)
    if rights.credit:
        writer.add(element, "creditLine", rights.credit)


def _resource(
    writer: Writer,
    wrap: etree._Element,
    photo: DisclosedPhotograph,
    rights: Rights,
    file: PictureFile,
) -> None:
    """One photograph: its file, by its digest, and its address where this release gives one."""
    element = writer.add(wrap, "resourceSet")
    writer.identifier(element, "resourceID", file.sha256, "SHA-256")
    if file.address:
        shown = writer.add(element, "resourceRepresentation")
        writer.add(shown, "linkResource", file.address)
    writer.concept(element, "resourceType", "digital image")
    if photo.depiction.view is not View.UNKNOWN:
        writer.concept(element, "resourcePerspective", photo.depiction.view.value)
    if photo.label not in ("", View.UNKNOWN):
        writer.add(element, "resourceDescription", photo.label)
    taken = [t for t in photo.photograph.taken if t.certainty is not Certainty.REJECTED]
    chosen = next((t for t in taken if t.preferred), taken[0] if taken else None)
    if chosen is not None:
        words = wording.taken_shown(photo)
        writer.date_set(element, "resourceDateTaken", words, chosen.date, None)
    _rights(writer, element, "rightsResource", rights)
