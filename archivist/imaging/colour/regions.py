"""Masks of pixels: what is joined to what, and which parts there are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]


def outermost(mask: Mask) -> Mask:
    """The pixels of `mask` that lie on the edge of the picture."""
    edge = np.zeros_like(mask)
    for line in ((0, slice(None)), (-1, slice(None)), (slice(None), 0), (slice(None), -1)):
        edge[line] = mask[line]
    return edge


def joined(mask: Mask, seeds: Mask) -> Mask:
    """The pixels of `mask` that are joined to `seeds` by pixels of it, side by side or above.

    Seeds run along whole rows and columns at once, until none has anywhere to go.
    """
    found = mask & seeds
    count = -1
    while (now := int(np.count_nonzero(found))) != count:
        count = now
        found = _along_rows(mask, found)
        found = _along_rows(mask.T, found.T).T
    return found


def _along_rows(mask: Mask, found: Mask) -> Mask:
    """Fills every unbroken stretch of a row of `mask` in which anything is found."""
    rows, columns = mask.shape
    walled = np.zeros((rows, columns + 1), bool)
    walled[:, :-1] = mask
    stretch = np.cumsum(~walled.ravel())
    hit = np.zeros(int(stretch[-1]) + 1, bool)
    hit[stretch.reshape(rows, -1)[:, :-1][found]] = True
    return np.asarray((hit[stretch].reshape(rows, -1) & walled)[:, :-1])


def levels(cost: NDArray[np.uint8], highest: int) -> NDArray[np.uint8]:
    """For each pixel the least level at which it can be reached from the edge of the picture.

    A way may pass pixels whose cost is no higher than its level. What is above `highest` is never
    reached, and has `highest` + 1.
    """
    rows, columns = cost.shape
    wide = columns + 2
    unreached = highest + 1
    walled = np.full((rows + 2, wide), 255, np.uint8)
    walled[1:-1, 1:-1] = np.minimum(cost, unreached)
    price = walled.tobytes()
    reached = bytearray(b"\xff" * len(price))
    waiting: list[list[int]] = [[] for _ in range(highest + 1)]
    edge = outermost(np.ones_like(cost, bool))
    for place in np.flatnonzero(np.pad(edge, 1)).tolist():
        if price[place] <= highest:
            reached[place] = price[place]
            waiting[price[place]].append(place)
    for level, places in enumerate(waiting):
        while places:
            place = places.pop()
            for other in (place - 1, place + 1, place - wide, place + wide):
                if reached[other] == 255 and price[other] <= highest:
                    at = max(level, price[other])
                    reached[other] = at
                    waiting[at].append(other)
    found = np.frombuffer(bytes(reached), np.uint8).reshape(rows + 2, wide)[1:-1, 1:-1]
    return np.minimum(found, unreached)


def inner(mask: Mask, pixels: int, *, grow: bool = False) -> Mask:
    """`mask` without its outermost `pixels`; with `grow` what is left is let grow back by as many.

    The edge of the picture is no edge of the mask.
    """
    less = ~grown(~mask, pixels)
    return grown(less, pixels) if grow else less


def grown(mask: Mask, pixels: int) -> Mask:
    """`mask` and everything within that many pixels of it, counted along rows and columns."""
    for _ in range(pixels):
        more = mask.copy()
        more[1:] |= mask[:-1]
        more[:-1] |= mask[1:]
        more[:, 1:] |= mask[:, :-1]
        more[:, :-1] |= mask[:, 1:]
        mask = more
    return mask


def parts(mask: Mask) -> tuple[NDArray[np.int64], int]:
    """A number for each pixel, the same for all that are joined, from 1; 0 outside `mask`."""
    labels = np.arange(1, mask.size + 1).reshape(mask.shape) * mask
    before = np.zeros_like(labels)
    while (labels != before).any():
        before = labels
        labels = _least_along_rows(mask, labels)
        labels = _least_along_rows(mask.T, labels.T).T
    firsts = np.flatnonzero(labels == np.arange(1, mask.size + 1).reshape(mask.shape))
    numbers = np.zeros(mask.size + 1, np.int64)
    numbers[firsts + 1] = np.arange(1, len(firsts) + 1)
    return numbers[labels], len(firsts)


def _least_along_rows(mask: Mask, labels: NDArray[np.int64]) -> NDArray[np.int64]:
    """The least label of its unbroken stretch of a row for each pixel."""
    starts = mask.copy()
    starts[:, 1:] &= ~mask[:, :-1]
    among = np.flatnonzero(starts[mask])
    if len(among) == 0:
        return labels
    least = np.minimum.reduceat(labels[mask], among)
    found = np.zeros_like(labels)
    found[mask] = np.repeat(least, np.diff([*among, int(mask.sum())]))
    return found


def large_parts(mask: Mask, share: float = 0.25) -> Mask:
    """The parts of `mask` that have at least `share` of the largest one's area."""
    numbers, _ = parts(mask)
    sizes = np.bincount(numbers.ravel())
    sizes[0] = 0
    kept = sizes >= max(share * sizes.max(), 1)
    return np.asarray(kept[numbers])
