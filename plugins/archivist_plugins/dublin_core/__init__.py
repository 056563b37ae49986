"""Dublin Core: the fifteen elements and the qualified terms, as XML.

One file an object in each of the two forms that others take in (`SLUG.xml` as oai_dc,
`SLUG.dcterms.xml` with the qualified terms), and `collection.xml` for the whole.
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
        "the fields of measurements, marks and observations: they stay as words",
        "who holds a date that is below certain, and why: told in words only; its doubt is kept",
        "the published addresses of terms",
        "the identifier of a related piece where the relation is doubted, or another's word: told "
        "in words only",
        "when a part was made, or what was done later: told in words, and never as the date",
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
    return (DUBLIN_CORE,)
