"""The best original is the camera's own file, whatever copies have more of."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw

from archivist.intake.pictures.keeping import Picture
from archivist.intake.pictures.look import measured
from archivist.intake.rules.originals import Originals


def drawn() -> Image.Image:
    noise = Image.effect_noise((128, 96), 40).convert("RGB")
    return Image.blend(Image.new("RGB", (128, 96), (120, 130, 150)), noise, 0.4)


PICTURE = drawn()
LOOK = measured(PICTURE, 640, 480, 92)

CAMERAS = Picture("a", "DCIM/100OKECA/IMG_0001.JPG", LOOK, clock="2009-03-14T10:11:12",
                  series="DCIM/100OKECA/img", number="0001", camera="Oke 1")  # fmt: skip


def others_of_the_camera(count: int = 4) -> list[Picture]:
    return [replace(CAMERAS, sha256=f"o{n}", series="") for n in range(count)]


def best(*pictures: Picture, pixels: list[Any] | None = None) -> tuple[int, tuple[str, ...]]:
    """Which of the pictures is the best original, among others of their camera."""
    arrays = pixels or [np.asarray(PICTURE, np.float32)] * len(pictures)
    everything = [*pictures, *others_of_the_camera()]
    originals = Originals(everything, lambda place: arrays[place])
    return originals.best(range(len(pictures)))


def sized(width: int, height: int, quality: int = 92) -> Any:
    import msgspec

    return msgspec.structs.replace(LOOK, width=width, height=height, quality=quality)


@pytest.mark.parametrize(
    "copy",
    [
        Picture("b", "x/a.png", sized(640, 480, 0), lossless=True),
        Picture("b", "x/a.jpg", sized(640, 640), clock=CAMERAS.clock, camera="Oke 1"),
        Picture("b", "x/a.jpg", sized(960, 720), clock=CAMERAS.clock, camera="Oke 1"),
        Picture("b", "x/a.jpg", sized(704, 544, 98)),
        Picture("b", "x/a.jpg", sized(320, 240, 98), clock=CAMERAS.clock, camera="Oke 1", told=9),
        Picture("b", "x/a copy.jpg", sized(640, 480, 98), camera="Oke 1", called_copy=True),
        Picture("b", "website/a.jpg", sized(640, 480, 98), camera="Oke 1", worked=True),
    ],
    ids=[
        "png",
        "padded",
        "enlarged",
        "bordered",
        "small",
        "called a copy",
        "in a website's folder",
    ],
)
def test_no_copy_goes_before_the_cameras_file(copy: Picture) -> None:
    keeper, because = best(copy, CAMERAS)
    assert keeper == 1
    assert because


def test_what_was_put_on_a_picture_is_seen_in_two_files_alone() -> None:
    marked = PICTURE.copy()
    ImageDraw.Draw(marked).text((8, 40), "Tidewell & Oke", fill="white", font_size=16)
    plain = Picture("a", "x/a.jpg", LOOK)
    stamped = Picture("b", "x/b.jpg", LOOK)
    arrays = [np.asarray(p, np.float32) for p in (marked, PICTURE)]
    keeper, because = best(stamped, plain, pixels=arrays)
    assert keeper == 1
    assert any("was put on it" in reason for reason in because)


def test_of_scans_without_a_camera_the_one_without_loss_is_the_original() -> None:
    scan = Picture("a", "x/a.tif", sized(640, 480, 0), lossless=True)
    copy = Picture("b", "x/b.jpg", sized(640, 480, 80))
    keeper, because = best(copy, scan)
    assert keeper == 1
    assert "it is saved without loss" in because


def test_a_size_is_a_cameras_only_where_it_gives_it_often() -> None:
    pictures = [replace(CAMERAS, sha256=str(n), look=sized(640 + n, 480)) for n in range(12)]
    originals = Originals(pictures, lambda place: np.asarray(PICTURE, np.float32))
    assert not any("size of its camera" in r for r in originals.best([0, 1])[1])
