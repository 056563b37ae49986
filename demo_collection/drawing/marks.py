"""Marks, seals and paper labels as small maps for a base, drawn with a CJK font."""

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

Array = NDArray[Any]

FONTS = (
    Path("/usr/share/fonts/opentype/noto/NotoSerifCJK-Bold.ttc"),
    Path("/usr/share/fonts/opentype/noto/NotoSerifCJK-Regular.ttc"),
    Path("/usr/share/fonts/opentype/noto/NotoSansCJK-Regular.ttc"),
)


def font(size: int) -> ImageFont.FreeTypeFont:
    """A font with Chinese characters and Latin letters; FileNotFoundError where none is found."""
    for path in FONTS:
        if path.exists():
            return ImageFont.truetype(str(path), size)
    raise FileNotFoundError(f"A CJK font is needed to draw the marks; looked for {FONTS[0]}")


def _by_hand(mask: Image.Image, seed: int, amount: float = 3.0) -> Image.Image:
    """Bend a drawn text a little, as a brush would, and let the pigment vary."""
    random = np.random.default_rng(seed)
    wide, high = mask.size
    source = np.asarray(mask, np.float32)
    y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
    for scale in (40.0, 17.0):
        a, b, c, d = random.uniform(0, 6, 4)
        x = x + amount * scale / 40 * np.sin(y / scale + a) * np.cos(x / scale * 0.7 + b)
        y = y + amount * scale / 40 * np.sin(x / scale + c) * np.cos(y / scale * 0.8 + d)
    xi = np.clip(x, 0, wide - 1).astype(int)
    yi = np.clip(y, 0, high - 1).astype(int)
    bent = source[yi, xi] * (0.72 + 0.28 * np.sin(y / 23 + 1) * np.sin(x / 19))
    return Image.fromarray(bent.astype(np.uint8)).filter(ImageFilter.GaussianBlur(1.6))


def columns(text: tuple[str, ...], size: float, seed: int, box: int = 0, side: int = 640) -> Array:
    """Characters in columns from right to left, in a square map; ``size`` the share of its height
    that they take; ``box`` how many frame lines stand round them."""
    mask = Image.new("L", (side, side), 0)
    draw = ImageDraw.Draw(mask)
    tall = max(len(column) for column in text)
    cell = side * size / tall
    letter = font(int(cell * 0.94))
    left = side / 2 + cell * len(text) / 2
    for number, column in enumerate(text):
        for row, character in enumerate(column):
            spot = (left - (number + 0.5) * cell, side / 2 + (row + 0.5 - len(column) / 2) * cell)
            draw.text(spot, character, font=letter, fill=235, anchor="mm")
    for ring in range(box):
        gap = cell * (0.10 + 0.16 * ring)
        draw.rectangle(
            (
                side / 2 - cell * len(text) / 2 - gap,
                side / 2 - cell * tall / 2 - gap,
                side / 2 + cell * len(text) / 2 + gap,
                side / 2 + cell * tall / 2 + gap,
            ),
            outline=225,
            width=max(3, int(cell * 0.045)),
        )
    return np.asarray(_by_hand(mask, seed, 4.5), np.float32) / 255


def seal(size: float, seed: int, round_edge: bool = False, side: int = 640) -> Array:
    """An impressed square seal that cannot be read: strokes like a seal's, worn."""
    random = np.random.default_rng(seed)
    mask = Image.new("L", (side, side), 0)
    draw = ImageDraw.Draw(mask)
    half = side * size / 2
    low, high = side / 2 - half, side / 2 + half
    shape = draw.ellipse if round_edge else draw.rectangle
    shape((low, low, high, high), outline=255, width=int(half * 0.12))
    cells = 5
    step = half * 1.6 / cells
    for row in range(cells):
        for column in range(cells):
            x = low + half * 0.2 + column * step
            y = low + half * 0.2 + row * step
            if random.random() < 0.62:
                draw.rectangle((x, y + step * 0.3, x + step, y + step * 0.6), fill=230)
            if random.random() < 0.5:
                draw.rectangle((x + step * 0.3, y, x + step * 0.55, y + step), fill=230)
    return np.asarray(_by_hand(mask, seed, 2.0), np.float32) / 255


def painted(text: str, size: float, seed: int, side: int = 640) -> Array:
    """Latin letters or numbers written with a brush."""
    mask = Image.new("L", (side, side), 0)
    ImageDraw.Draw(mask).text(
        (side / 2, side / 2), text, font=font(int(side * size)), fill=235, anchor="mm"
    )
    return np.asarray(_by_hand(mask.rotate(-7), seed, 5.0), np.float32) / 255


def cross_in_circle(size: float, seed: int, side: int = 640) -> Array:
    """A cross in a circle, partly rubbed away."""
    mask = Image.new("L", (side, side), 0)
    draw = ImageDraw.Draw(mask)
    r, m = side * size / 2, side / 2
    draw.ellipse((m - r, m - r, m + r, m + r), outline=255, width=int(r * 0.13))
    draw.line((m - r, m, m + r, m), fill=255, width=int(r * 0.13))
    draw.line((m, m - r, m, m + r), fill=255, width=int(r * 0.13))
    rub = np.random.default_rng(seed).random((12, 12))
    worn = Image.fromarray((np.clip(rub * 1.9, 0.15, 1) * 255).astype(np.uint8)).resize(
        (side, side), Image.Resampling.BICUBIC
    )
    return np.asarray(_by_hand(mask, seed), np.float32) / 255 * np.asarray(worn, np.float32) / 255


def label(
    lines: tuple[str, ...],
    wide: float,
    high: float,
    angle: float,
    seed: int,
    at: tuple[float, float] = (0.0, 0.0),
    printed_edge: bool = True,
    side: int = 900,
) -> Array:
    """An old paper label as a colour map with opacity (side, side, 4); sizes are shares of it."""
    paper = Image.new("RGBA", (side, side), (0, 0, 0, 0))
    draw = ImageDraw.Draw(paper)
    w, h = side * wide / 2, side * high / 2
    mx, my = side * (0.5 + at[0]), side * (0.5 + at[1])
    draw.rounded_rectangle(
        (mx - w, my - h, mx + w, my + h), radius=h * 0.16, fill=(222, 206, 170, 255)
    )
    if printed_edge:
        for inset, thick in ((0.10, 4), (0.17, 2)):
            draw.rounded_rectangle(
                (mx - w + h * inset, my - h + h * inset, mx + w - h * inset, my + h - h * inset),
                radius=h * 0.1,
                outline=(120, 52, 44, 255),
                width=thick,
            )
    letter = font(int(h * 1.05 / max(len(lines), 1)))
    for number, line in enumerate(lines):
        draw.text(
            (mx, my + (number + 0.5 - len(lines) / 2) * 1.25 * h / len(lines)),
            line,
            font=letter,
            fill=(58, 44, 52, 235),
            anchor="mm",
        )
    paper = paper.rotate(angle, resample=Image.Resampling.BICUBIC, center=(mx, my)).filter(
        ImageFilter.GaussianBlur(0.9)
    )
    out = np.asarray(paper, np.float32) / 255
    stain = np.random.default_rng(seed).random((9, 9)).astype(np.float32)
    tone = Image.fromarray((stain * 255).astype(np.uint8)).resize(
        (side, side), Image.Resampling.BICUBIC
    )
    shade = 0.80 + 0.22 * np.asarray(tone, np.float32) / 255
    return np.concatenate([out[..., :3] * shade[..., None], out[..., 3:]], 2)
