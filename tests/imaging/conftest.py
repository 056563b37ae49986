"""Pictures made for the tests, and the way to those that lie outside the repository."""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

SHARED_PHOTOS = Path(__file__).resolve().parents[3] / "shared" / "photos"


@pytest.fixture(scope="session")
def shared_photos() -> Path:
    if not SHARED_PHOTOS.is_dir():
        pytest.skip("the collection of odd photographs does not lie beside the project")
    return SHARED_PHOTOS


@pytest.fixture(scope="session")
def corners() -> Image.Image:
    """Red, green, blue and white quarters: every turn and flip shows; sized 60 by 40."""
    image = Image.new("RGB", (60, 40), "white")
    for colour, place in (("red", (0, 0)), ("green", (30, 0)), ("blue", (0, 20))):
        image.paste(Image.new("RGB", (30, 20), colour), place)
    return image


@pytest.fixture(scope="session")
def photograph() -> Image.Image:
    """Something like a photograph: soft shapes with a little grain, 240 by 160."""
    across = Image.linear_gradient("L").resize((240, 160))
    round_ = Image.radial_gradient("L").resize((240, 160))
    grain = Image.effect_noise((240, 160), 12)
    return Image.merge("RGB", (Image.blend(across, grain, 0.2), round_, across.rotate(180)))


@pytest.fixture(scope="session")
def write_tiff() -> Callable[..., None]:
    return _write_tiff


def _write_tiff(
    path: Path,
    pixels: bytes,
    size: tuple[int, int],
    *,
    bits: int,
    samples: int,
    photometric: int,
    more: dict[int, tuple[int, bytes]] | None = None,
) -> None:
    """An uncompressed little-endian TIFF 6.0 of one strip; `more` are tags as (type, value)."""
    entries: dict[int, tuple[int, int, bytes]] = {
        256: (4, 1, struct.pack("<I", size[0])),
        257: (4, 1, struct.pack("<I", size[1])),
        258: (3, samples, struct.pack(f"<{samples}H", *([bits] * samples))),
        259: (3, 1, struct.pack("<H", 1)),
        262: (3, 1, struct.pack("<H", photometric)),
        273: (4, 1, struct.pack("<I", 8)),
        277: (3, 1, struct.pack("<H", samples)),
        278: (4, 1, struct.pack("<I", size[1])),
        279: (4, 1, struct.pack("<I", len(pixels))),
    }
    width_of = {1: 1, 2: 1, 3: 2, 4: 4, 7: 1}
    for tag, (kind, value) in (more or {}).items():
        entries[tag] = (kind, len(value) // width_of[kind], value)
    padded = pixels + b"\0" * (len(pixels) % 2)
    where = 8 + len(padded)
    table, beyond = struct.pack("<H", len(entries)), b""
    for tag, (kind, count, value) in sorted(entries.items()):
        if len(value) <= 4:
            field = value.ljust(4, b"\0")
        else:
            field = struct.pack("<I", where + 2 + 12 * len(entries) + 4 + len(beyond))
            beyond += value + b"\0" * (len(value) % 2)
        table += struct.pack("<HHI", tag, kind, count) + field
    path.write_bytes(struct.pack("<2sHI", b"II", 42, where) + padded + table + bytes(4) + beyond)
