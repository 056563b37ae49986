"""Whether one picture is another one changed: laid over each other, crop and all, and compared.

A photograph that was resized, recompressed, cut, turned, sharpened, made grey or stamped with a
name shows the same things in the same places once the two are laid over each other. Two sides of a
pot, two pots of a pair or two exposures of one pot do not, however alike they are: the brushwork,
the shine and the grain of the cloth lie elsewhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from archivist.intake.pictures.pixels import fitted, grey_of
from archivist.intake.pictures.placing import FINE, placed, places_on, sampled

_BLOCKS = 8
_STRUCTURED = 4.0
"""Mean square of the fine structure from which a part of a picture has any to compare."""

TINTED = 3.0
"""Mean difference of hues, of 255, from which on colours are another."""

_ALIKE = 0.8
"""Correlation of the fine structure from which a part counts as agreeing."""


@dataclass(frozen=True)
class Laid:
    """How well one picture lies over another.

    `lean` is by how much the second leans, in its own sides (down for across, across for down).
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
    `clean` is the share of the picture around whose pixels hardly any difference is left, finer
    than by parts, `clean_detail` how alike the fine structure is there,
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
    recoloured: float
    rough: float
    fading: float
    structured: int
    quiet: float
    quiet_agreeing: float
    quiet_detail: float
    stamp: float
    clean: float
    clean_detail: float
    lean: tuple[float, float]


def lay(
    first: Any,
    second: Any,
    cut: tuple[float, float, float, float],
    scale: tuple[float, float] | None = None,
    *,
    lean: bool = False,
) -> Laid | None:
    """Lays the second picture over the first, beginning at that cut; None where it cannot be.

    Both are arrays of rows, columns and three colours, upright alike. `scale` holds how much of
    each side the second shows, where that is known; with `lean` it may be turned a few degrees.
    """
    matrix = placed(first, second, cut, scale, lean=lean)
    return None if matrix is None else _judged(first, second, matrix)


def lay_whole(first: Any, second: Any) -> Laid:
    """Lays the second picture over the first as if nothing had been cut."""
    import numpy as np

    return _judged(first, second, np.array([[1, 0, 0], [0, 1, 0]], np.float32))


def _judged(first: Any, second: Any, matrix: Any) -> Laid:
    import numpy as np

    part = fitted(second, FINE)
    rows, columns = part.shape[:2]
    laid, inside = _cut_out(first, matrix, rows, columns)
    one, other = grey_of(laid), grey_of(part)
    told = _told(part, inside)
    gain, offset = _levels(one, other, told)
    # What became too bright or too dark to be told apart is so in each colour by itself.
    expected = np.clip(gain * laid + offset, 0, 255)
    difference = np.where(inside, other - grey_of(expected), 0).astype(np.float32)
    colour = _colour_apart(expected, part, inside)
    fine_one, fine_other = one - _wide(one), other - _wide(other)
    powers = _means(fine_one**2), _means(fine_other**2)
    products = _means(fine_one * fine_other)
    alike = products / np.maximum(np.sqrt(powers[0] * powers[1]), 1e-6)
    structured = np.maximum(*powers) >= _STRUCTURED
    offsets = _means(difference)
    left = np.sqrt(_means(difference**2))
    quiet = (left < _QUIET + 0.3 * np.sqrt(powers[0])) & (np.abs(offsets) < _QUIET)
    loud = offsets[~quiet]
    clean = inside & (_wide(difference**2) < _QUIET**2)
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
        colour=colour,
        recoloured=_colour_apart(_tinted(laid, part, told), part, inside)
        if colour > TINTED
        else colour,
        rough=float(np.abs(offsets).max()),
        fading=abs(gain - 1),
        structured=int(structured.sum()),
        quiet=float(quiet.mean()),
        quiet_agreeing=_share(alike > _ALIKE, structured & quiet),
        quiet_detail=_likeness(products, powers, quiet),
        clean=float(clean.mean()),
        clean_detail=_likeness(fine_one * fine_other, (fine_one**2, fine_other**2), clean),
        lean=(float(matrix[1, 0]), float(matrix[0, 1])),
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
    these lie on it. Reduced with the care that the second was reduced with; where it leans
    there is no such way, and values between pixels are taken."""
    import numpy as np
    from PIL import Image

    x, y, inside = places_on(matrix, (rows, columns), first.shape[:2])
    if matrix[0, 1] or matrix[1, 0]:
        return sampled(first, x, y), inside
    high, wide = first.shape[:2]
    left, top = float(matrix[0, 2]) * wide, float(matrix[1, 2]) * high
    right, bottom = left + float(matrix[0, 0]) * wide, top + float(matrix[1, 1]) * high
    beyond = math.ceil(max(0.0, -left, -top, right - wide, bottom - high))
    if beyond:  # what lies beyond the first is not `inside`; its edges stand for it
        first = np.pad(first, ((beyond, beyond), (beyond, beyond), (0, 0)), mode="edge")
    box = (left + beyond, top + beyond, right + beyond, bottom + beyond)
    image = Image.fromarray(first.astype(np.uint8))
    cut = image.resize((columns, rows), Image.Resampling.BICUBIC, box=box)
    return np.asarray(cut, np.float32), inside


_BLACK, _WHITE = 4, 250
"""Values, of 255, beyond which a picture may have been lighter or darker than it could show."""

_EVERY = 3
"""Of so many pixels one has a say in how bright the whole is."""


def _told(part: Any, inside: Any) -> Any:
    """Where a picture tells how bright things were: neither white nor black, unless most is."""
    told = inside & (part.max(axis=2) < _WHITE) & (part.min(axis=2) > _BLACK)
    return told if told.mean() > 0.2 else inside


def _levels(one: Any, other: Any, inside: Any) -> tuple[float, float]:
    """The gain and the offset that make one brightness like the other; what differs much, a stamp,
    has no say in it."""
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
    return gain, offset


def _tinted(one: Any, other: Any, told: Any) -> Any:
    """The first with each of its colours made like that of the other."""
    import numpy as np

    tinted = np.empty_like(one)
    for n in range(3):
        gain, offset = _levels(one[..., n], other[..., n], told)
        tinted[..., n] = np.clip(gain * one[..., n] + offset, 0, 255)
    return tinted


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
