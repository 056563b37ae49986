"""A card of neutral patches beside the piece, and the white balance that it gives a picture.

Cards for photographers have patches without colour in a row, from white to black in steps; what
colour these have in the picture is that of the light. Others are a single grey: an even rectangle
with sharp edges, neither light nor dark. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from archivist.imaging.colour import lab
from archivist.imaging.colour.ground import steps
from archivist.imaging.colour.regions import Mask, grown, inner, outermost, parts

if TYPE_CHECKING:
    from PIL.Image import Image

Array = NDArray[np.float32]
Parts = tuple[NDArray[np.int64], int]

SHARP, SQUARE, LONG = 6.0, 0.88, 2.2
"""A single grey card: the step round it in CIELAB units, the share of its tilted box that it fills,
and how many times as long as wide it may be."""

PLAIN, MIDDLE, FAINT = (0.003, 0.08), (35.0, 70.0), 20.0
"""Its share of the picture; its lightness; its chroma in whatever light."""

LONGEST = 320
"""Pixels of the longest side of the picture in which a card is looked for."""

EVEN = 2.5
"""What neighbours within a patch may differ, in CIELAB units."""

SMALLEST, LARGEST = 0.0004, 0.03
"""Share of the picture that one patch may fill."""

GREY, DARKER, BLACK = (0.10, 0.45), 0.85, 0.16
"""What patches reflect, the light a little uneven: the grey of three of what white does, each of a
longer row of what the one before does at most, the last of what the first does at most."""

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
    colours = lab.lab_of(pixels)
    differing = steps(colours)
    even = parts(inner(differing < EVEN, 1, grow=True))
    row = _row(_patches(pixels, even))
    if not row:
        return _plain(pixels, colours, differing, even)
    told = [patch for patch in row[:-1] if not patch.clipped] or [row[-2]]
    reach = row[0].side * 0.85
    corners = np.array([patch.middle for patch in row])
    size = np.array([small.width, small.height])
    return _card(
        "a card of white, grey and black patches",
        np.mean([patch.tint for patch in told], axis=0),
        (corners.min(0) - reach) / size,
        (corners.max(0) + reach) / size,
    )


def _card(
    called: str,
    tint: NDArray[np.float64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
) -> Card:
    red, green, blue = (float(gain) for gain in tint.mean() / tint)
    (left, top), (right, lower) = np.clip(low, 0, 1), np.clip(high, 0, 1)
    return Card(called, (red, green, blue), (float(left), float(top), float(right), float(lower)))


def balanced(light: Array, card: Card | None) -> Array:
    """Linear light as it is where the card is neutral, its luminance near what it was."""
    return light if card is None else light * np.array(card.gains, np.float32)


def _patches(pixels: NDArray[np.uint8], even: Parts) -> list[_Patch]:
    """The even parts of a picture that are as large as a patch and fill most of their box."""
    numbers, count = even
    sizes = np.bincount(numbers.ravel(), minlength=count + 1)
    wanted = (sizes >= SMALLEST * numbers.size) & (sizes <= LARGEST * numbers.size)
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


def _row(patches: list[_Patch]) -> list[_Patch]:
    """The longest row of patches from light to dark, in even steps of place; [] where none is."""
    best: list[_Patch] = []
    for first in patches:
        for second in patches:
            step = second.middle - first.middle
            if not _follows(first, second) or not 0.6 <= np.hypot(*step) / first.side <= 2.2:
                continue
            row = [first, second]
            while (after := _next(row[-1], step, patches)) is not None:
                row.append(after)
            if _believed(row) and (len(row), row[0].side) > (
                len(best),
                best[0].side if best else 0,
            ):
                best = row
    return best


def _plain(pixels: NDArray[np.uint8], colours: Array, differing: Array, even: Parts) -> Card | None:
    """The largest even grey rectangle with sharp edges that lies whole in the picture."""
    numbers, count = even
    sizes = np.bincount(numbers.ravel(), minlength=count + 1) / numbers.size
    sizes[0] = 0
    sharp = grown(differing >= SHARP, 4)
    for number in np.argsort(-sizes, kind="stable"):
        here = numbers == number
        if sizes[number] < PLAIN[0]:
            return None
        if sizes[number] > PLAIN[1] or not _is_grey(colours[here]) or not _is_rectangle(here):
            continue
        outline = here & ~inner(here, 1)
        if sharp[outline].mean() < 0.95 or outermost(here).any():
            continue
        light = lab.light_of(pixels)[here].mean(0).astype(np.float64)
        down, across = np.nonzero(grown(here, 3))
        size = np.array([here.shape[1], here.shape[0]])
        low, high = np.array([across.min(), down.min()]), np.array([across.max(), down.max()])
        called = "an even grey rectangle, taken for a grey card,"
        return _card(called, light / light.sum(), low / size, (high + 1) / size)
    return None


def _is_grey(colours: Array) -> bool:
    lightness, a, b = colours.mean(0)
    return bool(MIDDLE[0] <= lightness <= MIDDLE[1] and np.hypot(a, b) <= FAINT)


def _is_rectangle(here: Mask) -> bool:
    """Whether the smallest tilted box round a part is filled by it, and not too long."""
    down, across = np.nonzero(here)
    boxes = []
    for angle in np.radians(np.arange(0, 90, 5)):
        one = np.ptp(across * np.cos(angle) + down * np.sin(angle)) + 1
        other = np.ptp(down * np.cos(angle) - across * np.sin(angle)) + 1
        boxes.append((one * other, max(one, other) / min(one, other)))
    area, long = min(boxes)
    return bool(len(down) >= SQUARE * area and long <= LONG)


def _follows(lighter: _Patch, darker: _Patch) -> bool:
    """Whether two patches may stand side by side on one card: alike but for how light they are."""
    sides = sorted((lighter.side, darker.side))
    return (
        darker.luminance <= DARKER * lighter.luminance
        and sides[1] <= 1.6 * sides[0]
        and (
            darker.luminance < 0.05  # so little light that its tint tells nothing
            or bool(np.abs(darker.tint - lighter.tint).max() <= NEUTRAL)
        )
    )


def _next(last: _Patch, step: NDArray[np.float64], patches: list[_Patch]) -> _Patch | None:
    for patch in patches:
        beside = np.hypot(*(patch.middle - last.middle - step)) <= 0.35 * last.side
        if beside and _follows(last, patch):
            return patch
    return None


def _believed(row: list[_Patch]) -> bool:
    if len(row) < 3 or row[-1].luminance > BLACK * row[0].luminance:
        return False
    return len(row) > 3 or GREY[0] <= row[1].luminance / row[0].luminance <= GREY[1]
