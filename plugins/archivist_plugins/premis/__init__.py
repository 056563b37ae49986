"""PREMIS: what each photograph file is, by which digests it is known, and what was done to it.

One file a piece (`SLUG.xml`): the piece as intellectual entity, each photograph file with size,
format and digests, the original that a copy was made from (by its digest, even where it is not
given out), the events, the program as agent, and the rights.
"""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value
from archivist_plugins.losses import (
    OF_PHOTOGRAPHS,
)


def _make(options: Value) -> Exporter:
    from archivist_plugins.premis.exporter import Premis

    return Premis()


PREMIS = ExporterDescription(
    name="premis",
    title="PREMIS: fixity, format and history of each photograph file, as XML",
    standard=Standard(
        "PREMIS Data Dictionary for Preservation Metadata",
        "3.0",
        "https://www.loc.gov/standards/premis/v3/",
    ),
    make=_make,
    after=("iptc",),
    losses=(
        "the description of the piece: only its numbers and its title are told",
        "the part of a photograph that shows the piece, and whose opinion a view or a day is",
        "the images of a IIIF tree, and the files of a crate: a crate describes its own",
        "the moment at which a copy was made: known is only that it was before the release",
        OF_PHOTOGRAPHS,
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (PREMIS,)
