"""Dublin Core: the fifteen elements and the qualified terms, as XML.

One file an object in each of the two forms that others take in (`SLUG.xml` as oai_dc,
`SLUG.dcterms.xml` with the qualified terms), and `collection.xml` for the whole.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value


def _make(options: Value) -> Exporter:
    from archivist_plugins.dublin_core.exporter import DublinCore

    return DublinCore()


DUBLIN_CORE = ExporterDescription(
    name="dublin-core",
    title="Dublin Core: a description of each object, and of the collection, as XML",
    standard=Standard(
        "DCMI Metadata Terms",
        "2020-01-20",
        "https://www.dublincore.org/specifications/dublin-core/dcmi-terms/",
    ),
    make=_make,
    losses=(
        "photographs: only the words of the record are told",
        "prices, buyers and other facts of the sale",
        "measurements, marks and observations stay as words and are no longer parted into fields",
        "a date below certain keeps its doubt, but who holds it and why is told in words only",
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (DUBLIN_CORE,)
