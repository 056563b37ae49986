"""Writes LIDO records: one file a piece, and all of them in one."""

from __future__ import annotations

from lxml import etree

from archivist.hooks import Exporter, Package, Piece, Selection
from archivist_plugins.addresses import Companion, nothing_there
from archivist_plugins.lido.administration import administrative_metadata
from archivist_plugins.lido.description import descriptive_metadata
from archivist_plugins.lido.writing import LIDO, LOCATION, Writer

COLLECTION = "collection.xml"


class Lido(Exporter):
    """Writes `SLUG.xml` a piece, and `collection.xml`."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes one piece."""
        package.write(f"{piece.slug}.xml", document(piece, selection, package.companion))

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes the records that were written one by one into one file; none, and it is not made.

        They are read back one at a time, so that a large collection takes no more memory.
        """
        own = [f for f in package.companions() if f.path.startswith("lido/")]
        if not own:
            return
        with package.open(COLLECTION) as target, etree.xmlfile(target, encoding="UTF-8") as out:
            out.write_declaration()
            with out.element(f"{{{LIDO}}}lidoWrap", LOCATION, nsmap={"lido": LIDO}):
                for file in own:
                    out.write(etree.parse(file.content().open("rb")).getroot())


def document(piece: Piece, selection: Selection, companion: Companion = nothing_there) -> bytes:
    """The record of one piece. `companion` finds what this release holds already."""
    writer = Writer(selection.archive.language)
    root = writer.root
    writer.identifier(root, "lidoRecID", f"urn:uuid:{piece.record.id}", "URI")
    writer.identifier(root, "objectPublishedID", piece.uri, "URI")
    writer.concept(root, "category", "human-made object")
    descriptive_metadata(writer, piece)
    administrative_metadata(writer, piece, selection, companion)
    return writer.as_bytes()
