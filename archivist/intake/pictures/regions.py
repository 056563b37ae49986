"""Where the pieces of a group photograph stand, as far as they stand apart before a backdrop."""

from __future__ import annotations

from typing import Any

from archivist.model import Region

_CLEAR = 26.0
"""Difference from the backdrop, of 255, from which something stands before it."""

_FEWEST = 0.04
"""Share of a side that a piece takes at least."""


def pieces_in(pixels: Any, width: int, height: int, count: int) -> tuple[Region, ...]:
    """Regions from left to right in full-size pixels, where exactly `count` things stand apart.

    Nothing where fewer or more are found: then a person must say. `pixels` is a small picture
    (rows, columns, three colours), `width` and `height` the size of the file. The backdrop is what
    the borders left and right show, row by row, so that one that darkens downwards is still one.
    """
    import numpy as np

    rows, columns = pixels.shape[:2]
    wide = max(2, columns // 24)
    edges = np.concatenate([pixels[:, :wide], pixels[:, -wide:]], axis=1)
    backdrop = np.median(edges, axis=1)
    apart = np.abs(pixels - backdrop[:, None, :]).max(axis=2) > _CLEAR
    filled = apart.mean(axis=0) > _FEWEST
    found = [
        (start, end) for start, end in _runs(filled) if end - start >= max(3, _FEWEST * columns)
    ]
    if len(found) != count or count < 2:
        return ()
    regions = []
    for start, end in found:
        down = np.nonzero(apart[:, start:end].mean(axis=1) > _FEWEST)[0]
        if not len(down):
            return ()
        left, right = start * width // columns, end * width // columns
        top, bottom = int(down[0]) * height // rows, (int(down[-1]) + 1) * height // rows
        regions.append(
            Region(
                x=left,
                y=top,
                width=right - left,
                height=bottom - top,
                reference_width=width,
                reference_height=height,
            )
        )
    return tuple(regions)


def _runs(filled: Any) -> list[tuple[int, int]]:
    """Where the columns that hold something begin and end; a gap of one column is none."""
    runs: list[tuple[int, int]] = []
    for place, full in enumerate(filled.tolist()):
        if not full:
            continue
        if runs and place - runs[-1][1] <= 1:
            runs[-1] = (runs[-1][0], place + 1)
        else:
            runs.append((place, place + 1))
    return runs
