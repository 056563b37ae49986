"""The arithmetic of a static image service: which sizes and tiles there are, and their addresses.

All of it follows the IIIF Image API 3.0 (https://iiif.io/api/image/3.0/): level 0 of section 6,
canonical addresses of 4.7, `sizes` and `tiles` of 5.3 and 5.4, and the tile algorithm of the
implementation notes. What is declared is exactly what `requests` yields.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

SMALLEST = 200
"""Pixels below which the longer side of a declared size does not go, unless tiles are smaller."""

CONTEXT = "http://iiif.io/api/image/3/context.json"
PROTOCOL = "http://iiif.io/api/image"

Box = tuple[int, int, int, int]
"""Left, top, right and lower edge in pixels; right and lower edge are outside."""


@dataclass(frozen=True)
class ImageRequest:
    """One picture to make: of the picture scaled down by `factor`, the part in `box`.

    `paths` are the addresses below the service at which it stands, more than one where the
    standard allows more than one name for the same thing.
    """

    factor: int
    box: Box
    paths: tuple[str, ...]


@dataclass(frozen=True)
class Pyramid:
    """A picture of `width` by `height` pixels in tiles of `tile` pixels, each level half the last.

    A picture that fits in one tile has no tiles; its sizes then take in the full one, which viewers
    ask for by its width and height. Otherwise sizes begin at twice the tile: what is larger is
    made of tiles.
    """

    width: int
    height: int
    tile: int

    @cached_property
    def factors(self) -> tuple[int, ...]:
        """The scale factors of the tiles, up to the one at which a single tile holds all."""
        if max(self.width, self.height) <= self.tile:
            return ()
        factors = [1]
        while max(self.scaled(factors[-1])) > self.tile:
            factors.append(factors[-1] * 2)
        return tuple(factors)

    @cached_property
    def size_factors(self) -> tuple[int, ...]:
        """The scale factors of the complete pictures, largest picture first."""
        longer = 2 * self.tile if self.factors else self.tile
        shorter = min(SMALLEST, self.tile // 2)
        chosen: list[int] = []
        factor = 1
        while not chosen or max(self.scaled(factor)) >= shorter:
            if max(self.scaled(factor)) <= longer and not (factor == 1 and self.factors):
                chosen.append(factor)
            factor *= 2
        return tuple(chosen)

    @property
    def sizes(self) -> tuple[tuple[int, int], ...]:
        """Width and height of the complete pictures there are, smallest first."""
        return tuple(self.scaled(factor) for factor in reversed(self.size_factors))

    def scaled(self, factor: int) -> tuple[int, int]:
        """Width and height of the picture scaled down by `factor`, rounded up."""
        return -(-self.width // factor), -(-self.height // factor)

    def thumbnail(self, wanted: int = 300) -> tuple[int, int]:
        """The smallest declared size whose longer side has `wanted` pixels, else the largest."""
        return next((size for size in self.sizes if max(size) >= wanted), self.sizes[-1])

    def requests(self) -> Iterator[ImageRequest]:
        """Every picture of the service, by falling size of the picture they are parts of."""
        last = max((*self.factors, *self.size_factors))
        factor = 1
        while factor <= last:
            width, height = self.scaled(factor)
            whole = [size_path(width, height)] if factor in self.size_factors else []
            if factor == 1:
                whole.append("full/max/0/default.jpg")
            if whole:
                yield ImageRequest(factor, (0, 0, width, height), tuple(whole))
            if factor in self.factors:
                yield from self._tiles(factor)
            factor *= 2

    def _tiles(self, factor: int) -> Iterator[ImageRequest]:
        """The tiles of one level, save those that stand under the same address already.

        These are the single tile that is the whole picture, and a last tile that was one pixel at
        the scale factor before already: it has one address at all that come after.
        """
        width, height = self.scaled(factor)
        step = self.tile * factor
        for top in range(0, self.height, step):
            for left in range(0, self.width, step):
                region_width = min(step, self.width - left)
                region_height = min(step, self.height - top)
                region = region_width, region_height
                if region == (self.width, self.height) or max(region) <= factor // 2:
                    continue
                tile_width, tile_height = -(-region_width // factor), -(-region_height // factor)
                x, y = left // factor, top // factor
                yield ImageRequest(
                    factor,
                    (x, y, min(x + tile_width, width), min(y + tile_height, height)),
                    (
                        f"{left},{top},{region_width},{region_height}/"
                        f"{tile_width},{tile_height}/0/default.jpg",
                    ),
                )

    def info(self, service: str) -> dict[str, Any]:
        """The `info.json` of the service at the address `service`."""
        info: dict[str, Any] = {
            "@context": CONTEXT,
            "id": service,
            "type": "ImageService3",
            "protocol": PROTOCOL,
            "profile": "level0",
            "width": self.width,
            "height": self.height,
            "sizes": [{"width": w, "height": h} for w, h in self.sizes],
        }
        if self.factors:
            info["tiles"] = [
                {"width": self.tile, "height": self.tile, "scaleFactors": list(self.factors)}
            ]
        return info


def size_path(width: int, height: int) -> str:
    """The address of a complete picture of that size, below its service."""
    return f"full/{width},{height}/0/default.jpg"
