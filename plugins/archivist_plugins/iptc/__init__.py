"""IPTC: copies of the photographs that carry with them what they show, whose they are, and credit.

`SLUG/NAME` for each photograph, and `SLUG/delivery.json`, which lists them: what was written into
which copy, and which were copied unchanged. The pixels of a JPEG or PNG are not touched.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value


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
        "provenance, other and rejected opinions, and relations to other pieces",
        "a date that is not held certain, or is more than a day, month or year, stays as words",
        "measurements, marks and condition: words in one text, no longer parted into fields",
        "a text longer than a JPEG can carry is cut, and says so; the older IPTC block cuts sooner",
        "IPTC and XMP that an original came with: the copy carries ours in their place",
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (IPTC,)
