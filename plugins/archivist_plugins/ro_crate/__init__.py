"""RO-Crate: a folder that says of itself what is in it, as JSON-LD.

The crate holds the record and photographs of each piece (`SLUG/...`), and describes besides what
other exporters of the same release wrote next to it.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value
from archivist_plugins.losses import (
    OF_PHOTOGRAPHS,
)


class RoCrateOptions(Value, frozen=True, kw_only=True):
    """`photographs`: whether copies of the photographs go into the crate."""

    photographs: bool = True


def _make(options: Value) -> Exporter:
    from archivist_plugins.ro_crate.exporter import RoCrate

    return RoCrate(photographs=not isinstance(options, RoCrateOptions) or options.photographs)


OTHERS = (
    "dossier",
    "dublin-core",
    "iiif",
    "iptc",
    "lido",
    "linked-art",
    "premis",
    "reference-library",
    "spreadsheet",
)
"""Exporters that write beside a crate. Not '*': a bag waits for all others and takes in the crate,
and two that wait for all others have no order between them."""

RO_CRATE = ExporterDescription(
    name="ro-crate",
    title="RO-Crate: records and photographs in a folder that describes itself, as JSON-LD",
    standard=Standard("RO-Crate", "1.1", "https://w3id.org/ro/crate/1.1"),
    make=_make,
    options=RoCrateOptions,
    after=OTHERS,
    losses=(
        "the fields of what is said of a piece: words here, and whole in the record beside it",
        "literature and exhibitions that are not certain: words only, with their doubt",
        "a date that is not held certain, or is more than a day, month or year: words only",
        "when a copy was made: known is only of what and how",
        "files that other exporters wrote deep within a tree: told by folder and number",
        "who was asked when a photograph was taken",
        OF_PHOTOGRAPHS,
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (RO_CRATE,)
