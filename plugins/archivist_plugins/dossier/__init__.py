"""The dossier: one PDF a piece, to print and to keep, for whoever the piece goes to.

PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1) in one file, typeset by typst: tagged, searchable,
its fonts embedded and subset, the record attached as JSON. Identification keeps to the order of
Object ID, provenance to the published convention, and every caution stands in a table that the
owner can edit.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value
from archivist_plugins.dossier.judging import SignedPdf
from archivist_plugins.losses import (
    OF_PHOTOGRAPHS,
)


class Paper(StrEnum):
    A4 = "a4"
    LETTER = "us-letter"


class DossierOptions(Value, frozen=True, kw_only=True):
    """How the dossier is made.

    `paper` it is to be printed on, a4 or us-letter; `cautions` and `materials` are files of the
    owner's in place of the tables `cautions.toml` and `protected_materials.toml`.
    """

    paper: Paper = Paper.A4
    cautions: str = ""
    materials: str = ""


def _make(options: Value) -> Exporter:
    from archivist_plugins.dossier.exporter import Dossier

    assert isinstance(options, DossierOptions)
    return Dossier(options)


DOSSIER = ExporterDescription(
    name="dossier",
    title="Dossier: a PDF of each object to print and keep, with its record inside",
    standard=Standard(
        "PDF/A-3a and PDF/UA-1",
        "ISO 19005-3:2012, ISO 14289-1:2014",
        "https://www.iso.org/standard/57229.html",
    ),
    make=_make,
    options=DossierOptions,
    after=("iptc",),
    immutable=True,
    judges=SignedPdf(),
    losses=(
        "prices, buyers and other facts of the sale on its pages; the attached record holds "
        "what the audience may see of them",
        "the photographs in full: they are reduced copies in sRGB, 8 bits a channel, as JPEG; the "
        "digests are those of the files they were made from",
        "other pages of a file with several than the one that shows the piece",
        "characters for which no font is installed: they stand as their Unicode numbers; the "
        "attached record holds them as they were",
        OF_PHOTOGRAPHS,
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (DOSSIER,)
