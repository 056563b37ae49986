"""IIIF: each piece as a manifest of its photographs, and the photographs as static image services.

Presentation API 3.0 and Image API 3.0 at compliance level 0: files that any web server can give
out as they lie, without a program behind them.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.errors import SelectionError
from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value


class IiifOptions(Value, frozen=True, kw_only=True):
    """How the tree is made.

    `base_uri` is the address at which the folder that holds `iiif/` is served; empty takes that of
    the archive. `tile_size` is the side of a tile in pixels, `quality` that of the JPEG (1 to 95).
    """

    base_uri: str = ""
    tile_size: int = 1024
    quality: int = 85


def _make(options: Value) -> Exporter:
    from archivist_plugins.iiif.exporter import Iiif

    assert isinstance(options, IiifOptions)
    if options.base_uri and not options.base_uri.startswith(("http://", "https://")):
        raise SelectionError(
            f"The base address '{options.base_uri}' does not begin with http:// or https://.",
            "Give the address at which the released folder will be served.",
        )
    if options.tile_size < 64 or not 1 <= options.quality <= 95:
        raise SelectionError(
            f"Tiles of {options.tile_size} pixels at quality {options.quality} cannot be made.",
            "Give a tile size of 64 pixels or more and a quality from 1 to 95.",
        )
    return Iiif(options)


IIIF = ExporterDescription(
    name="iiif",
    title="IIIF: a manifest of each object and its photographs as deep-zoom images",
    standard=Standard("IIIF Presentation API", "3.0", "https://iiif.io/api/presentation/3.0/"),
    make=_make,
    options=IiifOptions,
    after=("dublin-core",),
    losses=(
        "objects without a photograph have no manifest; the collection says how many",
        "prices, buyers and other facts of the sale",
        "statements are lines of text for readers and not parted into fields",
        "the photographs are copies in sRGB, 8 bits a channel, as JPEG",
        "of a file with several pages the page that shows the piece",
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (IIIF,)
