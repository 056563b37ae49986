"""What of a piece shows its colour: not what mirrors the lamp, and hardly what lies in shadow."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from archivist.imaging.colour.regions import Mask, grown

Array = NDArray[np.float32]

CLIPPED = 250
"""Of 255: a pixel with two channels from here on may be any colour brighter than it shows."""

RARE = 85
"""Mirrored lights are brighter than so many hundredths of the piece: they are spots on it."""

BRIGHTER, AROUND = 8.0, 6.0
"""L* by which they are brighter than that, and than what is around them."""

EDGE = 0.03
"""Share of the longer side within which the edge of a piece may hold shadow."""

DARK, DAMPED = 0.55, 0.25
"""A pixel at the edge of less than this share of the middle L* counts for so much."""


def weights(lab: Array, pixels: NDArray[np.uint8], piece: Mask) -> Array:
    """What each pixel counts for, from 0 to 1; 0 outside the piece and where a light is mirrored.

    `lab` and `pixels` are the same picture (rows, columns, 3) in CIELAB and in sRGB.
    """
    inside = ~grown(~piece, 2)
    counted = np.where(inside & ~mirrors(lab, pixels, piece), 1, 0).astype(np.float32)
    near_edge = inside & grown(~piece, 2 + round(max(piece.shape) * EDGE))
    middle = float(np.median(lab[..., 0][piece])) if piece.any() else 0.0
    counted[near_edge & (lab[..., 0] < DARK * middle)] *= DAMPED
    return counted


def mirrors(lab: Array, pixels: NDArray[np.uint8], piece: Mask) -> Mask:
    """Where the piece mirrors a light: white with it, or much brighter than the rest and no richer.

    A glaze that is white all over, or white under painting, is left but for what is clipped.
    """
    if not piece.any():
        return piece
    size = max(5, round(max(piece.shape) * 0.08))
    here = piece.astype(np.float32)
    count = np.maximum(_boxed(here, size), 1e-6)
    lightness = _boxed(lab[..., 0] * here, size) / count
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    usual = _boxed(chroma * here, size) / count
    bright = max(0.0, float(np.percentile(lab[..., 0][piece], RARE))) + BRIGHTER
    shines = (lab[..., 0] > np.maximum(lightness + AROUND, bright)) & (chroma < usual + 1)
    clipped = (pixels >= CLIPPED).sum(-1) >= 2
    return grown((shines | clipped) & piece, 1)


def _boxed(values: Array, size: int) -> Array:
    """The mean of a square of 2 `size` + 1 pixels round each, what lies outside counting as 0."""
    sums = np.pad(values.astype(np.float64), size + 1)
    sums = sums.cumsum(0).cumsum(1)
    wide = 2 * size + 1
    box = sums[wide:, wide:] - sums[:-wide, wide:] - sums[wide:, :-wide] + sums[:-wide, :-wide]
    return np.asarray(box[: values.shape[0], : values.shape[1]] / wide**2, np.float32)
