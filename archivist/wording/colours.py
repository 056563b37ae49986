"""Colours in plain words, as one says them of a glaze: 'pale blue-green', 'yellowish white'.

Sectors of the CIELAB hue angle and steps of lightness; common practice, no source.
"""

from __future__ import annotations

import math

NEUTRAL, FAINT = 5.0, 12.0
"""Chroma up to which a colour is a grey, and up to which it is a grey with a cast."""

WHITE, FAINT_WHITE = 80.0, 18.0
"""Lightness from which more chroma is still a white with a cast, as of ivory."""

GREYS: tuple[tuple[float, str], ...] = (
    (WHITE, "white"),
    (66, "pale grey"),
    (38, "grey"),
    (22, "dark grey"),
    (-math.inf, "black"),
)
"""The least lightness of each."""

CASTS: tuple[tuple[float, str], ...] = (
    (45, "reddish"),
    (75, "brownish"),
    (110, "yellowish"),
    (190, "greenish"),
    (300, "bluish"),
    (345, "purplish"),
    (361, "reddish"),
)
"""The angle of hue up to which each goes."""

HUES: tuple[tuple[float, str, str], ...] = (
    (38, "red", "pink"),
    (52, "red-brown", "salmon"),
    (78, "brown", "buff"),
    (102, "olive-brown", "yellow"),
    (116, "olive", "yellow-green"),
    (170, "green", "green"),
    (215, "blue-green", "blue-green"),
    (300, "blue", "blue"),
    (345, "purple", "lilac"),
    (361, "red", "pink"),
)
"""The angle of hue up to which each goes; what it is called when dark, and when light."""

CREAM, EARTHEN = 28.0, (70.0, 110.0)
"""Chroma up to which light yellows and browns between these hues are 'buff', when pale 'cream'."""

LIGHT, PALE, DARK = 56.0, 74.0, 30.0
"""Lightness from which a colour has its light name, is pale; under which it is dark."""


def colour_in_words(lab: tuple[float, float, float]) -> str:
    """What a CIELAB colour is called."""
    lightness, a, b = lab
    chroma, hue = math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360
    if chroma <= (FAINT_WHITE if lightness >= WHITE else FAINT):
        grey = next(name for least, name in GREYS if lightness >= least)
        cast = next(name for end, name in CASTS if hue < end)
        return grey if chroma <= NEUTRAL else _with_cast(cast, grey)
    if lightness >= LIGHT and chroma <= CREAM and EARTHEN[0] <= hue <= EARTHEN[1]:
        return "cream" if lightness >= PALE else "buff"
    dark, light = next((dark, light) for end, dark, light in HUES if hue < end)
    if lightness >= PALE:
        return f"pale {light}"
    if lightness >= LIGHT:
        return light
    return f"dark {dark}" if lightness < DARK else dark


def _with_cast(cast: str, grey: str) -> str:
    """'pale bluish grey', 'brownish black'."""
    step, _, name = grey.rpartition(" ")
    return f"{step} {cast} {name}".strip()
