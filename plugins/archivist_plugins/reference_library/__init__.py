"""The reference library: every piece to look at, search and compare, as a web site of plain files.

It opens from a disk by double-click and from any static host alike, and asks for nothing from
outside. `index.html` is the wall, `pieces/UUID/` a page a piece, `compare.html` the comparison.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value


def _make(options: Value) -> Exporter:
    from archivist_plugins.reference_library.exporter import ReferenceLibrary

    return ReferenceLibrary()


REFERENCE_LIBRARY = ExporterDescription(
    name="reference-library",
    title="Reference library: a web site of plain files to look, search and compare",
    standard=Standard("HTML Living Standard", "", "https://html.spec.whatwg.org/"),
    make=_make,
    after=("iiif", "dublin-core"),
    needs=("iiif", "dublin-core"),
    start="index.html",
    losses=(
        "prices, buyers and other facts of the sale",
        "the photographs are those of the IIIF tree: copies in sRGB, 8 bits a channel, as JPEG",
        "of what was added when, the day on which a page was last written, in the feed",
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (REFERENCE_LIBRARY,)
