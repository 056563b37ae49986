"""sRGB to CIELAB and back, for daylight D65 and the 2 degree observer.

sRGB, its matrices and its white by IEC 61966-2-1:1999; CIELAB by ISO/CIE 11664-4:2019. A uniform
grey of sRGB has a* = b* = 0, since white is what the matrix makes of (1, 1, 1).
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]
Floats = NDArray[np.floating[Any]]

_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_WHITE = _TO_XYZ.sum(axis=1)
_FROM_XYZ = np.linalg.inv(_TO_XYZ)
_CUBE, _SLOPE = (6 / 29) ** 3, (29 / 6) ** 2 / 3


@cache
def _linear_table() -> Array:
    """The light of each of the 256 values."""
    return decoded(np.arange(256) / 255).astype(np.float32)


def decoded(values: Floats) -> Floats:
    """Values of sRGB from 0 to 1 as light from 0 to 1."""
    low = values / 12.92
    return np.where(values <= 0.04045, low, ((np.maximum(values, 0) + 0.055) / 1.055) ** 2.4)


def encoded(light: Floats) -> Floats:
    """Light from 0 to 1 as values of sRGB from 0 to 1."""
    high = 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055
    return np.where(light <= 0.0031308, light * 12.92, high)


def light_of(pixels: NDArray[np.uint8]) -> Array:
    """Linear light from 0 to 1 of pixels of 8 bits."""
    return _linear_table()[pixels]


def lab_of_light(light: Floats) -> Array:
    """CIELAB (..., 3) of linear sRGB light (..., 3); single precision."""
    # Not as a matrix product: on matrices this small its threads cost more than they save.
    xyz = np.einsum("...i,ji->...j", light, (_TO_XYZ / _WHITE[:, None]).astype(light.dtype))
    f = np.where(xyz > _CUBE, np.cbrt(xyz), xyz * _SLOPE + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1).astype(np.float32)


def lab_of(pixels: NDArray[np.uint8]) -> Array:
    """CIELAB (..., 3) of sRGB pixels (..., 3) of 8 bits."""
    return lab_of_light(light_of(pixels))


def srgb_of(lab: Floats) -> NDArray[np.uint8]:
    """The sRGB pixels (..., 3) nearest to CIELAB (..., 3); what sRGB cannot show is clipped."""
    lab = np.asarray(lab, np.float64)
    y = (lab[..., 0] + 16) / 116
    f = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    xyz = np.where(f > 6 / 29, f**3, (f - 4 / 29) / _SLOPE) * _WHITE
    values = encoded(xyz @ _FROM_XYZ.T)
    return np.round(np.clip(values, 0, 1) * 255).astype(np.uint8)
