"""The comparison: one view of many pieces side by side, in order of date, on sheets to print.

At one scale where the recorded sizes give one, with a scale bar; what has none says so. As PDF/A-2a
(ISO 19005-2) and PDF/UA-1 (ISO 14289-1) in one file, or as a PNG a page.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Annotated

import msgspec

from archivist.hooks import Exporter, ExporterDescription, Standard, hookimpl
from archivist.model import Value, View


class Paper(StrEnum):
    A4 = "a4"
    LETTER = "us-letter"


class Form(StrEnum):
    PDF = "pdf"
    PNG = "png"


class ComparisonOptions(Value, frozen=True, kw_only=True):
    """How the sheets are made.

    `view` is what is compared; `columns` how many stand side by side, 0 for what suits the paper;
    `scaled` whether pictures stand at one scale where that is known; `form` pdf, or png for one
    picture a page.
    """

    view: View = View.OVERALL
    paper: Paper = Paper.A4
    landscape: bool = False
    columns: Annotated[int, msgspec.Meta(ge=0, le=12)] = 0
    scaled: bool = True
    form: Form = Form.PDF


def _make(options: Value) -> Exporter:
    from archivist_plugins.comparison.exporter import Comparison

    assert isinstance(options, ComparisonOptions)
    return Comparison(options)


COMPARISON = ExporterDescription(
    name="comparison",
    title="Comparison: one view of many pieces side by side, at one scale, to print",
    standard=Standard(
        "PDF/A-2a and PDF/UA-1",
        "ISO 19005-2:2011, ISO 14289-1:2014",
        "https://www.iso.org/standard/50655.html",
    ),
    make=_make,
    options=ComparisonOptions,
    immutable=True,
    losses=(
        "everything but number, title, the date held and by whom, marks, and the size that gives "
        "the scale",
        "the photographs are reduced copies in sRGB, 8 bits a channel, as JPEG",
        "a PNG is a picture of the words and holds none",
    ),
)


@hookimpl
def archivist_exporters() -> Sequence[ExporterDescription]:
    """The exporter."""
    return (COMPARISON,)
