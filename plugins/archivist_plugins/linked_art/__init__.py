"""Linked Art: the piece as linked data of museums, as JSON-LD.

One file a piece (`SLUG.json`), and `collection.json` for the set that the pieces belong to.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value
from archivist_plugins.losses import (
    BEHIND_THE_WORDS,
    OF_PARTIES,
    OF_PHOTOGRAPHS,
    OVERRIDES,
    SALES,
    VOCABULARIES,
    WORDS_BESIDE_A_VALUE,
)


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
        "what was rejected, and changes of hands, literature and exhibitions that are not certain: "
        "told in words only",
        "the years of a date that is held to be possible or doubtful: told as an opinion",
        "when a stay ended that followed a change of hands: told in words only",
        "a year before the year 1 or after 9999: told in words only",
        "what a mark claims and how that stands to the date held: told in words with the mark",
        "the fields of marks, observations and parts: words of a kind",
        "the exact ends of a size given as a range: a middle value between its two limits",
        "the language of a title, unless it is English",
        "addresses of terms other than those of the vocabularies that Linked Art asks for",
        "who was asked when a photograph was taken",
        SALES,
        BEHIND_THE_WORDS,
        OVERRIDES,
        WORDS_BESIDE_A_VALUE,
        VOCABULARIES,
        OF_PARTIES,
        OF_PHOTOGRAPHS,
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (LINKED_ART,)
