"""Gathers the pixels of a piece into a few colours, and says how far apart two pieces are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from archivist.imaging.colour.difference import ciede2000
from archivist.imaging.colour.values import GlazeColour, GlazeColours, Lab

MOST = 4
"""Colours at most."""

ONE_COLOUR = 9.0
"""CIEDE2000, lightness counting as below, under which two colours of one piece are one."""

LEAST_SHARE = 0.04
"""What is less of a piece than this is no colour of it."""

SHADING = 0.5
"""What lightness counts for where pixels are gathered: round things are light and dark."""

QUARTER = 0.25
"""The part of a piece that must be of a colour for the piece to be of it."""


def gathered(lab: NDArray[np.float32], weights: NDArray[np.float32]) -> tuple[GlazeColour, ...]:
    """The colours of pixels (number, 3) that count for `weights`, the greatest share first."""
    colours, counts = _binned(lab, weights)
    centres = _apart(colours, counts)
    scale = np.array([SHADING, 1, 1])
    for _ in range(12):
        off = ((colours[:, None] - centres) * scale) ** 2
        nearest = off.sum(-1).argmin(1)
        for place in range(len(centres)):
            mine = nearest == place
            if counts[mine].sum() > 0:
                centres[place] = np.average(colours[mine], axis=0, weights=counts[mine])
    groups = [nearest == place for place in range(len(centres)) if (nearest == place).any()]
    return _kept([_colour(colours[group], counts[group]) for group in groups])


def merged(palettes: list[tuple[GlazeColour, ...]]) -> tuple[GlazeColour, ...]:
    """One palette of several, each counting for as much as the others."""
    return _kept([colour for palette in palettes for colour in palette])


def distance(one: GlazeColours | Lab, other: GlazeColours) -> float:
    """How far `other` is from what is asked for, in CIEDE2000; not the same the other way round.

    For each colour asked for, by its share, what the nearest quarter of the other piece is away
    from it on average: a piece that is blue on a quarter of it is as blue as one that is all blue.
    """
    asked = one.colours if isinstance(one, GlazeColours) else (GlazeColour(1.0, one, 0.0),)
    theirs = np.array([colour.lab for colour in other.colours])
    shares = np.array([colour.share for colour in other.colours])
    total = 0.0
    for colour in asked:
        off = ciede2000(np.array(colour.lab), theirs)
        order = np.argsort(off, kind="stable")
        part = min(QUARTER, max(colour.share, LEAST_SHARE))
        before = np.cumsum(shares[order]) - shares[order]
        taken = np.clip(part - before, 0, shares[order])
        total += colour.share * float((taken * off[order]).sum() / taken.sum())
    return total / sum(colour.share for colour in asked)


def _binned(
    lab: NDArray[np.float32], weights: NDArray[np.float32]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Pixels gathered in cubes of 2 by 2 by 2 units: their means, and what they count for."""
    keys = np.floor(lab / 2).astype(np.int64) @ np.array([1 << 20, 1 << 10, 1])
    _, cube = np.unique(keys, return_inverse=True)
    counts = np.asarray(np.bincount(cube, weights), np.float64)
    sums = [np.bincount(cube, weights * lab[:, channel]) for channel in range(3)]
    some = counts > 0
    return np.stack(sums, axis=-1)[some] / counts[some, None], counts[some]


def _apart(colours: NDArray[np.float64], counts: NDArray[np.float64]) -> NDArray[np.float64]:
    """Colours to begin with: the middle one, then whichever is far from these and frequent."""
    scale = np.array([SHADING, 1, 1])
    chosen = [np.average(colours, axis=0, weights=counts)]
    for _ in range(MOST + 1):
        off = np.min([(((colours - c) * scale) ** 2).sum(1) for c in chosen], axis=0)
        chosen.append(colours[int(np.argmax(off * counts))])
    return np.array(chosen[1:])


def _colour(colours: NDArray[np.float64], counts: NDArray[np.float64]) -> GlazeColour:
    """One colour, its `share` not yet a share but what it counts for."""
    mean = np.average(colours, axis=0, weights=counts)
    square = np.average(((colours - mean) ** 2).sum(1), weights=counts)
    return GlazeColour(float(counts.sum()), _lab(mean), float(np.sqrt(square)))


def _kept(colours: list[GlazeColour]) -> tuple[GlazeColour, ...]:
    """Colours that look alike made one, the small left out, rounded, their shares summing to 1."""
    left = sorted(colours, key=lambda colour: -colour.share)
    while len(left) > 1:
        labs = np.array([colour.lab for colour in left])
        apart = ciede2000(labs[:, None], labs[None], lightness_factor=1 / SHADING)
        apart[np.tril_indices(len(left))] = np.inf
        one, other = np.unravel_index(int(np.argmin(apart)), apart.shape)
        if apart[one, other] >= ONE_COLOUR and len(left) <= MOST:
            break
        both = _together(left[int(one)], left[int(other)])
        left = [colour for place, colour in enumerate(left) if place not in (one, other)]
        left.append(both)
    total = sum(colour.share for colour in left)
    kept = [colour for colour in left if colour.share >= LEAST_SHARE * total]
    total = sum(colour.share for colour in kept)
    kept.sort(key=lambda colour: (-colour.share, colour.lab))
    return tuple(
        GlazeColour(round(c.share / total, 3), _lab(np.array(c.lab), 1), round(c.spread, 1))
        for c in kept
    )


def _together(one: GlazeColour, other: GlazeColour) -> GlazeColour:
    """Two colours as one: mean and spread as of all pixels of both."""
    share = one.share + other.share
    weights = np.array([one.share, other.share]) / share
    labs = np.array([one.lab, other.lab])
    mean = weights @ labs
    square = weights @ (((labs - mean) ** 2).sum(1) + np.array([one.spread, other.spread]) ** 2)
    return GlazeColour(share, _lab(mean), float(np.sqrt(square)))


def _lab(values: NDArray[np.float64], digits: int = 6) -> Lab:
    lightness, a, b = (round(float(value), digits) for value in values)
    return lightness, a, b
