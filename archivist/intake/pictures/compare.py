"""Whether one picture is another one changed: laid over each other, crop and all, and compared.

A photograph that was resized, recompressed, cut, turned, sharpened, made grey or stamped with a
name shows the same things in the same places once the two are laid over each other. Two sides of a
pot, two pots of a pair or two exposures of one pot do not, however alike they are: the brushwork,
the shine and the grain of the cloth lie elsewhere.
"""

from __future__ import annotations

import io
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
    much of a side of the first it covers, `lean` the remaining turn in radians. `left`, `top`,
    `right` and `bottom` are the shares of the first that were cut. `rest` is the median difference
    that is left, of 255, once brightness and contrast are made alike; `detail` how alike the fine
    structure is in all (-1 to 1) and `agreeing` the share of the structured parts of the picture
    that agree; `colour` how far colours are apart, of 255. `rough` is the largest difference left
    of any of the 64 parts of the picture, and `fading` by how much contrast was changed.
    """

    inside: float
    scale: tuple[float, float]
    lean: float
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
    return _judged(_fitted(first, FINE), _fitted(second, FINE), matrix)


_HOPELESS = 6.0
"""The median difference, of 255, above which two pictures are not looked at more closely."""


def _fitted(pixels: Any, longest: int) -> Any:
    import numpy as np
    from PIL import Image

    rows, columns = pixels.shape[:2]
    scale = longest / max(rows, columns)
    size = (max(12, round(columns * scale)), max(12, round(rows * scale)))
    image = Image.fromarray(pixels.astype(np.uint8)).resize(size, Image.Resampling.BOX)
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
    x = (matrix[0, 0] * u + matrix[0, 1] * v + matrix[0, 2]) * onto[1] - 0.5
    y = (matrix[1, 0] * u + matrix[1, 1] * v + matrix[1, 2]) * onto[0] - 0.5
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
    slopes = np.stack([gx * u, gx * v, gx, gy * u, gy * v, gy, here, np.ones_like(here)])
    weighted = slopes * weight
    normal = (weighted @ slopes.T).astype(np.float64) + np.eye(8) * 1e-3
    try:
        step = np.linalg.solve(normal, weighted @ difference)[:6]
    except np.linalg.LinAlgError:
        return None, 255.0
    if not np.isfinite(step).all() or np.abs(step).max() > 0.3:
        return None, 255.0
    return step.reshape(2, 3).astype(np.float32), rest


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

    x, y, inside = _places(matrix, second.shape[:2], first.shape[:2])
    laid = _sampled(first, x, y)
    one, other = grey_of(laid), grey_of(second)
    gain, offset = _levels(one[inside], other[inside])
    difference = np.where(inside, other - gain * one - offset, 0)
    fine_one, fine_other = one - _wide(one), other - _wide(other)
    powers = _means(fine_one**2), _means(fine_other**2)
    alike = _means(fine_one * fine_other) / np.maximum(np.sqrt(powers[0] * powers[1]), 1e-6)
    structured = np.maximum(*powers) >= _STRUCTURED
    agreeing = float((alike[structured] > _ALIKE).mean()) if structured.any() else 1.0
    total = float(np.sqrt((fine_one**2).mean() * (fine_other**2).mean()))
    edge = matrix @ np.array([[0, 1, 0.5, 0.5], [0.5, 0.5, 0, 1], [1, 1, 1, 1]])
    return Laid(
        inside=float(inside.mean()),
        scale=(float(matrix[0, 0]), float(matrix[1, 1])),
        lean=float(max(abs(matrix[0, 1]), abs(matrix[1, 0]))),
        left=float(edge[0, 0]),
        right=float(1 - edge[0, 1]),
        top=float(edge[1, 2]),
        bottom=float(1 - edge[1, 3]),
        rest=float(np.median(np.abs(difference[inside]))),
        detail=float((fine_one * fine_other).mean()) / max(1e-6, total),
        agreeing=agreeing,
        colour=_colour_apart(laid, second, inside),
        rough=float(np.abs(_means(difference)).max()),
        fading=abs(gain - 1),
        structured=int(structured.sum()),
    )


def _wide(values: Any) -> Any:
    """Blurred widely, so that what is left is the fine structure."""
    for _ in range(6):
        values = _smooth(values)
    return values


def _means(values: Any) -> Any:
    """The means of the 64 parts of a picture."""
    import numpy as np

    starts = [[n * side // _BLOCKS for n in range(_BLOCKS)] for side in values.shape]
    sums = np.add.reduceat(np.add.reduceat(values, starts[0], axis=0), starts[1], axis=1)
    sizes = [np.diff([*s, side]) for s, side in zip(starts, values.shape, strict=True)]
    return sums / (sizes[0][:, None] * sizes[1][None, :])


def _colour_apart(one: Any, other: Any, inside: Any) -> float:
    """The mean difference of hues; nought where either picture is grey."""
    import numpy as np

    hue_one, hue_other = (p - p.mean(axis=2, keepdims=True) for p in (one, other))
    if min(float(np.abs(h).mean()) for h in (hue_one, hue_other)) < 1.0:
        return 0.0
    return float(np.abs(hue_one - hue_other)[inside].mean())
