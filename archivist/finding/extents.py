"""How large a piece is in its photograph, so that photographs can stand side by side at one scale.

The outline is found against the background, which is taken to run evenly from the left edge of the
picture to the right; the recorded size of the piece then says what a pixel is worth. That is good
to about a tenth: perspective is not corrected, and a shadow or a ruler may be taken for clay (of 30
photographs that museums publish of ceramics 24 have an outline, by eye within a tenth).

Where the piece touches an edge of the picture, or its sizes and its outline do not agree on what is
seen, there is no scale: a foot photographed aslant has none.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from archivist import wording
from archivist.model import Certainty, Dimension, Measurement, ObjectRecord, View
from archivist.model.measurements import in_millimetres

if TYPE_CHECKING:
    from PIL.Image import Image

UPRIGHT = frozenset({View.OVERALL, View.SIDE, View.BACK})
"""Views in which a standing piece is seen with its height."""

ACROSS = (Dimension.DIAMETER, Dimension.WIDTH, Dimension.LENGTH)
"""What is seen from one side to the other, the surest first."""

AGREES = 0.12
"""How far outline and recorded sizes may differ and still be of the same view of the piece."""

ROUND = 0.08
"""How far an outline may be from as high as wide and still count as seen from above or below."""

FLAT = 0.6
"""Height over diameter below which only that can be meant by a round outline."""

TALL = 1.15
"""Height over width of an outline from which on it can be no dish seen from above."""

SMALL = 256
"""Longest side in pixels of the picture in which the outline is looked for."""

DIFFERENT = 22
"""Of 255, in any channel: what differs from the background by more belongs to the piece."""

Box = tuple[int, int, int, int]


class Scale(msgspec.Struct, frozen=True):
    """What a pixel of the full-size picture is worth, and the words of the size that says so."""

    millimetres: float
    by: str


def scale(
    record: ObjectRecord, view: str, size: tuple[int, int], region: Box | None, file: Path
) -> Scale | None:
    """The scale of a photograph of `view` with `size` in full pixels, None where it cannot be told.

    `file` is a smaller copy of the whole photograph; `region` bounds the piece where that is known.
    """
    height = _measured(record, (Dimension.HEIGHT,))
    across = _measured(record, ACROSS)
    if height is None and across is None:
        return None
    extent = region[2:] if region else _extent(file, size)
    if extent is None or min(extent) < 1:
        return None
    measured = governing(height, across, View(view), extent)
    if measured is None:
        return None
    pixels = extent[1] if measured is height else extent[0]
    worth = round(_middle(measured) / Decimal(pixels), 5)
    return Scale(float(worth), wording.measurement_shown(measured)) if worth > 0 else None


def governing(
    height: Measurement | None, across: Measurement | None, view: View, extent: tuple[int, int]
) -> Measurement | None:
    """The size that an outline of `extent` (width, height) shows, None where that is not sure."""
    tall = extent[1] / extent[0]
    if height is not None and across is not None:
        recorded = float(_middle(height) / _middle(across))
        if view in UPRIGHT and abs(tall / recorded - 1) <= AGREES:
            return height
        return across if recorded <= FLAT and abs(tall - 1) <= ROUND else None
    if view not in UPRIGHT:
        return None
    return across if height is None else (height if tall >= TALL else None)


def _measured(record: ObjectRecord, dimensions: tuple[Dimension, ...]) -> Measurement | None:
    """The size of the whole piece, by itself, in the first of `dimensions` that is recorded."""
    for dimension in dimensions:
        for measured in record.measurements:
            whole = measured.dimension is dimension and not measured.part and not measured.includes
            if whole and measured.certainty is not Certainty.REJECTED and _middle(measured) > 0:
                return measured
    return None


def _middle(measured: Measurement) -> Decimal:
    """The middle of the size in millimetres; 0 where it is no length."""
    ends = in_millimetres(measured)
    return (ends[0] + ends[1]) / 2 if ends else Decimal(0)


def _extent(file: Path, size: tuple[int, int]) -> tuple[int, int] | None:
    """Width and height of the piece in pixels of a picture of `size`, None where it is cut off."""
    from PIL import Image

    with Image.open(file) as opened:
        opened.draft("RGB", (SMALL, SMALL))
        image = opened.convert("RGB")
    image.thumbnail((SMALL, SMALL))
    box = outline(image)
    if box is None:
        return None
    left, top, right, bottom = box
    if left <= 1 or top <= 1 or right >= image.width - 1 or bottom >= image.height - 1:
        return None
    factor = size[0] / image.width
    return round((right - left) * factor), round((bottom - top) * factor)


def outline(image: Image) -> Box | None:
    """The box around what differs from the background; None where nothing does."""
    from PIL import Image as Images
    from PIL import ImageChops, ImageFilter

    width, height = image.size
    edge = max(1, width // 40)
    sides = Images.new("RGB", (2, height))
    for place, left in ((0, 0), (1, width - edge)):
        strip = image.crop((left, 0, left + edge, height))
        sides.paste(strip.resize((1, height), Images.Resampling.BOX), (place, 0))
    background = sides.resize((width, height), Images.Resampling.BILINEAR)
    red, green, blue = ImageChops.difference(image, background).split()
    most = ImageChops.lighter(ImageChops.lighter(red, green), blue)
    piece = most.point(lambda value: 255 if value > DIFFERENT else 0)
    return piece.filter(ImageFilter.MedianFilter(5)).getbbox()
