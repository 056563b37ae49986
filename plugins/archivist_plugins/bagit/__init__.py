"""BagIt (RFC 8493): writes bags of version 1.0; verifies and opens bags of every version."""

from __future__ import annotations

from collections.abc import Sequence

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value
from archivist_plugins.bagit.format import BagFormat


class BagOptions(Value, frozen=True, kw_only=True):
    """`one_each`: a bag for every piece, in a folder named after it; else one bag for all."""

    one_each: bool = False


def _make(options: Value) -> Exporter:
    from archivist_plugins.bagit.exporter import BagExporter

    return BagExporter(one_each=isinstance(options, BagOptions) and options.one_each)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    return (
        ExporterDescription(
            name="bagit",
            title="Bag: the pieces with their photographs, sealed by digests",
            make=_make,
            standard=Standard(
                name="BagIt (RFC 8493)",
                version="1.0",
                uri="https://www.rfc-editor.org/rfc/rfc8493",
            ),
            options=BagOptions,
            after=("*",),
            takes_in=True,
            immutable=True,
            opens=BagFormat(),
        ),
    )
