"""IPTC: copies of the photographs that carry with them what they show, whose they are, and credit.

`SLUG/NAME` for each photograph, and `SLUG/delivery.json`, which lists them: what was written into
which copy, and which were copied unchanged. The pixels of a JPEG or PNG are not touched.
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
    from archivist_plugins.iptc.exporter import Iptc

    return Iptc()


IPTC = ExporterDescription(
    name="iptc",
    title="IPTC and XMP: photographs that carry their piece, rights and credit within them",
    standard=Standard(
        "IPTC Photo Metadata Standard, artwork or object in the image",
        "",
        "https://www.iptc.org/std/photometadata/specification/",
    ),
    make=_make,
    losses=(
        "a photograph that is no JPEG or PNG: it is copied unchanged, and listed",
        "provenance, other and rejected opinions, literature, exhibitions, and related pieces",
        "notes",
        "titles and numbers but the preferred one, and on what ground an opinion is held",
        "a date that is not held certain, or is more than a day, month or year: words only",
        "the fields of measurements, marks and condition: words in one text",
        "a text longer than a JPEG can carry: cut, and said to be; the IPTC block cuts sooner",
        "IPTC and XMP that an original came with: the copy carries ours in their place",
        "the published addresses of terms",
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
    return (IPTC,)
