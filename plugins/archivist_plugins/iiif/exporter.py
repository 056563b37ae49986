"""Writes the IIIF tree: image services and manifest for each piece, then the collection."""

from __future__ import annotations

from typing import Any

import msgspec

from archivist.errors import PackageError
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist.imaging.pixels import open_upright
from archivist.names import web_base
from archivist_plugins.iiif import IiifOptions, images, manifest
from archivist_plugins.iiif.canvases import Addresses, Shown, shown

WITHOUT = "without"
"""The note on a piece of which no photograph can be shown; the others' is their reference."""


class Iiif(Exporter):
    """Writes `SLUG/manifest.json`, `SLUG/PICTURE/...` a piece, and `collection.json`."""

    def __init__(self, options: IiifOptions) -> None:
        self._options = options

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes one piece; nothing where it has no photograph that can be shown.

        Raises:
            SourceError: where a photograph cannot be decoded.
            PackageError: where a photograph is not of the size recorded.
        """
        canvases = shown(piece, self._options.tile_size)
        if not canvases:
            package.note(WITHOUT)
            return
        addresses = self._addresses(selection)
        for shows in canvases:
            self._write_picture(piece, shows, addresses, package)
        made = manifest.manifest(
            piece, selection, canvases, addresses, [file.path for file in package.companions()]
        )
        package.write(f"{piece.slug}/manifest.json", as_json(made))
        listed = manifest.reference(piece, canvases, selection.archive.language, addresses)
        package.note(msgspec.json.encode(listed).decode("utf-8"))

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes the collection of all manifests, leaving out those that failed in this run."""
        addresses = self._addresses(selection)
        notes = list(package.notes())
        items: list[dict[str, Any]] = [
            msgspec.json.decode(note) for note in notes if note != WITHOUT
        ]
        without = notes.count(WITHOUT)
        package.write(
            "collection.json", as_json(manifest.collection(selection, items, without, addresses))
        )

    def _write_picture(
        self, piece: Piece, shows: Shown, addresses: Addresses, package: Package
    ) -> None:
        image = open_upright(shows.first.content(), page=shows.page)
        if image.size != (shows.pyramid.width, shows.pyramid.height):
            raise PackageError(
                f"The photograph '{shows.first.name}' of '{piece.record.name}' is recorded as "
                f"{shows.pyramid.width} by {shows.pyramid.height} pixels and has "
                f"{image.width} by {image.height}.",
                "The photograph itself is safe. Survey its source again to correct the record.",
            )
        folder = f"{piece.slug}/{shows.stem}"
        images.write_service(package, folder, image, shows.pyramid, self._options.quality)
        info = shows.pyramid.info(addresses.of(piece.slug, shows.stem))
        package.write(f"{folder}/info.json", as_json(info))

    def _addresses(self, selection: Selection) -> Addresses:
        """Where the tree will be served; an archive published nowhere has `.invalid` addresses."""
        base = self._options.base_uri or selection.archive.base_uri
        return Addresses(web_base(base, selection.archive.id))


def as_json(value: dict[str, Any]) -> bytes:
    """`value` as JSON that people can read, ending in a line break."""
    return msgspec.json.format(msgspec.json.encode(value), indent=2) + b"\n"
