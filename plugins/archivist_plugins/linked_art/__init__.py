"""Linked Art: the piece as linked data of museums, as JSON-LD.

One file a piece (`SLUG.json`), and `collection.json` for the set that the pieces belong to.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value


def _make(options: Value) -> Exporter:
    from archivist_plugins.linked_art.exporter import LinkedArt

    return LinkedArt()


LINKED_ART = ExporterDescription(
    name="linked-art",
    title="Linked Art: each object as linked data, as JSON-LD",
    standard=Standard("Linked Art", "1.0", "https://linked.art/api/1.0/"),
    make=_make,
    after=("iptc", "iiif"),
    losses=(
        "what was rejected, and changes of hands that are not certain: told in words only",
        "a year before the year 1 or after 9999: told in words only",
        "what a mark claims and how that stands to the date held: told in words with the mark",
        "marks, observations and parts: words of a kind, no longer parted into fields",
        "the exact ends of a size given as a range: a middle value between its two limits",
        "the language of a title, unless it is English",
        "terms without a published URI get an address of this archive",
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (LINKED_ART,)
