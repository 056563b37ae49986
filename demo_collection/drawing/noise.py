"""Smooth random fields that repeat without a seam, and the crazing of a glaze."""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

SIDE = 96
VOXELS_PER_FEATURE = 6.0
Array = NDArray[Any]

_TURN = np.linalg.qr(np.random.default_rng(5).normal(size=(3, 3)))[0].astype(np.float32)


@lru_cache(maxsize=1)
def _volume() -> Array:
    """A cube of noise of one grain size, zero mean and unit deviation, tiling in all directions."""
    white = np.random.default_rng(11).normal(size=(SIDE, SIDE, SIDE)).astype(np.float32)
    frequency = np.fft.fftfreq(SIDE)
    squared = (
        frequency[:, None, None] ** 2
        + frequency[None, :, None] ** 2
        + np.fft.rfftfreq(SIDE)[None, None, :] ** 2
    )
    wanted = 1.0 / VOXELS_PER_FEATURE
    band = np.exp(-(((np.sqrt(squared) - wanted) / (0.45 * wanted)) ** 2))
    field = np.fft.irfftn(np.fft.rfftn(white) * band, s=white.shape, axes=(0, 1, 2))
    return ((field - field.mean()) / field.std()).astype(np.float32).ravel()


def noise(points: Array, size: float, seed: float = 0.0) -> Array:
    """Noise at points (3, N) with features of about ``size`` (same unit), deviation 1."""
    turned = _TURN @ (points * np.float32(VOXELS_PER_FEATURE / size))
    turned += np.float32(seed * 17.31)
    whole = np.floor(turned)
    part = turned - whole
    low = whole.astype(np.int32) % SIDE
    high = (low + 1) % SIDE
    volume = _volume()
    x0, x1 = low[0] * (SIDE * SIDE), high[0] * (SIDE * SIDE)
    y0, y1 = low[1] * SIDE, high[1] * SIDE
    z0, z1 = low[2], high[2]
    fx, fy, fz = part

    def along_z(corner: Array) -> Array:
        near = volume[corner + z0]
        return near + (volume[corner + z1] - near) * fz

    near = along_z(x0 + y0)
    near += (along_z(x0 + y1) - near) * fy
    far = along_z(x1 + y0)
    far += (along_z(x1 + y1) - far) * fy
    return near + (far - near) * fx


def layered(points: Array, size: float, octaves: int = 3, seed: float = 0.0) -> Array:
    """Several grain sizes together, each half as large and half as strong as the one before."""
    total = np.zeros(points.shape[1], np.float32)
    strength = 1.0
    for octave in range(octaves):
        total += strength * noise(points, size / 2**octave, seed + octave)
        strength *= 0.5
    return total


def slope(points: Array, size: float, seed: float = 0.0) -> Array:
    """Gradient (3, N) of the noise, per unit of length."""
    step = np.float32(size * 0.12)
    here = noise(points, size, seed)
    out = np.empty_like(points)
    for axis in range(3):
        moved = points.copy()
        moved[axis] += step
        out[axis] = (noise(moved, size, seed) - here) / step
    return out


def cracks(points: Array, size: float, seed: int = 0) -> Array:
    """Distance (in the unit of ``points``) to the nearest wall of a foam of cells of ``size``."""
    scaled = points / np.float32(size)
    scaled = scaled + 0.16 * np.stack([noise(points, size * 1.1, seed + 3 + i) for i in range(3)])
    corner = np.floor(scaled - 0.5).astype(np.int32)
    table = np.random.default_rng(seed + 40).random((4096, 3)).astype(np.float32)
    first = np.full(points.shape[1], 9.0, np.float32)
    second = first.copy()
    for dx in (0, 1):
        for dy in (0, 1):
            for dz in (0, 1):
                cell = corner + np.array([[dx], [dy], [dz]], np.int32)
                key = (cell[0] * 73 + cell[1] * 857 + cell[2] * 2129) & 4095
                centre = cell + 0.15 + 0.7 * table[key].T
                away = np.sqrt(((scaled - centre) ** 2).sum(0))
                second = np.minimum(second, np.maximum(first, away))
                first = np.minimum(first, away)
    return (second - first) * np.float32(size * 0.5)


def smooth_step(low: float | Array, high: float | Array, value: Array) -> Array:
    """0 below ``low``, 1 above ``high``, smooth between; ``high`` may be below ``low``."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)
