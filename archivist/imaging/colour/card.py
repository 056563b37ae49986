"""A card of neutral patches beside the piece, and the white balance that it gives a picture.

Such a card has three patches or more in a row, white, grey (18 % of the light, as photographers'
grey cards reflect) and black, all without colour; what colour they have in the picture is that of
the light. Common practice, no source. A card of a single grey patch looks like any grey paper, and
is not taken for one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from archivist.imaging.colour import lab
from archivist.imaging.colour.ground import steps
from archivist.imaging.colour.regions import Mask, inner, parts

if TYPE_CHECKING:
    from PIL.Image import Image

Array = NDArray[np.float32]

LONGEST = 320
"""Pixels of the longest side of the picture in which a card is looked for."""

EVEN = 2.5
"""What neighbours within a patch may differ, in CIELAB units."""

SMALLEST, LARGEST = 0.0004, 0.03
"""Share of the picture that one patch may fill."""

GREY, BLACK = (0.10, 0.45), 0.16
"""What grey and black patches reflect of what white does, the light a little uneven."""

NEUTRAL = 0.12
"""What two patches may differ in the share that a channel has of their light."""


@dataclass(frozen=True)
class Card:
    """A card that was found: what it is called, what makes it neutral, and where it lies.

    `gains` are factors for linear red, green and blue; `box` is left, top, right and lower edge as
    shares of the picture's width and height.
    """

    called: str
    gains: tuple[float, float, float]
    box: tuple[float, float, float, float]

    def mask(self, shape: tuple[int, int]) -> Mask:
        """Where it lies in a picture of that many rows and columns."""
        rows, columns = shape
        left, top, right, lower = self.box
        mask = np.zeros(shape, bool)
        mask[
            int(top * rows) : int(np.ceil(lower * rows)),
            int(left * columns) : int(np.ceil(right * columns)),
        ] = True
        return mask


@dataclass(frozen=True)
class _Patch:
    """An even part of the picture: its middle (x, y), its side, its light, whether any is lost."""

    middle: NDArray[np.float64]
    side: float
    light: NDArray[np.float64]
    clipped: bool

    @property
    def luminance(self) -> float:
        return float(self.light @ (0.2126, 0.7152, 0.0722))

    @property
    def tint(self) -> NDArray[np.float64]:
        return np.asarray(self.light / max(float(self.light.sum()), 1e-6))


def find_card(image: Image) -> Card | None:
    """The card in an upright sRGB picture, None where there is none."""
    from PIL import ImageFilter

    from archivist.imaging.derivatives import fit

    small = fit(image, LONGEST).filter(ImageFilter.MedianFilter(3))
    pixels = np.asarray(small, np.uint8)
    row = _row(_patches(pixels))
    if row is None:
        return None
    told = [patch for patch in row[:2] if not patch.clipped] or [row[1]]
    light = np.mean([patch.tint for patch in told], axis=0)
    gains = light.mean() / light
    reach = row[0].side * 0.85
    corners = np.array([patch.middle for patch in row])
    size = np.array([small.width, small.height])
    low = np.maximum((corners.min(0) - reach) / size, 0)
    high = np.minimum((corners.max(0) + reach) / size, 1)
    return Card(
        "a card of white, grey and black patches",
        (float(gains[0]), float(gains[1]), float(gains[2])),
        (float(low[0]), float(low[1]), float(high[0]), float(high[1])),
    )


def balanced(light: Array, card: Card | None) -> Array:
    """Linear light as it is where the card is neutral, its luminance near what it was."""
    return light if card is None else light * np.array(card.gains, np.float32)


def _patches(pixels: NDArray[np.uint8]) -> list[_Patch]:
    """The even parts of a picture that are as large as a patch and fill most of their box."""
    colours = lab.lab_of(pixels)
    even = inner(steps(colours) < EVEN, 1, grow=True)
    numbers, count = parts(even)
    sizes = np.bincount(numbers.ravel(), minlength=count + 1)
    wanted = (sizes >= SMALLEST * even.size) & (sizes <= LARGEST * even.size)
    wanted[0] = False
    light = lab.light_of(pixels)
    found = []
    for number in np.flatnonzero(wanted):
        here = numbers == number
        down, across = np.nonzero(here)
        box = (np.ptp(down) + 1) * (np.ptp(across) + 1)
        if sizes[number] < 0.5 * box:
            continue
        found.append(
            _Patch(
                np.array([across.mean(), down.mean()]),
                float(np.sqrt(sizes[number])),
                light[here].mean(0).astype(np.float64),
                bool((pixels[here].max(-1) >= 250).mean() > 0.1),
            )
        )
    return found


def _row(patches: list[_Patch]) -> tuple[_Patch, _Patch, _Patch] | None:
    """White, grey and black in a row, the largest such; None where there are none."""
    best = None
    for white in patches:
        for grey in patches:
            ratio = grey.luminance / max(white.luminance, 1e-6)
            if not GREY[0] <= ratio <= GREY[1] or np.abs(grey.tint - white.tint).max() > NEUTRAL:
                continue
            onward = grey.middle - white.middle
            if not 0.6 <= np.hypot(*onward) / white.side <= 2.2:
                continue
            for black in patches:
                alike = max(p.side for p in (white, grey, black)) <= 1.6 * min(
                    p.side for p in (white, grey, black)
                )
                dark = black.luminance / max(white.luminance, 1e-6) <= BLACK
                beside = np.hypot(*(black.middle - grey.middle - onward)) <= 0.35 * white.side
                darker = black.luminance < 0.6 * grey.luminance
                larger = best is None or white.side > best[0].side
                if alike and dark and darker and beside and larger:
                    best = (white, grey, black)
    return best
