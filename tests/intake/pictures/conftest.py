"""Small pictures of invented pots, drawn for these tests alone."""

from __future__ import annotations

import io
import math
import random
from collections.abc import Callable

import pytest
from PIL import Image, ImageDraw, ImageFilter

Draw = Callable[..., Image.Image]


@pytest.fixture
def pot() -> Draw:
    """Draws a vase with brushwork of its own `seed` on cloth; `at` and `size` are its place."""

    def draw(
        seed: int,
        *,
        at: tuple[float, float] = (0.5, 0.55),
        size: float = 0.3,
        colour: tuple[int, int, int] = (70, 110, 150),
        cloth: int = 0,
        width: int = 480,
    ) -> Image.Image:
        chance = random.Random(seed)
        high = width * 3 // 4
        ground = Image.effect_noise((width, high), 18).convert("RGB")
        picture = Image.blend(
            Image.new("RGB", (width, high), (205, 200 - cloth, 190)), ground, 0.12
        )
        pen = ImageDraw.Draw(picture)
        x, y, r = at[0] * width, at[1] * high, size * width
        pen.ellipse((x - r, y - r, x + r, y + r), fill=colour)
        pen.rectangle((x - r / 3, y - r * 1.4, x + r / 3, y - r * 0.7), fill=colour)
        for _ in range(34):
            angle, far = chance.uniform(0, 2 * math.pi), r * math.sqrt(chance.uniform(0, 0.7))
            px, py = x + far * math.cos(angle), y + far * math.sin(angle)
            w, h = chance.uniform(0.03, 0.16) * r, chance.uniform(0.03, 0.16) * r
            pen.ellipse((px - w, py - h, px + w, py + h), fill=(20, 25, 60))
        blurred: Image.Image = picture.filter(ImageFilter.GaussianBlur(0.8))
        return blurred

    return draw


@pytest.fixture
def recompressed() -> Callable[[Image.Image, int], Image.Image]:
    """A picture through a JPEG of that quality."""

    def through(picture: Image.Image, quality: int) -> Image.Image:
        stream = io.BytesIO()
        picture.save(stream, "JPEG", quality=quality)
        with Image.open(stream) as again:
            plain: Image.Image = again.convert("RGB")
            return plain

    return through
