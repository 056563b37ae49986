"""The colours of the piece in a picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from archivist.imaging.colour import ground, lab, light
from archivist.imaging.colour.card import balanced, find_card
from archivist.imaging.colour.palette import distance, gathered
from archivist.imaging.colour.values import GlazeColour, GlazeColours, Lab, Reading

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["GlazeColour", "GlazeColours", "Lab", "Reading", "distance", "measure", "read"]

LONGEST = 200
"""Pixels of the longest side of the picture that is measured."""

FEWEST = 150
"""Pixels of glaze without which nothing is told."""


def measure(image: Image) -> GlazeColours | None:
    """The colours of the piece in an upright sRGB picture, None where they cannot be told."""
    return read(image).colours


def read(image: Image, *, filled: bool = False) -> Reading:
    """The colours of the piece in an upright sRGB picture, or why they cannot be told.

    A card of white, grey and black that lies beside the piece balances the picture. With `filled`
    nothing but the piece is in the picture, and no ground is looked for. A picture in shades of
    grey tells nothing.
    """
    from PIL import ImageFilter

    from archivist.imaging.derivatives import fit

    if image.mode != "RGB":
        return Reading(reason="the photograph is in shades of grey")
    card = None if filled else find_card(image)
    small = fit(image, LONGEST).filter(ImageFilter.MedianFilter(3))
    pixels = np.asarray(small, np.uint8)
    linear = balanced(lab.light_of(pixels), card)
    colours = lab.lab_of_light(linear)
    if filled:
        piece = np.ones(pixels.shape[:2], bool)
    else:
        found = ground.separate(colours, apart=card.mask(pixels.shape[:2]) if card else None)
        if found.piece is None:
            return Reading(reason=found.reason)
        piece = found.piece
    counts = light.weights(colours, pixels, piece)
    some = counts > 0
    if int(some.sum()) < FEWEST:
        return Reading(reason="too little of the glaze is seen without reflections")
    palette = gathered(colours[some], counts[some])
    return Reading(GlazeColours(palette, int(some.sum()), card.called if card else ""))
