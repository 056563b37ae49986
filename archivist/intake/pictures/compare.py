"""Whether one picture is another one changed: laid over each other, crop and all, and compared.

A photograph that was resized, recompressed, cut, turned, sharpened, made grey or stamped with a
name shows the same things in the same places once the two are laid over each other. Two sides of a
pot, two pots of a pair or two exposures of one pot do not, however alike they are: the brushwork,
the shine and the grain of the cloth lie elsewhere.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from archivist.intake.pictures.look import FREQUENCIES

CUTS = (0.0, 0.04, 0.08)
"""Shares of a side that may have been cut from it, tried on all four sides."""

FINE, COARSE = 96, 40
"""Pixels of the longest side that pictures are laid over each other at, in two steps."""

_BLOCKS = 8
_STRUCTURED = 4.0
"""Mean square of the fine structure from which a part of a picture has any to compare."""

_ALIKE = 0.8
"""Correlation of the fine structure from which a part counts as agreeing."""


@dataclass(frozen=True)
class Laid:
    """How well one picture lies over another.

    `inside` is the share of the second picture that lies on the first, `scale` (across, down) how
    much of a side of the first it covers. `left`, `top`,
    `right` and `bottom` are the shares of the first that were cut. `rest` is the median difference
    that is left, of 255, once brightness and contrast are made alike; `detail` how alike the fine
    structure is in all (-1 to 1) and `agreeing` the share of the structured parts of the picture
    that agree; `colour` how far colours are apart, of 255. `rough` is the largest difference left
    of any of the 64 parts of the picture, and `fading` by how much contrast was changed.
    `structured` counts the parts that have fine structure, `quiet` is the share of parts in which
    hardly any difference is left, `quiet_agreeing` the share of agreeing parts among the structured
    of these, `quiet_detail` how alike the fine structure is in them,
    and `stamp` how far what differs elsewhere is all lighter or all darker (0 to 1), as it is where
    a name was stamped on a picture and is not where brushwork differs.
    """

    inside: float
    scale: tuple[float, float]
    left: float
    top: float
    right: float
    bottom: float
    rest: float
    detail: float
    agreeing: float
    colour: float
    rough: float
    fading: float
    structured: int
    quiet: float
    quiet_agreeing: float
    quiet_detail: float
    stamp: float


def unpacked(small: bytes) -> Any:
    """The small picture of a look as an array: rows, columns, red green blue."""
    import numpy as np
    from PIL import Image

    with Image.open(io.BytesIO(small), formats=["JPEG"]) as image:
        return np.asarray(image.convert("RGB"), np.float32)


def grey_of(pixels: Any) -> Any:
    """Brightness as ITU-R BT.601 weighs it, as grey copies are made."""
    import numpy as np

    return pixels @ np.array([0.299, 0.587, 0.114], np.float32)


@cache
def _cut_waves(samples: int) -> Any:
    """The cosines over every cut of a side: cuts * 8 rows, so many columns, nought where cut."""
    import numpy as np

    rows = []
    for first in CUTS:
        for last in CUTS:
            start, length = first * samples, samples * (1 - first - last)
            places = (np.arange(samples) + 0.5 - start) / length
            inside = (places > 0) & (places < 1)
            for k in range(FREQUENCIES):
                weight = np.sqrt((1 if k == 0 else 2) / length)
                rows.append(np.where(inside, np.cos(np.pi * k * places) * weight, 0))
    return np.array(rows, np.float32)


def cut_frequencies(grey: Any) -> Any:
    """The frequencies of the picture under every cut: 81 rows of 64, each of length one."""
    import numpy as np

    many = len(CUTS) ** 2
    low = _cut_waves(grey.shape[0]) @ grey @ _cut_waves(grey.shape[1]).T
    table = low.reshape(many, FREQUENCIES, many, FREQUENCIES).transpose(0, 2, 1, 3).copy()
    table[:, :, 0, 0] = 0
    rows = table.reshape(many * many, FREQUENCIES * FREQUENCIES)
    return rows / np.maximum(np.sqrt((rows * rows).sum(axis=1, keepdims=True)), 1e-6)


def cut_of(row: int) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a row of `cut_frequencies`."""
    many = len(CUTS)
    down, across = divmod(row, many * many)
    return CUTS[across // many], CUTS[down // many], CUTS[across % many], CUTS[down % many]


def lay(first: Any, second: Any, cut: tuple[float, float, float, float]) -> Laid | None:
    """Lays the second picture over the first, beginning at that cut; None where it cannot be.

    Both are arrays of rows, columns and three colours, upright alike.
    """
    import numpy as np

    left, top, right, bottom = cut
    matrix = np.array([[1 - left - right, 0, left], [0, 1 - top - bottom, top]], np.float32)
    for size, rounds in ((COARSE, 6), (FINE, 3)):
        one, other = grey_of(_fitted(first, size)), grey_of(_fitted(second, size))
        one, other = _smooth(one), _smooth(other)
        down, across = np.gradient(one)
        stack = np.stack([one, across, down], axis=2)
        for _ in range(rounds):
            step, rest = _improved(stack, other, matrix)
            if step is None:
                return None
            moved = float(np.abs(step).max())
            matrix = matrix + step
            if moved < 3e-4:
                break
        if rest > _HOPELESS or not (0.75 < matrix[0, 0] < 1.1 and 0.75 < matrix[1, 1] < 1.1):
            return None
    return _judged(first, second, matrix)


_HOPELESS = 6.0
"""The median difference, of 255, above which two pictures are not looked at more closely."""


def lay_whole(first: Any, second: Any) -> Laid:
    """Lays the second picture over the first as if nothing had been cut."""
    import numpy as np

    return _judged(first, second, np.array([[1, 0, 0], [0, 1, 0]], np.float32))


def _fitted(pixels: Any, longest: int) -> Any:
    import numpy as np
    from PIL import Image

    rows, columns = pixels.shape[:2]
    scale = longest / max(rows, columns)
    size = (max(12, round(columns * scale)), max(12, round(rows * scale)))
    image = Image.fromarray(pixels.astype(np.uint8)).resize(size, Image.Resampling.BICUBIC)
    return np.asarray(image, np.float32)


def _smooth(values: Any) -> Any:
    """Blurred by one, two, one each way: what is finer only misleads."""
    import numpy as np

    wide = np.pad(values, 1, mode="edge")
    across = (wide[:, :-2] + 2 * wide[:, 1:-1] + wide[:, 2:]) / 4
    return (across[:-2] + 2 * across[1:-1] + across[2:]) / 4


def _places(matrix: Any, shape: tuple[int, int], onto: tuple[int, int]) -> tuple[Any, Any, Any]:
    """Where the pixels of a picture of `shape` lie on one of `onto`, and which lie on it."""
    u, v = _grid(*shape)
    x = (matrix[0, 0] * u + matrix[0, 2]) * onto[1] - 0.5
    y = (matrix[1, 1] * v + matrix[1, 2]) * onto[0] - 0.5
    inside = (x > -0.75) & (y > -0.75) & (x < onto[1] - 0.25) & (y < onto[0] - 0.25)
    return x, y, inside


def _sampled(values: Any, x: Any, y: Any) -> Any:
    """Values between pixels, by the four around."""
    import numpy as np

    rows, columns = values.shape[:2]
    x, y = np.clip(x, 0, columns - 1.001), np.clip(y, 0, rows - 1.001)
    left, top = x.astype(np.int32), y.astype(np.int32)
    across, down = x - left, y - top
    if values.ndim == 3:
        across, down = across[..., None], down[..., None]
    upper = values[top, left] * (1 - across) + values[top, left + 1] * across
    lower = values[top + 1, left] * (1 - across) + values[top + 1, left + 1] * across
    return upper * (1 - down) + lower * down


def _improved(stack: Any, other: Any, matrix: Any) -> tuple[Any, float]:
    """One step of least squares (Gauss-Newton) for place, gain and offset together, and the median
    difference before it. Parts that differ much count little, as a stamp must not pull the rest
    aside. `stack` holds the first picture and its slopes across and down."""
    import numpy as np

    x, y, inside = _places(matrix, other.shape, stack.shape[:2])
    if inside.mean() < 0.6:
        return None, 255.0
    seen = _sampled(stack, x, y)[inside]
    u, v = (grid[inside] for grid in _grid(*other.shape))
    here, target = seen[:, 0], other[inside]
    gain, offset = _levels(here, target)
    if gain < 0.2:
        return None, 255.0
    difference = target - gain * here - offset
    rest = float(np.median(np.abs(difference)))
    weight = 1 / (1 + (difference / (1.5 * rest + 1.0)) ** 2)
    gx, gy = gain * seen[:, 1] * stack.shape[1], gain * seen[:, 2] * stack.shape[0]
    slopes = np.stack([gx * u, gx, gy * v, gy, here, np.ones_like(here)])
    weighted = slopes * weight
    normal = (weighted @ slopes.T).astype(np.float64) + np.eye(6) * 1e-3
    try:
        step = np.linalg.solve(normal, weighted @ difference)[:4]
    except np.linalg.LinAlgError:
        return None, 255.0
    if not np.isfinite(step).all() or np.abs(step).max() > 0.3:
        return None, 255.0
    wider, right, taller, lower = step
    return np.array([[wider, 0, right], [0, taller, lower]], np.float32), rest


@cache
def _grid(rows: int, columns: int) -> tuple[Any, Any]:
    """The middles of pixels, across and down, as shares of the sides."""
    import numpy as np

    v, u = np.mgrid[0:rows, 0:columns].astype(np.float32)
    return (u + 0.5) / columns, (v + 0.5) / rows


def _levels(here: Any, target: Any) -> tuple[float, float]:
    """Gain and offset that make one brightness like another, by least squares."""
    import numpy as np

    mean, aim = float(here.mean()), float(target.mean())
    spread = float(((here - mean) ** 2).sum())
    gain = float(((here - mean) * (target - aim)).sum()) / max(spread, 1e-3)
    return gain, aim - gain * mean if np.isfinite(gain) else 0.0


def _judged(first: Any, second: Any, matrix: Any) -> Laid:
    import numpy as np

    part = _fitted(second, FINE)
    rows, columns = part.shape[:2]
    laid, inside = _cut_out(first, matrix, rows, columns)
    one, other = grey_of(laid), grey_of(part)
    gain, difference = _left_over(one, other, inside)
    fine_one, fine_other = one - _wide(one), other - _wide(other)
    powers = _means(fine_one**2), _means(fine_other**2)
    products = _means(fine_one * fine_other)
    alike = products / np.maximum(np.sqrt(powers[0] * powers[1]), 1e-6)
    structured = np.maximum(*powers) >= _STRUCTURED
    offsets = _means(difference)
    left = np.sqrt(_means(difference**2))
    quiet = (left < _QUIET + 0.3 * np.sqrt(powers[0])) & (np.abs(offsets) < _QUIET)
    loud = offsets[~quiet]
    edge = matrix @ np.array([[0, 1, 0.5, 0.5], [0.5, 0.5, 0, 1], [1, 1, 1, 1]])
    return Laid(
        inside=float(inside.mean()),
        scale=(float(matrix[0, 0]), float(matrix[1, 1])),
        left=float(edge[0, 0]),
        right=float(1 - edge[0, 1]),
        top=float(edge[1, 2]),
        bottom=float(1 - edge[1, 3]),
        rest=float(np.median(np.abs(difference[inside]))),
        detail=_likeness(products, powers, products < np.inf),
        agreeing=_share(alike > _ALIKE, structured),
        colour=_colour_apart(laid, part, inside),
        rough=float(np.abs(offsets).max()),
        fading=abs(gain - 1),
        structured=int(structured.sum()),
        quiet=float(quiet.mean()),
        quiet_agreeing=_share(alike > _ALIKE, structured & quiet),
        quiet_detail=_likeness(products, powers, quiet),
        stamp=float(abs(loud.sum()) / max(1e-6, np.abs(loud).sum())) if loud.size else 1.0,
    )


_QUIET = 3.0
"""Root mean square of what is left, of 255, below which a part of a picture is as it was."""


def _wide(values: Any) -> Any:
    """The mean of seven by seven pixels: what a picture is without its fine structure."""
    import numpy as np

    for _ in range(2):
        sums = np.cumsum(np.pad(values, ((4, 3), (0, 0)), mode="edge"), axis=0, dtype=np.float64)
        values = ((sums[7:] - sums[:-7]) / 7).T
    return values.astype(np.float32)


def _share(good: Any, among: Any) -> float:
    return float(good[among].mean()) if among.any() else 1.0


def _likeness(products: Any, powers: tuple[Any, Any], among: Any) -> float:
    """The correlation of the fine structure of some parts, all taken together."""
    total = math.sqrt(float(powers[0][among].sum()) * float(powers[1][among].sum()))
    return float(products[among].sum()) / max(1e-6, total)


def _cut_out(first: Any, matrix: Any, rows: int, columns: int) -> tuple[Any, Any]:
    """The part of the first picture that the second shows, in the second's pixels, and which of
    these lie on it. Reduced with the care that the second was reduced with; a lean stays."""
    import numpy as np
    from PIL import Image

    _, _, inside = _places(matrix, (rows, columns), first.shape[:2])
    high, wide = first.shape[:2]
    left, top = float(matrix[0, 2]) * wide, float(matrix[1, 2]) * high
    right, bottom = left + float(matrix[0, 0]) * wide, top + float(matrix[1, 1]) * high
    box = (max(0.0, left), max(0.0, top), min(float(wide), right), min(float(high), bottom))
    image = Image.fromarray(first.astype(np.uint8))
    cut = image.resize((columns, rows), Image.Resampling.BICUBIC, box=box)
    return np.asarray(cut, np.float32), inside


_EVERY = 3
"""Of so many pixels one has a say in how bright the whole is."""


def _left_over(one: Any, other: Any, inside: Any) -> tuple[float, Any]:
    """The gain that makes one brightness like the other, and the difference left; what differs
    much, a stamp, has no say in it."""
    import numpy as np

    here, target = one[inside][::_EVERY], other[inside][::_EVERY]
    weight = np.ones_like(here)
    gain, offset = 1.0, 0.0
    for _ in range(4):
        whole = float(weight.sum())
        mean, aim = float((weight * here).sum()) / whole, float((weight * target).sum()) / whole
        spread = float((weight * (here - mean) ** 2).sum())
        gain = float((weight * (here - mean) * (target - aim)).sum()) / max(spread, 1e-3)
        offset = aim - gain * mean
        off = target - gain * here - offset
        off *= 1 / (1.0 + 1.5 * float(np.median(np.abs(off))))
        off *= off
        weight = 1 / (1 + off * off)
    return gain, np.where(inside, other - gain * one - offset, 0).astype(np.float32)


def _means(values: Any) -> Any:
    """The means of the 64 parts of a picture."""
    import numpy as np

    starts = [[n * side // _BLOCKS for n in range(_BLOCKS)] for side in values.shape]
    sums = np.add.reduceat(np.add.reduceat(values, starts[0], axis=0), starts[1], axis=1)
    sizes = [np.diff([*s, side]) for s, side in zip(starts, values.shape, strict=True)]
    return sums / (sizes[0][:, None] * sizes[1][None, :])


def _colour_apart(one: Any, other: Any, inside: Any) -> float:
    """The mean difference of hues over the parts of the pictures, as compression blurs hues; nought
    where either picture is grey."""
    import numpy as np

    hue_one, hue_other = (p - p.mean(axis=2, keepdims=True) for p in (one, other))
    if min(float(np.abs(h).mean()) for h in (hue_one, hue_other)) < 1.0:
        return 0.0
    apart = np.where(inside[..., None], hue_one - hue_other, 0)
    return float(np.mean([np.abs(_means(apart[..., n])) for n in range(3)]))
