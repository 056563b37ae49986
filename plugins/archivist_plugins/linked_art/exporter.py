"""Writes Linked Art: one JSON-LD document a piece, and one for the set."""

from __future__ import annotations

import msgspec

from archivist.hooks import Exporter, Package, Piece, Selection
from archivist_plugins.linked_art.apart import parts_apart
from archivist_plugins.linked_art.objects import collection, human_made_object
from archivist_plugins.linked_art.parts import Resource


class LinkedArt(Exporter):
    """Writes `SLUG.json` a piece, `SLUG.part-N.json` for parts made by themselves, and the set."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes one piece."""
        made = human_made_object(piece, selection, package.companion)
        package.write(f"{piece.slug}.json", as_json(made))
        for number, part in enumerate(parts_apart(piece, selection), start=1):
            package.write(f"{piece.slug}.part-{number}.json", as_json(part))

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes the set that all pieces are members of."""
        package.write("collection.json", as_json(collection(selection)))


def as_json(resource: Resource) -> bytes:
    """A resource as JSON that people can read, ending in a line break."""
    return msgspec.json.format(msgspec.json.encode(resource), indent=2) + b"\n"
