"""CIEDE2000, how different two colours look: 1 is just seen side by side, 10 is another colour.

ISO/CIE 11664-6:2014, in the form of G. Sharma, W. Wu and E. N. Dalal, 'The CIEDE2000
color-difference formula: implementation notes, supplementary test data, and mathematical
observations', Color Research and Application 30 (2005), 21-30, whose equation numbers stand here.
`js/difference.js` of the reference library is the same in JavaScript.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

_FAR = 25.0**7


def ciede2000(
    one: ArrayLike, other: ArrayLike, *, lightness_factor: float = 1.0
) -> NDArray[np.float64]:
    """The difference of CIELAB colours (..., 3) and (..., 3), which may be broadcast together.

    `lightness_factor` is the kL of the standard: with 2 a difference in lightness counts for half.
    """
    l1, a1, b1 = np.moveaxis(np.asarray(one, np.float64), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(other, np.float64), -1, 0)
    chroma = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2  # (2), (3)
    stretch = 1.5 - 0.5 * np.sqrt(chroma**7 / (chroma**7 + _FAR))  # (4), (5)
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)  # (6)
    h1, h2 = _hue(a1, b1), _hue(a2, b2)  # (7)
    grey = c1 * c2 == 0
    turn = np.where(grey, 0.0, (h2 - h1 + 180) % 360 - 180)  # (10)
    turn = np.where(~grey & (h2 - h1 == 180), 180.0, turn)
    d_lightness, d_chroma = l2 - l1, c2 - c1  # (8), (9)
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))  # (11)
    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2  # (12), (13)
    hue = (h1 + h2) / 2
    hue = np.where(np.abs(h1 - h2) > 180, np.where(h1 + h2 < 360, hue + 180, hue - 180), hue)
    hue = np.where(grey, h1 + h2, hue)  # (14)
    t = (
        1
        - 0.17 * _cos(hue - 30)
        + 0.24 * _cos(2 * hue)
        + 0.32 * _cos(3 * hue + 6)
        - 0.20 * _cos(4 * hue - 63)
    )  # (15)
    bend = 30 * np.exp(-(((hue - 275) / 25) ** 2))  # (16)
    rotation = -np.sin(np.radians(2 * bend)) * 2 * np.sqrt(chroma**7 / (chroma**7 + _FAR))  # (17)
    middle = (lightness - 50) ** 2
    d_lightness /= lightness_factor * (1 + 0.015 * middle / np.sqrt(20 + middle))  # (18)
    d_chroma /= 1 + 0.045 * chroma  # (19)
    d_hue /= 1 + 0.015 * chroma * t  # (20)
    square = d_lightness**2 + d_chroma**2 + d_hue**2 + rotation * d_chroma * d_hue  # (22)
    return np.asarray(np.sqrt(np.maximum(square, 0)))


def _hue(a: NDArray[Any], b: NDArray[Any]) -> NDArray[np.float64]:
    """The angle of hue from 0 to 360 degrees, 0 for grey."""
    return np.asarray(np.degrees(np.arctan2(b, a)) % 360)


def _cos(degrees: NDArray[Any]) -> NDArray[np.float64]:
    return np.asarray(np.cos(np.radians(degrees)))
