from __future__ import annotations

import struct
import sys
import time
import zlib
from array import array
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from archivist.errors import SourceError
from archivist.imaging import icc
from archivist.imaging.pixels import crop, open_upright
from archivist.model.photographs import Region

GREY_16 = (0, 128, 257, 32896, 65406, 65535)
GREY_8 = (0, 0, 1, 128, 254, 255)
"""The same greys in 16 and 8 bits: 65535 = 255 x 257, to the nearest whole number."""


def at(image: Image.Image, place: tuple[int, int]) -> tuple[int, ...]:
    value: Any = image.getpixel(place)
    return tuple(value) if isinstance(value, tuple) else (value,)


def little(values: tuple[int, ...]) -> bytes:
    words = array("H", values)
    if sys.byteorder == "big":
        words.byteswap()
    return words.tobytes()


def test_grey_of_16_bits_is_scaled_and_not_clipped(
    tmp_path: Path, write_tiff: Callable[..., None]
) -> None:
    write_tiff(tmp_path / "a.tif", little(GREY_16), (6, 1), bits=16, samples=1, photometric=1)
    image = open_upright(tmp_path / "a.tif")
    assert image.mode == "L"
    assert tuple(image.tobytes()) == GREY_8


def test_grey_where_white_is_zero_is_turned_round(
    tmp_path: Path, write_tiff: Callable[..., None]
) -> None:
    # TIFF 6.0, PhotometricInterpretation 0: WhiteIsZero.
    write_tiff(tmp_path / "a.tif", little(GREY_16), (6, 1), bits=16, samples=1, photometric=0)
    assert tuple(open_upright(tmp_path / "a.tif").tobytes()) == tuple(255 - v for v in GREY_8)
    write_tiff(tmp_path / "b.tif", bytes(GREY_8), (6, 1), bits=8, samples=1, photometric=0)
    assert tuple(open_upright(tmp_path / "b.tif").tobytes()) == tuple(255 - v for v in GREY_8)


def test_colour_of_16_bits_keeps_its_colours(
    tmp_path: Path, write_tiff: Callable[..., None]
) -> None:
    values = (65535, 0, 0, 0, 32896, 0, 257, 257, 65535)
    write_tiff(tmp_path / "a.tif", little(values), (3, 1), bits=16, samples=3, photometric=2)
    image = open_upright(tmp_path / "a.tif")
    assert list(image.getdata()) == [(255, 0, 0), (0, 128, 0), (1, 1, 255)]


def test_png_of_16_bits_grey_is_scaled(tmp_path: Path) -> None:
    rows = b"\0" + b"".join(struct.pack(">H", v) for v in GREY_16)

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", 6, 1, 16, 0, 0, 0, 0)
    (tmp_path / "a.png").write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )
    assert tuple(open_upright(tmp_path / "a.png").tobytes()) == GREY_8


@pytest.mark.parametrize("most", [1.0, 255.0])
def test_grey_in_floating_point_is_scaled(tmp_path: Path, most: float) -> None:
    image = Image.new("F", (2, 1))
    image.putdata([0.0, most])
    image.save(tmp_path / "a.tif")
    assert tuple(open_upright(tmp_path / "a.tif").tobytes()) == (0, 255)


def lab_8(lightness: float, a: float, b: float) -> bytes:
    """CIELAB as lut8Type holds it (ICC.1:2022, 6.3.4.2)."""
    return bytes((round(lightness * 2.55), round(a + 128), round(b + 128)))


def cmyk_profile() -> bytes:
    """An ink profile made for the test: full M and Y print sRGB's red, K black, none white.

    sRGB's red is L 54.29, a 80.81, b 69.89 under D50 (computed from IEC 61966-2-1's matrix with
    the Bradford adaptation; common practice, no source).
    """
    table = b""
    for cyan in (0, 1):
        for magenta in (0, 1):
            for yellow in (0, 1):
                for black in (0, 1):
                    red = magenta and yellow and not cyan and not black
                    paper = not (cyan or magenta or yellow or black)
                    lab = (54.29, 80.81, 69.89) if red else (100, 0, 0) if paper else (0, 0, 0)
                    table += lab_8(*lab)
    identity = bytes(range(256))
    matrix = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    lut = b"mft1" + bytes(4) + bytes((4, 3, 2, 0)) + matrix + identity * 4 + table + identity * 3
    white = b"XYZ " + bytes(4) + struct.pack(">3i", 63190, 65536, 54061)
    tags = [(b"A2B0", lut), (b"A2B1", lut), (b"wtpt", white)]
    position, directory, body = 132 + 36, b"", b""
    for name, value in tags:
        value += b"\0" * (-len(value) % 4)
        directory += struct.pack(">4sII", name, position + len(body), len(value))
        body += value
    size = position + len(body)
    head = struct.pack(">II4s", size, 0, b"\2\x40\0\0") + b"prtrCMYKLab " + bytes(12) + b"acsp"
    head = head.ljust(68, b"\0") + bytes.fromhex("0000f6d6000100000000d32d")
    return head.ljust(128, b"\0") + struct.pack(">I", 3) + directory + body


@pytest.mark.parametrize("name", ["a.jpg", "a.tif"])
def test_inks_are_seen_through_their_profile(tmp_path: Path, name: str) -> None:
    red_ink = (0, 255, 255, 0)
    image = Image.new("CMYK", (32, 32), red_ink)
    image.save(tmp_path / name, icc_profile=cmyk_profile(), quality=100)
    seen = open_upright(tmp_path / name)
    assert seen.mode == "RGB"
    red, green, blue = at(seen, (16, 16))
    assert red >= 250
    assert max(green, blue) <= 12
    cyan_ink = Image.new("CMYK", (32, 32), (255, 0, 0, 0))
    cyan_ink.save(tmp_path / name, icc_profile=cmyk_profile(), quality=100)
    assert max(at(open_upright(tmp_path / name), (16, 16))) <= 12  # as the profile has it


@pytest.mark.parametrize("profile", [b"", b"nonsense", b"\0" * 200])
def test_inks_without_a_sound_profile_are_converted_plainly(tmp_path: Path, profile: bytes) -> None:
    Image.new("CMYK", (8, 8), (255, 0, 0, 0)).save(tmp_path / "a.tif", icc_profile=profile)
    assert at(open_upright(tmp_path / "a.tif"), (4, 4)) == (0, 255, 255)


def test_colours_of_a_wide_space_are_brought_into_srgb(tmp_path: Path) -> None:
    # Adobe RGB (1998), 2005-05. A grey keeps its lightness: 128 has luminance (128/255)^2.2 =
    # 0.2195, which is sRGB 128.3 (IEC 61966-2-1).
    wide = icc.adobe_rgb()
    Image.new("RGB", (8, 8), (128, 128, 128)).save(tmp_path / "grey.png", icc_profile=wide)
    grey = at(open_upright(tmp_path / "grey.png"), (4, 4))
    assert all(abs(part - 128) <= 1 for part in grey)
    Image.new("RGB", (8, 8), (200, 100, 100)).save(tmp_path / "red.png", icc_profile=wide)
    red, green, blue = at(open_upright(tmp_path / "red.png"), (4, 4))
    # Worked by hand through the two standards' matrices and curves: 227, 100, 100.
    assert abs(red - 227) <= 2
    assert abs(green - 100) <= 2
    assert abs(blue - 100) <= 2


def test_a_camera_that_says_adobe_rgb_without_a_profile_is_believed(tmp_path: Path) -> None:
    import piexif

    # DCF 2.0, optional colour space: InteroperabilityIndex 'R03'.
    block = piexif.dump(
        {
            "Exif": {piexif.ExifIFD.ColorSpace: 0xFFFF},
            "Interop": {piexif.InteropIFD.InteroperabilityIndex: b"R03"},
        }
    )
    image = Image.new("RGB", (32, 32), (200, 100, 100))
    image.save(tmp_path / "a.jpg", exif=block, quality=100, subsampling=0)
    assert abs(at(open_upright(tmp_path / "a.jpg"), (16, 16))[0] - 227) <= 3


def test_an_srgb_profile_changes_no_pixel(tmp_path: Path, photograph: Image.Image) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    photograph.save(tmp_path / "a.png", icc_profile=profile)
    assert open_upright(tmp_path / "a.png").tobytes() == photograph.tobytes()


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "PA"])
def test_what_is_transparent_stands_on_white(tmp_path: Path, mode: str) -> None:
    image = Image.new("RGBA", (4, 4), (0, 0, 0, 0))
    image.putpixel((0, 0), (0, 0, 0, 255))
    if mode == "P":
        image = image.quantize(4)
    elif mode != "PA":
        image = image.convert(mode)
    image.save(tmp_path / "a.png")
    seen = open_upright(tmp_path / "a.png")
    assert at(seen.convert("RGB"), (3, 3)) == (255, 255, 255)
    assert at(seen.convert("RGB"), (0, 0)) == (0, 0, 0)


def test_a_colour_declared_transparent_is_white(tmp_path: Path) -> None:
    image = Image.new("RGB", (2, 1), (10, 20, 30))
    image.putpixel((1, 0), (200, 0, 0))
    image.save(tmp_path / "a.png", transparency=(10, 20, 30))
    assert list(open_upright(tmp_path / "a.png").getdata()) == [(255, 255, 255), (200, 0, 0)]


def test_one_bit_and_palette_become_grey_and_colour(tmp_path: Path, corners: Image.Image) -> None:
    corners.convert("1").save(tmp_path / "a.tif", compression="group4")
    assert open_upright(tmp_path / "a.tif").mode == "L"
    corners.quantize(8).save(tmp_path / "a.gif")
    assert at(open_upright(tmp_path / "a.gif"), (10, 10))[0] > 240


def test_lab_is_brought_into_srgb(tmp_path: Path) -> None:
    Image.new("LAB", (4, 4), (128, 128, 128)).save(tmp_path / "a.tif")
    grey = at(open_upright(tmp_path / "a.tif"), (0, 0))
    # L* 50.2 is sRGB 119 or 120 (CIE 1976, IEC 61966-2-1).
    assert all(abs(part - 119.5) <= 1.5 for part in grey)


@pytest.mark.parametrize("name", ["a.gif", "a.tif", "a.webp", "a.png"])
def test_any_page_can_be_opened_and_a_missing_one_is_an_error(tmp_path: Path, name: str) -> None:
    pages = [Image.new("RGB", (8, 8), colour) for colour in ("red", "lime", "blue")]
    pages[0].save(tmp_path / name, save_all=True, append_images=pages[1:], lossless=True)
    assert [at(open_upright(tmp_path / name, page=n), (4, 4)) for n in range(3)] == [
        (255, 0, 0),
        (0, 255, 0),
        (0, 0, 255),
    ]
    with pytest.raises(SourceError, match="no page 4"):
        open_upright(tmp_path / name, page=3)


def test_a_reduced_picture_is_the_picture_reduced(tmp_path: Path, photograph: Image.Image) -> None:
    big = photograph.resize((1200, 800))
    exif = Image.Exif()
    exif[0x0112] = 6
    big.save(tmp_path / "a.jpg", exif=exif, quality=95)
    whole, small = (
        open_upright(tmp_path / "a.jpg"),
        open_upright(tmp_path / "a.jpg", reduced_to=300),
    )
    assert (whole.size, small.size) == ((800, 1200), (200, 300))
    expected = whole.resize(small.size, Image.Resampling.LANCZOS)
    differences = [abs(a - b) for a, b in zip(expected.tobytes(), small.tobytes(), strict=True)]
    assert sum(differences) / len(differences) < 2
    assert open_upright(tmp_path / "a.jpg", reduced_to=5000).size == (800, 1200)
    assert open_upright(tmp_path / "a.jpg", reduced_to=1).size == (1, 1)


def test_nothing_of_the_files_words_clings_to_the_picture(
    tmp_path: Path, photograph: Image.Image
) -> None:
    photograph.save(tmp_path / "a.jpg", comment=b"private", dpi=(300, 300), exif=Image.Exif())
    assert open_upright(tmp_path / "a.jpg").info == {}


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.gif", "a.bmp"])
def test_a_picture_cut_short_is_refused_unless_asked_for(
    tmp_path: Path, photograph: Image.Image, name: str
) -> None:
    photograph.save(tmp_path / name)
    whole = (tmp_path / name).read_bytes()
    (tmp_path / name).write_bytes(whole[: len(whole) * 2 // 3])
    with pytest.raises(SourceError, match="cannot be shown") as error:
        open_upright(tmp_path / name)
    assert name in str(error.value)
    partial = open_upright(tmp_path / name, allow_truncated=True)
    assert partial.size == photograph.size
    top = partial.crop((0, 0, 240, 20)).resize((8, 1)).tobytes()
    expected = photograph.crop((0, 0, 240, 20)).resize((8, 1)).tobytes()
    if name != "a.bmp":  # which begins with the lowest row
        assert all(abs(a - b) < 40 for a, b in zip(top, expected, strict=True))


@pytest.mark.parametrize("content", [b"", b"no picture", b"%PDF-1.7", b"\xff\xd8\xff\xe0"])
def test_what_is_no_picture_is_an_error_that_names_the_file(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "vase.jpg").write_bytes(content)
    with pytest.raises(SourceError, match=r"vase\.jpg"):
        open_upright(tmp_path / "vase.jpg")


def test_a_missing_file_is_an_error_that_names_it(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match=r"gone\.jpg"):
        open_upright(tmp_path / "gone.jpg")


def test_more_pixels_than_allowed_are_refused(tmp_path: Path, photograph: Image.Image) -> None:
    photograph.save(tmp_path / "a.png")
    with pytest.raises(SourceError, match="megapixels"):
        open_upright(tmp_path / "a.png", limit_pixels=240 * 160 - 1)
    assert open_upright(tmp_path / "a.png", limit_pixels=240 * 160).size == (240, 160)


def test_two_hundred_megapixels_work(tmp_path: Path) -> None:
    Image.linear_gradient("L").resize((20_000, 10_000)).save(tmp_path / "a.jpg", quality=50)
    start = time.perf_counter()
    small = open_upright(tmp_path / "a.jpg", reduced_to=400)
    assert small.size == (400, 200)
    assert at(small, (200, 199))[0] > 240
    assert at(small, (200, 0))[0] < 10
    assert time.perf_counter() - start < 30


def region(x: int, y: int, width: int, height: int, of: tuple[int, int]) -> Region:
    return Region(
        x=x, y=y, width=width, height=height, reference_width=of[0], reference_height=of[1]
    )


def test_a_region_is_cut_out_and_carried_over_to_another_size(corners: Image.Image) -> None:
    cut = crop(corners, region(30, 0, 30, 20, (60, 40)))
    assert (cut.size, at(cut, (0, 0))) == ((30, 20), (0, 128, 0))
    cut = crop(corners, region(300, 0, 300, 200, (600, 400)))
    assert (cut.size, at(cut, (0, 0)), at(cut, (29, 19))) == (
        (30, 20),
        (0, 128, 0),
        (0, 128, 0),
    )


@given(data=st.data())
def test_every_region_gives_a_picture_within_the_picture(data: st.DataObject) -> None:
    width, height = data.draw(st.integers(1, 5000)), data.draw(st.integers(1, 5000))
    x, y = data.draw(st.integers(0, width - 1)), data.draw(st.integers(0, height - 1))
    wide, high = data.draw(st.integers(1, width - x)), data.draw(st.integers(1, height - y))
    size = data.draw(st.integers(1, 60)), data.draw(st.integers(1, 60))
    cut = crop(Image.new("L", size), region(x, y, wide, high, (width, height)))
    assert 1 <= cut.width <= size[0]
    assert 1 <= cut.height <= size[1]
    if size == (width, height):
        assert cut.size == (wide, high)
