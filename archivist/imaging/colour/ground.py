"""Tells a piece from the ground it was photographed on: paper, cloth, black, white, in gradients.

The ground is what the border shows: a smooth surface of colour is laid through it, and whatever is
joined to the border without a step in colour belongs to it. How far colour may stray is not fixed:
tried from strict to lax, the ground's area stands still between the grain of the paper and the
first step into the piece, and there it is taken. Then shadows that fall on the ground are peeled
off the piece. Where the area never rests, or what is left cannot be a piece, nothing is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from archivist.imaging.colour.regions import (
    Mask,
    grown,
    inner,
    joined,
    large_parts,
    levels,
    outermost,
)

Array = NDArray[np.float32]

BORDER = 0.03
"""Share of the shorter side that is taken for the border."""

LADDER = tuple(1.2**step for step in range(2, 18))
"""Distances from the ground, in CIELAB units, that are tried: 1.4 to 22."""

SHADOW = 0.3
"""What a unit of lightness counts for where a pixel is darker than the ground: shadows fall."""

STEP = 1.6
"""What a unit of difference between neighbours counts for, against a unit from the ground."""

LEAST, MOST = 0.02, 0.85
"""Shares of the picture within which a piece is believed."""

CUT = 0.25
"""Share of the picture's edge that a piece may touch."""

REST = 0.16
"""Share of the piece's area that may go at the next two steps of the ladder where it rests."""

LAX = 0.012
"""What each step up the ladder counts for, as a share of the area: strict is better than lax."""

SHADE_COLOUR, SHADE_STEP, LIGHTER = 3.5, 3.0, 3.0
"""Of what is still ground: the most it differs in colour, between neighbours, in being lighter."""

SHADE_WARMS = 0.08
"""What a shadow may differ more in colour for each unit that it is darker: the piece lights it."""

SAME = 2.5
"""Within this an even patch is the ground itself."""

SHADE_EDGE = 7.0
"""How much steeper a shadow may begin that has the very colour of the ground."""

MAINLY = 0.55
"""Share of the piece that must be left when shadows are taken from it."""

EDGED = 3.0
"""The least difference between neighbours that the sharpest tenth of an outline has."""

STANDS_OUT = 3.0
"""The least distance from the ground that the middle half of a piece's pixels must have."""


@dataclass(frozen=True)
class Separated:
    """The piece in a picture, or why it was not found.

    `piece` is a mask of the picture's size, None where `reason` tells what went wrong; `ground` is
    the middle CIELAB of the border, `strayed` the distance from the ground that was allowed.
    """

    piece: Mask | None
    ground: tuple[float, float, float]
    strayed: float = 0.0
    reason: str = ""


def separate(lab: Array, *, apart: Mask | None = None) -> Separated:
    """The piece in a picture of CIELAB pixels (rows, columns, 3), best of about 200 a side.

    Pixels of `apart` (a colour card) belong to neither.
    """
    border = np.ones(lab.shape[:2], bool)
    edge = max(2, round(min(border.shape) * BORDER))
    border[edge:-edge, edge:-edge] = False
    known = border if apart is None else border & ~apart
    lightness, a, b = (float(value) for value in np.median(lab[known], axis=0))
    around = (lightness, a, b)
    surface = _surface(lab, known)
    for _ in range(2):
        near = distance(lab, surface) < 6
        sure = joined(near, outermost(near))
        if sure.mean() > 0.15:
            surface = _surface(lab, sure)
    off = distance(lab, surface)
    cost = np.maximum(off, STEP * steps(lab))
    if apart is not None:
        cost[apart] = 0
    reached = levels(np.searchsorted(LADDER, cost).astype(np.uint8), len(LADDER))
    areas = np.array([np.mean(reached > level) for level in range(len(LADDER))])
    level = _at_rest(areas)
    if level is None:
        return Separated(None, around, reason="piece and background run into each other")
    piece = large_parts(~outside(reached <= level))
    piece = _without_shadow(piece, lab)
    reason = _doubt(piece, off, steps(lab))
    return Separated(None if reason else piece, around, LADDER[level], reason)


def outside(ground: Mask) -> Mask:
    """The ground that is joined to the picture's edge; what it encloses is no ground."""
    return joined(ground, outermost(ground))


def _surface(lab: Array, known: Mask) -> Array:
    """A smooth surface of colour through the pixels that are `known`, those far from it left out.

    Each channel is a polynomial, of fourth degree down, where a studio's paper bends, and second
    across.
    """
    height, width = known.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j].astype(np.float32)
    powers = (np.ones_like(x), x, y, x * x, x * y, y * y, y**3, x * y * y, x * x * y, y**4)
    terms = np.stack(powers, axis=-1)
    chosen = np.flatnonzero(known)
    chosen = chosen[:: max(1, len(chosen) // 2000)]
    at = terms.reshape(-1, terms.shape[-1])[chosen].astype(np.float64)
    values = lab.reshape(-1, 3)[chosen].astype(np.float64)
    weight = np.ones(len(chosen))
    for _ in range(6):
        # Not by matrix products: on matrices this small their threads cost more than they save.
        weighed = at * weight[:, None]
        square = np.einsum("ni,nj->ij", weighed, at) + 1e-6 * np.eye(at.shape[1])
        found = np.linalg.solve(square, np.einsum("ni,nj->ij", weighed, values))
        off = np.sqrt(((values - np.einsum("ni,ij->nj", at, found)) ** 2).sum(1))
        scale = max(1.0, 1.5 * float(np.median(off)))
        weight = (1 / (1 + (off / (2 * scale)) ** 2)) ** 2
    return np.asarray(np.einsum("yxi,ij->yxj", terms, found.astype(np.float32)))


def distance(lab: Array, surface: Array) -> Array:
    """How far each pixel is from the ground; a shadow on it is near, its colour fading with it."""
    darker = lab[..., 0] < surface[..., 0]
    lightness = (lab[..., 0] - surface[..., 0]) * np.where(darker, SHADOW, 1)
    return np.asarray(np.hypot(lightness, _colour_off(lab, surface)), np.float32)


def _colour_off(lab: Array, surface: Array) -> Array:
    """How far each pixel's a* and b* are from those of the ground in the same light or less."""
    fading = (np.maximum(lab[..., 0], 0) + 16) / (np.maximum(surface[..., 0], 0) + 16)
    colour = lab[..., 1:] - surface[..., 1:] * np.minimum(fading, 1)[..., None]
    return np.asarray(np.sqrt((colour**2).sum(-1)), np.float32)


def steps(lab: Array) -> Array:
    """Half the difference in CIELAB between the neighbours of each pixel."""
    padded = np.pad(lab, ((1, 1), (1, 1), (0, 0)), "edge")
    across = padded[1:-1, 2:] - padded[1:-1, :-2]
    down = padded[2:, 1:-1] - padded[:-2, 1:-1]
    square = np.maximum((across**2).sum(-1), (down**2).sum(-1))
    return np.asarray(np.sqrt(square) / 2, np.float32)


def _at_rest(areas: NDArray[Any]) -> int | None:
    """The step of the ladder at which the piece's area changes least; None where it never rests."""
    best, least = None, REST
    for level in range(len(areas) - 2):
        if areas[level + 2] > LEAST and areas[level] < MOST:
            change = 1 - areas[level + 2] / areas[level] + LAX * level
            if change < least:
                best, least = level + 1, change
    return best


def _without_shadow(piece: Mask, lab: Array) -> Mask:
    """The piece without what still is ground around it: shadows above all, and bends of the paper.

    These are of the colour that the ground has nearby, darker or hardly lighter, and begin softly;
    what looks like the ground itself is so also where a handle encloses it.
    Where that would take nearly half of the piece away, it is the piece that is of the ground's
    colour: then less steep shadows are taken, or nothing.
    """
    nearby = _carried_on(lab, ~inner(~piece, 2))
    soft = steps(lab)
    colour = _colour_off(lab, nearby)
    lighter = lab[..., 0] - nearby[..., 0]
    same = inner((np.hypot(lighter, colour) < SAME) & (soft < SAME), 1, grow=True)
    warmer = SHADE_COLOUR + SHADE_WARMS * np.maximum(-lighter, 0)
    for steeper in (SHADE_EDGE, 0.0):
        edge = SHADE_STEP + steeper * np.maximum(1 - colour / warmer, 0)
        ground = (lighter < LIGHTER) & (colour < warmer) & (soft < edge)
        left = large_parts(inner(~outside(~piece | ground) & ~same, 2, grow=True))
        if left.sum() > MAINLY * piece.sum():
            return left
    return piece


def _carried_on(lab: Array, hidden: Mask) -> Array:
    """The picture with its `hidden` pixels filled from those around them, the nearest most."""
    height, width = hidden.shape
    known = np.where(hidden, 0, 1).astype(np.float32)[..., None]
    sums = np.concatenate([lab * known, known], axis=-1)
    if min(height, width) > 2:
        even = np.pad(sums, ((0, height % 2), (0, width % 2), (0, 0)))
        halved = even[::2, ::2] + even[1::2, ::2] + even[::2, 1::2] + even[1::2, 1::2]
        some = halved[..., 3:] > 0
        means = halved[..., :3] / np.where(some, halved[..., 3:], 1)
        coarse = _carried_on(means, ~some[..., 0])
        coarse = coarse.repeat(2, 0).repeat(2, 1)[:height, :width]
    else:
        coarse = (sums[..., :3].sum((0, 1)) / max(float(known.sum()), 1))[None, None]
    return np.asarray(np.where(hidden[..., None], coarse, lab), np.float32)


def _doubt(piece: Mask, off: Array, soft: Array) -> str:
    """Why what was found is no piece; '' where it may be one."""
    share = float(piece.mean())
    if not LEAST <= share <= MOST:
        return "no piece stands out from the background"
    if piece[outermost(np.ones_like(piece))].mean() > CUT:
        return "the piece is cut off by the edge, and the background cannot be told"
    if float(np.percentile(off[piece], 50)) < STANDS_OUT:
        return "the piece is too much like the background"
    rim = grown(piece, 2) & ~inner(piece, 2)
    if float(np.percentile(soft[rim], 90)) < EDGED:
        return "nothing with an edge stands out from the background"
    return ""
