"""How alike two pictures look, whatever their size, format and compression.

Two fingerprints of 64 bits, since they fail on different pictures: one of brightness growing or
falling from left to right, one of the lowest frequencies of the cosine transform. Published as
dHash and pHash (common practice); tested against an independent library.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from statistics import median
from typing import TYPE_CHECKING

from archivist.model.base import Value

if TYPE_CHECKING:
    from PIL.Image import Image

SIDE = 8
_SAMPLES = 32


class Fingerprint(Value, frozen=True, kw_only=True):
    """Both fingerprints as 16 hexadecimal digits; row by row, the first bit highest."""

    gradient: str
    cosine: str


def fingerprint(image: Image) -> Fingerprint:
    """The fingerprint of an upright picture; one reduced to some 400 pixels suffices."""
    grey = image if image.mode == "L" else image.convert("L")
    return Fingerprint(gradient=_hexadecimal(_gradient(grey)), cosine=_hexadecimal(_cosine(grey)))


def distance(one: Fingerprint, other: Fingerprint) -> tuple[int, int]:
    """In how many of 64 bits the gradients and the cosines differ: 0 alike, about 32 unrelated."""
    return (
        (int(one.gradient, 16) ^ int(other.gradient, 16)).bit_count(),
        (int(one.cosine, 16) ^ int(other.cosine, 16)).bit_count(),
    )


def _gradient(grey: Image) -> list[bool]:
    from PIL.Image import Resampling

    width = SIDE + 1
    values = grey.resize((width, SIDE), Resampling.LANCZOS).tobytes()
    return [
        values[y * width + x + 1] > values[y * width + x] for y in range(SIDE) for x in range(SIDE)
    ]


def _cosine(grey: Image) -> list[bool]:
    from PIL.Image import Resampling

    values = grey.resize((_SAMPLES, _SAMPLES), Resampling.LANCZOS).tobytes()
    rows = [values[y * _SAMPLES : (y + 1) * _SAMPLES] for y in range(_SAMPLES)]
    waves = _waves()
    across = [[_product(wave, row) for wave in waves] for row in rows]
    columns = list(zip(*across, strict=True))
    low = [_product(wave, column) for wave in waves for column in columns]
    middle = median(low)
    return [value > middle for value in low]


def _product(one: Sequence[float], other: Sequence[float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


@cache
def _waves() -> tuple[tuple[float, ...], ...]:
    """The eight lowest cosines of the transform (DCT-II) over 32 samples."""
    return tuple(
        tuple(math.cos(math.pi * k * (2 * n + 1) / (2 * _SAMPLES)) for n in range(_SAMPLES))
        for k in range(SIDE)
    )


def _hexadecimal(bits: list[bool]) -> str:
    return f"{int(''.join('1' if bit else '0' for bit in bits), 2):016x}"
