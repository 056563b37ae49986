"""What people do to a photograph that leaves it the same photograph."""

from __future__ import annotations

import io
import math
import random

from PIL import Image, ImageDraw, ImageEnhance, ImageFilter, ImageOps

KINDS = (
    "resized",
    "recompressed",
    "rotated",
    "cropped",
    "sharpened",
    "grey",
    "watermarked",
    "small",
)

HARDER = ("mirrored", "tilted", "framed", "tinted", "thumbnail", "stamped across")
"""What makes a copy harder to know again; only in trees with traps."""


def derive(picture: Image.Image, kind: str, chance: random.Random) -> tuple[Image.Image, int]:
    """The picture changed in one way, and the JPEG quality (40 to 95) it is saved with."""
    quality = chance.randint(40, 95)
    if kind == "resized":
        return _resized(picture, chance.uniform(0.35, 0.8)), quality
    if kind == "small":
        return _resized(picture, chance.uniform(0.18, 0.35)), quality
    if kind == "rotated":
        turn = chance.choice([Image.Transpose.ROTATE_90, Image.Transpose.ROTATE_180,
                              Image.Transpose.ROTATE_270])  # fmt: skip
        return picture.transpose(turn), quality
    if kind == "cropped":
        left, right, top, bottom = (chance.uniform(0, 0.08) for _ in range(4))
        wide, high = picture.size
        box = (
            int(left * wide),
            int(top * high),
            int(wide - right * wide),
            int(high - bottom * high),
        )
        cropped = picture.crop(box)
        return (_resized(cropped, 0.6) if chance.random() < 0.5 else cropped), quality
    if kind == "sharpened":
        amount = chance.randint(60, 180)
        return picture.filter(ImageFilter.UnsharpMask(2, amount, 2)), max(60, quality)
    if kind == "grey":
        return picture.convert("L").convert("RGB"), quality
    if kind == "watermarked":
        return _watermarked(_resized(picture, chance.uniform(0.4, 1.0)), chance), quality
    if kind in HARDER:
        return _harder(picture, kind, chance), quality
    if kind == "brighter":
        return ImageEnhance.Brightness(picture).enhance(chance.uniform(0.9, 1.15)), quality
    return picture, quality


def _harder(picture: Image.Image, kind: str, chance: random.Random) -> Image.Image:
    if kind == "mirrored":
        return ImageOps.mirror(picture)
    if kind == "thumbnail":
        small = picture.copy()
        small.thumbnail((160, 160), Image.Resampling.LANCZOS)
        return small
    if kind == "framed":
        wide = round(picture.width * chance.uniform(0.01, 0.05))
        return ImageOps.expand(picture, wide, chance.choice(["white", "black", "grey"]))
    if kind == "tinted":
        bands = zip(picture.split(), (1.08, 1.0, 0.9), strict=True)
        return Image.merge("RGB", [band.point([min(255, round(v * by)) for v in range(256)])
                                   for band, by in bands])  # fmt: skip
    if kind == "tilted":
        angle = chance.choice([-1, 1]) * chance.uniform(1, 3)
        turned = picture.rotate(angle, Image.Resampling.BICUBIC)
        lost = math.sin(math.radians(abs(angle)))
        across, down = round(picture.height * lost / 2) + 1, round(picture.width * lost / 2) + 1
        return turned.crop((across, down, picture.width - across, picture.height - down))
    stamped = picture.copy()
    place = (picture.width // 10, picture.height * 9 // 20)
    size = picture.width // 8
    ImageDraw.Draw(stamped, "RGBA").text(
        place, "Tidewell & Oke", fill=(255, 255, 255, 150), font_size=size
    )
    return stamped


def jpeg(picture: Image.Image, quality: int, exif: bytes = b"") -> bytes:
    """The bytes of a JPEG."""
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=quality, exif=exif)
    return stream.getvalue()


def _resized(picture: Image.Image, share: float) -> Image.Image:
    size = (max(160, round(picture.width * share)), max(120, round(picture.height * share)))
    if picture.height > picture.width:
        size = (max(120, round(picture.width * share)), max(160, round(picture.height * share)))
    return picture.resize(size, Image.Resampling.LANCZOS)


def _watermarked(picture: Image.Image, chance: random.Random) -> Image.Image:
    layer = Image.new("RGBA", picture.size, (0, 0, 0, 0))
    draw = ImageDraw.Draw(layer)
    size = picture.width // 12
    place = (
        int(chance.uniform(0.05, 0.4) * picture.width),
        int(chance.choice([0.05, 0.45, 0.85]) * picture.height),
    )
    draw.text(place, "Tidewell & Oke", fill=(255, 255, 255, 150), font_size=size)
    return Image.alpha_composite(picture.convert("RGBA"), layer).convert("RGB")
