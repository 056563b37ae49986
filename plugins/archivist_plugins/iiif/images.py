"""Writes the pictures of a static image service, each photograph decoded once.

Pillow makes them. Measured in the same rounds on two busy cores, with a picture of 24 megapixels
in tiles of 1024 pixels: `libvips dzsave` takes 0.74 to 1.30 of our time for the tiles alone, and
1.11 to 1.66 of it once the full picture and the sizes, which it leaves out, are added by libvips
(`tests/benchmarks/exporters.py`; ours was 375 ms at best). Huffman tables made for each picture
would take a tenth off its size and add half to its time: not worth it for what may be made again.
"""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from archivist.hooks import Package
from archivist_plugins.iiif.pyramid import Pyramid

if TYPE_CHECKING:
    from PIL.Image import Image


def write_service(
    package: Package, folder: str, image: Image, pyramid: Pyramid, quality: int
) -> None:
    """Writes every picture that `pyramid` declares below `folder`.

    Each level is made of the one before it by the mean of four pixels, so that pictures of all
    sizes are sharp and none is sampled twice from the full one.
    """
    level, factor = image, 1
    for request in pyramid.requests():
        while factor < request.factor:
            level = level.reduce(2)
            factor *= 2
        whole = request.box == (0, 0, *level.size)
        content = _jpeg(level if whole else level.crop(request.box), quality)
        for path in request.paths:
            package.write(f"{folder}/{path}", content)


def _jpeg(image: Image, quality: int) -> bytes:
    target = BytesIO()
    image.save(target, "JPEG", quality=quality)
    return target.getvalue()
