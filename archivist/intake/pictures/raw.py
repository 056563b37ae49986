"""The JPEG preview that cameras put into their raw files."""

from __future__ import annotations

import io
from pathlib import Path

from archivist.intake.pictures.look import REDUCED, Look, measured

MOST = 1 << 26
"""Bytes of a raw file that are searched: previews stand before the sensor's data or soon after."""

_START = b"\xff\xd8\xff"
_FEWEST = 200
"""Pixels of the longest side from which a preview is worth looking at."""


def look_at_preview(path: Path) -> Look | None:
    """The look of the largest preview, with its size in pixels; None where there is none.

    Raw files keep previews as whole JPEG files somewhere within; what begins as one and has a
    header that holds is one. The preview is upright as the raw file says only in some cameras, so
    that its turn is left to the comparison of pictures.
    """
    from PIL import Image, ImageOps

    try:
        with path.open("rb") as stream:
            data = stream.read(MOST)
    except OSError:
        return None
    best: tuple[int, int] | None = None
    start = data.find(_START)
    tried = 0
    while start >= 0 and tried < 64:
        tried += 1
        try:
            with Image.open(io.BytesIO(data[start:]), formats=["JPEG"]) as image:
                if max(image.size) >= _FEWEST and (best is None or image.width > best[0]):
                    best = (image.width, start)
        except Exception:  # noqa: BLE001 - whatever a decoder raises: no JPEG begins there
            pass
        start = data.find(_START, start + 3)
    if best is None:
        return None
    try:
        with Image.open(io.BytesIO(data[best[1] :]), formats=["JPEG"]) as image:
            image.draft("RGB", (REDUCED, REDUCED))
            width, height = image.size
            small = image.convert("RGB")
            small.thumbnail((REDUCED, REDUCED))
            return measured(ImageOps.exif_transpose(small) or small, width, height)
    except Exception:  # noqa: BLE001 - a preview that is damaged is none
        return None
