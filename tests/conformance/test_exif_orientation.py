"""The eight orientations of Exif 2.3 (CIPA DC-008-2012, 4.6.4 A, tag 0x0112)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import piexif
import pytest
from PIL import Image, ImageOps, features

from archivist.imaging.clean_copy import clean_copy
from archivist.imaging.pixels import open_upright
from archivist.imaging.probe import probe

PHOTOS = Path(__file__).resolve().parents[3] / "shared" / "photos"

ROW_0_AND_COLUMN_0 = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}
"""'The 0th row is at the visual ... of the image, and the 0th column is the visual ...'."""


def stored(upright: Image.Image, orientation: int) -> Image.Image:
    """The rows and columns a camera would store for `upright`, by the standard's words alone."""
    row, column = ROW_0_AND_COLUMN_0[orientation]
    turned = orientation >= 5
    width, height = upright.size
    size = (height, width) if turned else (width, height)
    image = Image.new(upright.mode, size)
    for r in range(size[1]):
        for c in range(size[0]):
            along = {row: r, column: c}  # distance from the visual side that is named
            x = along["left"] if "left" in along else width - 1 - along["right"]
            y = along["top"] if "top" in along else height - 1 - along["bottom"]
            value: Any = upright.getpixel((x, y))
            image.putpixel((c, r), value)
    return image


@pytest.fixture(scope="module")
def upright() -> Image.Image:
    image = Image.new("RGB", (48, 32), "white")
    for colour, place in (("red", (0, 0)), ("green", (24, 0)), ("blue", (0, 16))):
        image.paste(Image.new("RGB", (24, 16), colour), place)
    return image


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.tif"])
def test_each_orientation_is_shown_upright(
    tmp_path: Path, upright: Image.Image, orientation: int, name: str
) -> None:
    path = tmp_path / name
    exif = Image.Exif()
    exif[0x0112] = orientation
    options: dict[str, dict[str, Any]] = {
        "a.webp": {"lossless": True},
        "a.jpg": {"quality": 100, "subsampling": 0},
    }
    stored(upright, orientation).save(path, exif=exif, **options.get(name, {}))
    said, seen = probe(path), open_upright(path)
    assert (said.orientation, said.width, said.height) == (orientation, 48, 32)
    assert seen.size == (48, 32)
    for place in ((5, 5), (40, 5), (5, 27), (40, 27)):
        found: Any = seen.getpixel(place)
        expected: Any = upright.getpixel(place)
        assert all(abs(a - b) <= 3 for a, b in zip(found, expected, strict=True)), place
    copy = clean_copy(path, tmp_path / "copy")
    assert (copy.width, copy.height) == (48, 32)
    if copy.extension == path.suffix or name == "a.tif":  # from WebP it is encoded again
        assert open_upright(tmp_path / "copy").tobytes() == seen.tobytes()


@pytest.mark.parametrize("orientation", range(1, 9))
def test_two_independent_readers_agree_on_the_copys_orientation(
    tmp_path: Path, upright: Image.Image, orientation: int
) -> None:
    block = piexif.dump({"0th": {piexif.ImageIFD.Orientation: orientation}})
    stored(upright, orientation).save(tmp_path / "a.jpg", exif=block)
    clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
    with Image.open(tmp_path / "b.jpg") as image:
        by_pillow = image.getexif().get(0x0112, 1)
    by_piexif = piexif.load(str(tmp_path / "b.jpg"))["0th"].get(piexif.ImageIFD.Orientation, 1)
    assert by_pillow == by_piexif == orientation


@pytest.mark.parametrize("orientation", range(1, 9))
def test_avif_turns_by_its_own_boxes(
    tmp_path: Path, upright: Image.Image, orientation: int
) -> None:
    # ISO/IEC 23008-12, 6.5.10 and 6.5.12: irot and imir; Pillow writes them for an Orientation.
    if not features.check("avif"):
        pytest.skip("this Pillow has no AVIF")
    exif = Image.Exif()
    exif[0x0112] = orientation
    image = stored(upright, orientation)
    image.save(tmp_path / "a.avif", exif=exif, quality=100, subsampling="4:4:4")
    said, seen = probe(tmp_path / "a.avif"), open_upright(tmp_path / "a.avif")
    assert (said.width, said.height) == seen.size == (48, 32)
    for place in ((5, 5), (40, 5), (5, 27), (40, 27)):
        found: Any = seen.getpixel(place)
        expected: Any = upright.getpixel(place)
        assert all(abs(a - b) <= 8 for a, b in zip(found, expected, strict=True)), place


def test_heic_stands_upright_with_its_decoder(tmp_path: Path, upright: Image.Image) -> None:
    pillow_heif = pytest.importorskip("pillow_heif", reason="pillow-heif is not installed")
    pillow_heif.register_heif_opener()
    exif = Image.Exif()
    exif[0x0112] = 6
    stored(upright, 6).resize((320, 480)).save(tmp_path / "a.heic", exif=exif.tobytes())
    said, seen = probe(tmp_path / "a.heic"), open_upright(tmp_path / "a.heic")
    assert (said.width, said.height, said.extension) == (480, 320, ".heic")
    assert seen.size == (480, 320)
    found: Any = seen.getpixel((50, 50))
    assert found[0] > 235
    assert max(found[1:]) < 30


@pytest.mark.parametrize("value", [0, 9, 255, 65535])
def test_a_value_outside_the_standard_turns_nothing(
    tmp_path: Path, upright: Image.Image, value: int
) -> None:
    exif = Image.Exif()
    exif[0x0112] = value
    upright.save(tmp_path / "a.jpg", exif=exif)
    assert probe(tmp_path / "a.jpg").orientation == 1
    assert open_upright(tmp_path / "a.jpg").size == upright.size


def test_files_of_others_are_turned_as_pillow_turns_them() -> None:
    if not PHOTOS.is_dir():
        pytest.skip("the collection of odd photographs does not lie beside the project")
    files = [
        *(PHOTOS / "odd/pillow").glob("hopper_orientation_*"),
        *(PHOTOS / "odd/libvips").glob("[1-8].jpg"),
        *(PHOTOS / "odd/pillow").glob("g4_orientation_*"),
        PHOTOS / "odd/pillow/orientation_rectangle.jpg",
    ]
    assert len(files) >= 30
    for path in files:
        with Image.open(path) as image:
            expected = ImageOps.exif_transpose(image)
        seen = open_upright(path)
        assert seen.convert("RGB").tobytes() == expected.convert("RGB").tobytes(), path
