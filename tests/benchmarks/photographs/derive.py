"""What people do to a photograph that leaves it the same photograph."""

from __future__ import annotations

import io
import random

from PIL import Image, ImageDraw, ImageEnhance, ImageFilter

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
    if kind == "brighter":
        return ImageEnhance.Brightness(picture).enhance(chance.uniform(0.9, 1.15)), quality
    return picture, quality


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
