"""Where one picture lies on another, by least squares on brightness, coarse and then fine."""

from __future__ import annotations

from functools import cache
from typing import Any

from archivist.intake.pictures.pixels import fitted, grey_of, smooth

FINE, COARSE = 96, 40
"""Pixels of the longest side that pictures are laid over each other at, in two steps."""


_HOPELESS = 6.0
"""The median difference, of 255, above which two pictures are not looked at more closely."""


def placed(
    first: Any,
    second: Any,
    cut: tuple[float, float, float, float],
    scale: tuple[float, float] | None = None,
    *,
    lean: bool = False,
) -> Any:
    """Where the second picture lies on the first, beginning at that cut; None where it cannot be.

    Given is a matrix of two rows: shares of the second's sides to shares of the first's. Where
    `scale` is said, how much of each side the second shows, only its place is looked for; with
    `lean` the second may have been turned by a few degrees.

    Both are arrays of rows, columns and three colours, upright alike.
    """
    import numpy as np

    left, top, right, bottom = cut
    across, down = scale or (1 - left - right, 1 - top - bottom)
    matrix = np.array([[across, 0, left], [0, down, top]], np.float32)
    free = "lean" if lean else "size" if scale is None else "place"
    for size, rounds in ((COARSE, 6), (FINE, 3)):
        one, other = grey_of(fitted(first, size)), grey_of(fitted(second, size))
        one, other = smooth(one), smooth(other)
        falls, rises = np.gradient(one)
        stack = np.stack([one, rises, falls], axis=2)
        for _ in range(rounds):
            step, rest = _improved(stack, other, matrix, free=free)
            if step is None:
                return None
            moved = float(np.abs(step).max())
            matrix = matrix + step
            if moved < 3e-4:
                break
        if rest > _HOPELESS or not (0.75 < matrix[0, 0] < 1.1 and 0.75 < matrix[1, 1] < 1.1):
            return None
    return matrix


def places_on(matrix: Any, shape: tuple[int, int], onto: tuple[int, int]) -> tuple[Any, Any, Any]:
    """Where the pixels of a picture of `shape` lie on one of `onto`, and which lie on it."""
    u, v = _grid(*shape)
    x = (matrix[0, 0] * u + matrix[0, 1] * v + matrix[0, 2]) * onto[1] - 0.5
    y = (matrix[1, 0] * u + matrix[1, 1] * v + matrix[1, 2]) * onto[0] - 0.5
    inside = (x > -0.75) & (y > -0.75) & (x < onto[1] - 0.25) & (y < onto[0] - 0.25)
    return x, y, inside


def sampled(values: Any, x: Any, y: Any) -> Any:
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


_FREE = {"place": (2, 5), "size": (0, 2, 4, 5), "lean": (0, 1, 2, 3, 4, 5)}
"""Which of the six numbers of the matrix are looked for."""


def _improved(stack: Any, other: Any, matrix: Any, *, free: str) -> tuple[Any, float]:
    """One step of least squares (Gauss-Newton) for place, gain and offset together, and the median
    difference before it. Parts that differ much count little, as a stamp must not pull the rest
    aside. `stack` holds the first picture and its slopes across and down."""
    import numpy as np

    x, y, inside = places_on(matrix, other.shape, stack.shape[:2])
    if inside.mean() < 0.6:
        return None, 255.0
    seen = sampled(stack, x, y)[inside]
    u, v = (grid[inside] for grid in _grid(*other.shape))
    here, target = seen[:, 0], other[inside]
    gain, offset = _levels(here, target)
    if gain < 0.2:
        return None, 255.0
    difference = target - gain * here - offset
    rest = float(np.median(np.abs(difference)))
    weight = 1 / (1 + (difference / (1.5 * rest + 1.0)) ** 2)
    gx, gy = gain * seen[:, 1] * stack.shape[1], gain * seen[:, 2] * stack.shape[0]
    level = [here, np.ones_like(here)]
    places = _FREE[free]
    moves = (gx * u, gx * v, gx, gy * u, gy * v, gy)
    slopes = np.stack([*(moves[n] for n in places), *level])
    weighted = slopes * weight
    normal = (weighted @ slopes.T).astype(np.float64) + np.eye(len(slopes)) * 1e-3
    try:
        step = np.linalg.solve(normal, weighted @ difference)[:-2]
    except np.linalg.LinAlgError:
        return None, 255.0
    if not np.isfinite(step).all() or np.abs(step).max() > 0.3:
        return None, 255.0
    change = np.zeros(6, np.float32)
    change[list(places)] = step
    return change.reshape(2, 3), rest


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
