"""Photographs of which every colour is known: a pot on a ground, with shadow, lamp and card."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from archivist.imaging.colour.lab import decoded, encoded

SIZE = (640, 480)
Colour = tuple[int, int, int]

CELADON, TENMOKU, COBALT, PORCELAIN = (132, 156, 130), (52, 34, 26), (44, 62, 130), (226, 226, 218)
POT = (220, 90, 420, 400)


def plain(colour: Colour) -> Image.Image:
    return Image.new("RGB", SIZE, colour)


def gradient(top: Colour, low: Colour) -> Image.Image:
    """Paper that bends up behind the piece, lighter or darker with height."""
    share = np.linspace(0, 1, SIZE[1])[:, None, None] ** 1.5
    rows = np.array(top) * (1 - share) + np.array(low) * share
    return Image.fromarray(np.repeat(rows, SIZE[0], axis=1).round().astype(np.uint8))


def cloth(colour: Colour) -> Image.Image:
    """A weave of threads lighter and darker than its colour."""
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]]
    threads = 7 * np.sin(x * 1.1) * np.sin(y * 1.1)
    grain = np.random.default_rng(3).normal(0, 4, threads.shape)
    return Image.fromarray(
        np.clip(np.array(colour) + (threads + grain)[..., None], 0, 255).astype(np.uint8)
    )


def pot(
    ground: Image.Image,
    colour: Colour,
    *,
    band: Colour | None = None,
    lamp: bool = True,
    paint: Callable[[ImageDraw.ImageDraw], None] | None = None,
) -> Image.Image:
    """A pot of `colour` on `ground`, with a band of another, the lamp mirrored, and a shadow."""
    image = ground.copy()
    shadow = Image.new("L", SIZE, 0)
    ImageDraw.Draw(shadow).ellipse((200, 370, 500, 430), fill=150)
    shadow = shadow.filter(ImageFilter.GaussianBlur(14))
    image = Image.composite(Image.new("RGB", SIZE, (18, 18, 18)), image, shadow)
    drawn = ImageDraw.Draw(image)
    drawn.ellipse(POT, fill=colour)
    if band is not None:
        drawn.rectangle((232, 210, 408, 270), fill=band)
    if lamp:
        drawn.ellipse((265, 130, 295, 175), fill=(255, 255, 255))
    if paint is not None:
        paint(drawn)
    return image.filter(ImageFilter.GaussianBlur(0.8))


def card(drawn: ImageDraw.ImageDraw) -> None:
    """A card of white, grey and black patches beside the pot: 78, 18 and 3 % of the light."""
    drawn.rectangle((470, 380, 602, 430), fill=(186, 186, 186))
    for place, share in enumerate((0.78, 0.18, 0.03)):
        value = round(float(encoded(np.array(share))) * 255)
        left = 475 + place * 42
        drawn.rectangle((left, 385, left + 38, 425), fill=(value, value, value))


def long_card(drawn: ImageDraw.ImageDraw) -> None:
    """A row of six steps from white to black, on black."""
    drawn.rectangle((434, 382, 634, 428), fill=(24, 24, 24))
    for place, share in enumerate((0.88, 0.58, 0.36, 0.19, 0.09, 0.03)):
        value = round(float(encoded(np.array(share))) * 255)
        left = 440 + place * 32
        drawn.rectangle((left, 390, left + 28, 420), fill=(value, value, value))


def grey_card(drawn: ImageDraw.ImageDraw) -> None:
    """A card of one grey, 18 % of the light, a little turned."""
    value = round(float(encoded(np.array(0.18))) * 255)
    corners = [(474, 200), (600, 212), (592, 298), (466, 286)]
    drawn.polygon(corners, fill=(value, value, value))


def tinted(image: Image.Image, gains: tuple[float, float, float]) -> Image.Image:
    """The picture as a camera with a wrong white balance would have made it."""
    light: NDArray[np.float64] = decoded(np.asarray(image) / 255) * np.array(gains)
    return Image.fromarray((np.clip(encoded(light), 0, 1) * 255).round().astype(np.uint8))
