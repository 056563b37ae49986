"""The colours of the piece in a picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from archivist.imaging.colour import ground, lab, light
from archivist.imaging.colour.card import Array, Card, balanced, find_card
from archivist.imaging.colour.palette import distance, gathered
from archivist.imaging.colour.regions import Mask, grown
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

    A card of neutral patches that lies beside the piece balances the picture. With `filled`
    nothing but the piece is in the picture, and no ground is looked for. A picture in shades of
    grey tells nothing.
    """
    from PIL import ImageFilter

    from archivist.imaging.derivatives import fit

    if image.mode != "RGB":
        return Reading(reason="the photograph is in shades of grey")
    small = fit(image, LONGEST).filter(ImageFilter.MedianFilter(3))
    pixels = np.asarray(small, np.uint8)
    if filled:
        colours = lab.lab_of(pixels)
        return _gathered(colours, pixels, np.ones(pixels.shape[:2], bool), None)
    card = find_card(image)
    colours, found = _separated(pixels, card)
    if card is not None and found.piece is not None and not _lies_beside(card, found.piece):
        card = None
        colours, found = _separated(pixels, None)
    if found.piece is None:
        return Reading(reason=found.reason)
    return _gathered(colours, pixels, found.piece, card)


def _separated(pixels: NDArray[np.uint8], card: Card | None) -> tuple[Array, ground.Separated]:
    """The picture in CIELAB, balanced by the card, and the piece in it."""
    colours = lab.lab_of_light(balanced(lab.light_of(pixels), card))
    apart = None if card is None else card.mask(pixels.shape[:2])
    return colours, ground.separate(colours, apart=apart)


def _lies_beside(card: Card, piece: Mask) -> bool:
    """Whether a card lies beside the piece; what is framed by the piece is painted on it."""
    mask = card.mask(piece.shape)
    return bool(piece[grown(mask, 3) & ~mask].mean() < 0.5)


def _gathered(colours: Array, pixels: NDArray[np.uint8], piece: Mask, card: Card | None) -> Reading:
    """The colours of the piece, of what of it shows them."""
    counts = light.weights(colours, pixels, piece)
    some = counts > 0
    if int(some.sum()) < FEWEST:
        return Reading(reason="too little of the glaze is seen without reflections")
    palette = gathered(colours[some], counts[some])
    return Reading(GlazeColours(palette, int(some.sum()), card.called if card else ""))
