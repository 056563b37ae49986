"""LIDO: the harvesting schema of museums, as XML.

One file a piece (`SLUG.xml`), and `collection.xml`, which holds the same records in one file.
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
    from archivist_plugins.lido.exporter import Lido

    return Lido()


LIDO = ExporterDescription(
    name="lido",
    title="LIDO: each object with its events, as museums exchange them, as XML",
    standard=Standard(
        "Lightweight Information Describing Objects", "1.1", "https://lido-schema.org/"
    ),
    make=_make,
    after=("iptc", "iiif"),
    losses=(
        "how sure an opinion is, who holds it and why: told in words beside the value",
        "the published addresses of terms that are doubted, of a part, or another's word",
        "the words and the ground of materials, techniques and other features",
        "what was rejected: told in words only, never as an event",
        "when a part was made, and an exhibition that is not certain: told in words only",
        "what a mark claims and how that stands to the date held: told in words with the mark",
        "a part of a piece and its state: told in words",
        "whether a change of hands follows directly on the one before",
        "who may see a photograph, and the part of it that shows the piece",
        "the numbering of terms by the LIDO Terminology: terms are given as words",
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
    return (LIDO,)
