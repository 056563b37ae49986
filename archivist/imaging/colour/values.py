"""What is told of the colours of a glaze: a few of them, each with its share and its spread."""

from __future__ import annotations

import msgspec

Lab = tuple[float, float, float]
"""L* from 0 (black) to 100 (white), a* from green to red, b* from blue to yellow; D65."""


class GlazeColour(msgspec.Struct, frozen=True, array_like=True):
    """One colour of a piece.

    `share` of the piece's surface that was measured, 0 to 1; `lab` the mean of its pixels; `spread`
    how far they lie from it (root mean square, in CIELAB units).
    """

    share: float
    lab: Lab
    spread: float


class GlazeColours(msgspec.Struct, frozen=True, omit_defaults=True):
    """The colours of a piece, those with the greatest share first; shares sum to 1.

    `pixels` is how many were measured, of a picture of at most `measure.LONGEST` a side; `card`
    says what the white balance was taken from, '' where the picture is as the camera made it.
    """

    colours: tuple[GlazeColour, ...]
    pixels: int
    card: str = ""


class Reading(msgspec.Struct, frozen=True, omit_defaults=True):
    """What a picture told: the colours, or the `reason` for there being none, as a clause."""

    colours: GlazeColours | None = None
    reason: str = ""
