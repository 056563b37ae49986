"""Writes the library: a page a piece, then the wall, the comparison, the index and the feed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

import msgspec

from archivist.errors import PluginError
from archivist.finding.colours import PieceColours, piece_colours
from archivist.finding.facets import FACETS
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist.model import VIEW_ORDER
from archivist_plugins.record_schemas import WHAT_THEY_ARE, schema
from archivist_plugins.reference_library import feed, glaze, index, scripts, structured
from archivist_plugins.reference_library.entry import (
    LibraryEntry,
    as_script,
    library_entry,
)
from archivist_plugins.reference_library.page import piece_page
from archivist_plugins.reference_library.pictures import (
    SMALL,
    Picture,
    pictures,
    shown_photographs,
)
from archivist_plugins.reference_library.templates import render

FOLDER = "reference-library"
"""The folder of this exporter in a release."""

IIIF, DUBLIN_CORE = COLLECTIONS = ("iiif/collection.json", "dublin-core/collection.xml")
"""What other exporters may have written of all pieces."""

CARDS = 60
"""Pieces on one page of the wall."""

SCRIPT = "piece.js"
VIEWER = ("openseadragon.min.js", "LICENSE.txt")


class ReferenceLibrary(Exporter):
    """Writes `pieces/UUID/` a piece, and everything that shows them together."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes the page of a piece, its record as JSON, and what the index is made of.

        Raises:
            SourceError: where a photograph that no other exporter wrote cannot be decoded.
        """
        folder = f"pieces/{piece.record.id}"
        shown = pictures(piece, package, folder)
        there = {file.path: file.location for file in package.companions()}
        colours = _colours(piece, shown, there)
        made = library_entry(piece, shown, selection.made, colours, selection.archive.owner)
        address = _address(selection)
        here = f"{address}{folder}/index.html" if address else ""
        page = piece_page(piece, selection, shown, there)
        package.write(
            f"{folder}/index.html",
            render(
                "piece.html",
                selection,
                root="../../",
                page=page,
                entry=made,
                address=here,
                identifier=piece.uri if address else f"urn:uuid:{piece.record.id}",
                data=structured.as_block(structured.piece_data(piece, selection, shown, address)),
                compared={picture.view: picture.view_name for picture in shown},
                like=made.kin,
                glaze=glaze.glaze_shown(colours),
            ),
        )
        package.write(f"{folder}/record.json", _record(piece))
        package.write(f"{folder}/{SCRIPT}", as_script(made))
        package.note(msgspec.json.encode(made).decode("utf-8"))

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes what shows the pieces together, from what was kept beside their pages.

        Raises:
            PluginError: where OpenSeadragon was not fetched when the program was installed.
        """
        entries = sorted(_entries(package), key=lambda e: e.order)
        there = {path for path in COLLECTIONS if package.companion(path)}
        address = _address(selection)
        shared: dict[str, Any] = {
            "address": f"{address}index.html" if address else "",
            "data": structured.as_block(structured.collection_data(selection, address)),
            "count": len(entries),
            "without": sum(not e.pictures for e in entries),
            "facets": FACETS,
            "views": [view.value for view in VIEW_ORDER],
            "collection": f"../{IIIF}" if IIIF in there else "",
            "dublin_core": f"../{DUBLIN_CORE}" if DUBLIN_CORE in there else "",
        }
        _write_wall(entries, selection, package, shared)
        for name in ("compare", "about"):
            package.write(f"{name}.html", render(f"{name}.html", selection, root="", **shared))
        for digit, script in index.chunks(entries):
            package.write(f"data/pieces-{digit}.js", script)
        package.write("data/names.js", index.names_script(entries))
        package.write("data/tiles.js", glaze.tiles_script(entries))
        for name in WHAT_THEY_ARE:
            package.write(name, schema(name))
        package.write("feed.xml", feed.feed(selection, entries, address))
        if address:
            for name, content in feed.sitemaps(entries, address):
                package.write(name, content)
        _write_own_files(package)


def _colours(piece: Piece, shown: tuple[Picture, ...], there: Mapping[str, Path]) -> PieceColours:
    """The colours of its glaze, of the small pictures that lie there already."""
    small = {
        photograph.name: picture.file(there, SMALL)
        for photograph, picture in zip(shown_photographs(piece), shown, strict=True)
    }
    return piece_colours(piece, lambda photograph: small.get(photograph.name))


def _write_wall(
    entries: Sequence[LibraryEntry], selection: Selection, package: Package, shared: dict[str, Any]
) -> None:
    """The wall in pages, so that all of it can be looked at without any script."""
    parts = [entries[i : i + CARDS] for i in range(0, len(entries), CARDS)] or [[]]
    for number, part in enumerate(parts, start=1):
        package.write(
            wall_page(number),
            render(
                "wall.html",
                selection,
                root="" if number == 1 else "../",
                cards=part,
                number=number,
                last=len(parts),
                page_of=wall_page,
                **shared,
            ),
        )


def wall_page(number: int) -> str:
    """The path of a page of the wall."""
    return "index.html" if number == 1 else f"wall/{number}.html"


def _write_own_files(package: Package) -> None:
    """The stylesheet, the icon, our script, and the viewer with its licence."""
    own = files("archivist_plugins.reference_library")
    for name in ("library.css", "icon.svg"):
        package.write(name, own.joinpath(name).read_bytes())
    package.write("library.js", scripts.joined(scripts.modules()))
    for name in VIEWER:
        file = own.joinpath("openseadragon", name)
        if not file.is_file():
            raise PluginError(
                "OpenSeadragon, which the reference library zooms with, is not there: it could "
                "not be fetched when this program was installed.",
                "Install the program again where the npm registry can be reached.",
            )
        package.write(f"openseadragon/{name.lower()}", file.read_bytes())


def _entries(package: Package) -> list[LibraryEntry]:
    """What was noted of all pieces, also of those whose pages were written in an earlier run."""
    decoder = msgspec.json.Decoder(LibraryEntry)
    return [decoder.decode(note) for note in package.notes()]


def _record(piece: Piece) -> bytes:
    """The record, its parties and its photographs, for programs and for people with patience.

    Each follows the schema of its kind, at the root of the library.
    """
    whole = {
        "uri": piece.uri,
        "record": piece.record,
        "parties": piece.parties,
        "photographs": [
            {"depiction": p.depiction, "photograph": p.photograph} for p in piece.photographs
        ],
    }
    return msgspec.json.format(msgspec.json.encode(whole), indent=2) + b"\n"


def _address(selection: Selection) -> str:
    """The address of the library's root, ending in '/'; '' where it is published nowhere."""
    base = selection.archive.base_uri
    return f"{base.rstrip('/')}/{FOLDER}/" if base else ""
