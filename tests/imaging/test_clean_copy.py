from __future__ import annotations

import hashlib
import io
import itertools
import json
import re
import shutil
import struct
import subprocess
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import piexif
import pytest
from PIL import Image, ImageCms, TiffImagePlugin
from PIL.PngImagePlugin import PngInfo

from archivist.errors import SourceError
from archivist.imaging import jpeg, png
from archivist.imaging.clean_copy import CleanCopy, clean_copy, format_of_copy
from archivist.imaging.jpeg import segment_bytes
from archivist.imaging.pixels import open_upright
from archivist.imaging.probe import probe
from archivist.imaging.rebuild_jpeg import NotUnderstood
from archivist.imaging.rebuild_png import rebuild_png, unpacked_size
from archivist.model.photographs import Region

_NUMBERS = itertools.count(1)

# Pillow notes what is odd about the odd files made here.
pytestmark = pytest.mark.filterwarnings("ignore::Warning:PIL")
SECRET = re.compile(rb"Secret\d+", re.IGNORECASE)


def secret() -> str:
    """Words that occur nowhere else."""
    return f"Secret{next(_NUMBERS)}"


def unpacked(data: bytes) -> Iterator[bytes]:
    """The bytes, without their NULs (as UTF-16 has them), and whatever zlib streams they hold."""
    yield data
    yield data.replace(b"\0", b"")
    for start in (found.start() for found in re.finditer(rb"\x78[\x01\x5e\x9c\xda]", data)):
        try:
            yield zlib.decompressobj().decompress(data[start:])
        except zlib.error:
            continue


def leaks(data: bytes) -> set[bytes]:
    return {found for view in unpacked(data) for found in SECRET.findall(view)}


def srgb_with_secrets() -> bytes:
    """An sRGB profile whose description is a secret, with more in tags that make no colour."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    count = int.from_bytes(plain[128:132], "big")
    records = [struct.unpack_from(">4sII", plain, 132 + 12 * n) for n in range(count)]
    values = {name: plain[offset : offset + size] for name, offset, size in records}
    for name in (b"desc", b"cprt", b"dmnd", b"dmdd", b"vued", b"prvt"):
        values[name] = b"text\0\0\0\0" + secret().encode() + b"\0"
    values[b"rTRC"] += secret().encode()  # behind the numbers of an allowed tag
    position, table, body = 132 + 12 * len(values), b"", b""
    for name, value in values.items():
        value += b"\0" * (-len(value) % 4)
        table += struct.pack(">4sII", name, position + len(body), len(value))
        body += value
    head = struct.pack(">I", position + len(body)) + plain[4:80] + b"Secr" + plain[84:128]
    return head + struct.pack(">I", len(values)) + table + body


def preview() -> bytes:
    """A small JPEG with EXIF of its own, as cameras embed."""
    stream = io.BytesIO()
    exif = piexif.dump({"0th": {piexif.ImageIFD.ImageDescription: secret().encode()}})
    Image.effect_noise((32, 32), 90).convert("RGB").save(stream, "JPEG", exif=exif)
    return stream.getvalue()


def exif_with_secrets(orientation: int, thumbnail: bytes) -> bytes:
    zeroth, camera, gps = piexif.ImageIFD, piexif.ExifIFD, piexif.GPSIFD
    return bytes(
        piexif.dump(
            {
                "0th": {
                    zeroth.Orientation: orientation,
                    **{
                        tag: secret().encode()
                        for tag in (zeroth.ImageDescription, zeroth.Make, zeroth.Model,
                                    zeroth.Artist, zeroth.Copyright, zeroth.HostComputer)
                    },
                    zeroth.XPTitle: secret().encode("utf-16-le"),
                    zeroth.XPComment: secret().encode("utf-16-le"),
                },
                "Exif": {
                    camera.MakerNote: b"Invented\0" + secret().encode(),
                    camera.UserComment: b"ASCII\0\0\0" + secret().encode(),
                    camera.BodySerialNumber: secret().encode(),
                    camera.CameraOwnerName: secret().encode(),
                },
                "GPS": {
                    gps.GPSLatitudeRef: b"N",
                    gps.GPSLatitude: ((51, 1), (30, 1), (0, 1)),
                    gps.GPSProcessingMethod: b"ASCII\0\0\0" + secret().encode(),
                },
                "1st": {zeroth.Software: secret().encode()},
                "thumbnail": thumbnail,
            }
        )
    )  # fmt: skip


def jpeg_with_secrets(
    picture: Image.Image, orientation: int = 6, **options: Any
) -> tuple[bytes, list[bytes]]:
    """A JPEG with a secret wherever one can be, and the previews that must not come through."""
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=90, **options)
    plain = stream.getvalue()
    small, smaller = preview(), bytes(range(3, 255, 4)) * 3
    marker = plain.index(b"\xff\xe0") if b"\xff\xe0" in plain[:4] else 2
    rest = plain[marker + 18 :] if plain[2:4] == b"\xff\xe0" else plain[2:]
    jfif = b"JFIF\0\1\1\1\0\x48\0\x48" + bytes((8, 8)) + smaller.ljust(192, b"\7")
    xmp = f'<x xmlns:x="adobe:ns:meta/">{secret()}</x>'.encode()
    iptc_words = secret().encode()
    iptc = b"\x1c\x02\x78" + struct.pack(">H", len(iptc_words)) + iptc_words
    resource = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(iptc)) + iptc + b"\0" * (len(iptc) % 2)
    segments = [
        (0xE0, jfif),
        (0xE0, b"JFXX\0\x10" + small),
        (0xE1, exif_with_secrets(orientation, small)),
        (0xE1, b"http://ns.adobe.com/xap/1.0/\0" + xmp),
        (0xE1, b"http://ns.adobe.com/xmp/extension/\0" + secret().encode()),
        (0xED, b"Photoshop 3.0\0" + resource),
        (0xFE, secret().encode()),
        (0xE2, b"MPF\0" + secret().encode()),
    ]
    segments += [(0xE0 + n, secret().encode()) for n in (3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 15)]
    body = b"".join(segment_bytes(*segment) for segment in segments)
    body += jpeg.icc_segments(srgb_with_secrets())
    after = small + b"\0\0" + secret().encode() + b"\xff\xd8" + secret().encode()
    return b"\xff\xd8" + body + rest + after, [small, smaller]


def scans(data: bytes) -> list[bytes]:
    return [segment.scan for segment in jpeg.segments(data) if segment.marker == jpeg.SOS]


@pytest.mark.parametrize(
    "options",
    [
        {},
        {"progressive": True},
        {"restart_marker_blocks": 3},
        {"subsampling": 0, "optimize": True},
        {"smooth": 20, "streamtype": 0},
    ],
    ids=str,
)
@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_no_secret_of_a_jpeg_comes_through_and_no_pixel_changes(
    tmp_path: Path, photograph: Image.Image, mode: str, options: dict[str, Any]
) -> None:
    data, previews = jpeg_with_secrets(photograph.convert(mode), **options)
    source, target = tmp_path / "a.jpg", tmp_path / "copy.jpg"
    source.write_bytes(data)
    assert len(leaks(data)) > 25
    copy = clean_copy(source, target)
    written = target.read_bytes()
    assert leaks(written) == set()
    assert not any(part in written for part in previews)
    assert written.count(b"\xff\xd8") == 1
    assert copy.lossless
    assert scans(written) == scans(data)
    with Image.open(source) as before, Image.open(target) as after:
        assert after.tobytes() == before.tobytes()
    assert source.read_bytes() == data


def test_what_stays_is_orientation_density_and_colour(
    tmp_path: Path, photograph: Image.Image
) -> None:
    data, _ = jpeg_with_secrets(photograph, orientation=6)
    (tmp_path / "a.jpg").write_bytes(data)
    copy = clean_copy(tmp_path / "a.jpg", tmp_path / "copy.jpg")
    with Image.open(tmp_path / "copy.jpg") as image:
        assert dict(image.getexif()) == {0x0112: 6}
        assert image.info["jfif_density"] == (72, 72)
        assert image.info["icc_profile"]
    assert (copy.width, copy.height) == (160, 240)
    said = probe(tmp_path / "copy.jpg")
    assert (said.width, said.height, said.orientation) == (160, 240, 6)
    upright, original = open_upright(tmp_path / "copy.jpg"), open_upright(tmp_path / "a.jpg")
    assert upright.tobytes() == original.tobytes()


def test_an_independent_reader_finds_nothing_else_in_the_copy(
    tmp_path: Path, photograph: Image.Image
) -> None:
    exiftool = shutil.which("exiftool")
    if not exiftool:
        pytest.skip("exiftool is not installed")
    data, _ = jpeg_with_secrets(photograph)
    (tmp_path / "a.jpg").write_bytes(data)
    clean_copy(tmp_path / "a.jpg", tmp_path / "copy.jpg")

    def groups(name: str) -> dict[str, str]:
        command = [exiftool, "-j", "-G1", "-a", "-u", "-ee", str(tmp_path / name)]
        shown = subprocess.run(command, capture_output=True, check=False, text=True)
        return dict(json.loads(shown.stdout)[0])

    whole, clean = groups("a.jpg"), groups("copy.jpg")
    assert any(name.startswith("GPS:") for name in whole)
    place = {name.split(":")[0] for name in clean} - {"SourceFile"}
    assert place <= {
        "ExifTool",
        "System",
        "File",
        "JFIF",
        "IFD0",
        "ICC_Profile",
        "ICC-header",
        "Composite",
    }
    assert {name for name in clean if name.startswith("IFD0:")} <= {"IFD0:Orientation"}
    assert "ExifTool:Warning" not in clean
    assert not any("secret" in str(value).lower() for value in clean.values())


def test_digest_and_size_are_those_of_the_copy(tmp_path: Path, photograph: Image.Image) -> None:
    data, _ = jpeg_with_secrets(photograph)
    (tmp_path / "a.jpg").write_bytes(data)
    copy = clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
    written = (tmp_path / "b.jpg").read_bytes()
    assert copy.sha256 == hashlib.sha256(written).hexdigest()
    assert copy.size == len(written)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.jpg", "b.jpg"]
    again = clean_copy(tmp_path / "b.jpg", tmp_path / "c.jpg")
    assert again.sha256 == copy.sha256
    assert again.how.endswith("left out: nothing.")


def test_how_it_was_made_is_told_without_telling_what_was_there(
    tmp_path: Path, photograph: Image.Image
) -> None:
    data, _ = jpeg_with_secrets(photograph)
    (tmp_path / "a.jpg").write_bytes(data)
    how = clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg").how
    assert not leaks(how.encode())
    assert how == (
        "JPEG rebuilt segment by segment, its picture data unchanged; left out: JFIF preview, "
        "EXIF or XMP, IPTC, comment, application data, data after the picture's end."
    )


def frame_of(precision: int, marker: int) -> bytes:
    """A JPEG of one 8 by 8 block that no usual decoder takes, yet of sound structure."""
    parts = [
        (0xDB, b"\0" + b"\1" * 64),
        (marker, bytes((precision, 0, 8, 0, 8, 1, 1, 0x11, 0))),
        (0xC4, b"\0" + bytes((1, *[0] * 15)) + b"\0"),
        (0xDA, bytes((1, 1, 0, 0, 63, 0))),
    ]
    body = b"".join(segment_bytes(*part) for part in parts)
    return b"\xff\xd8" + segment_bytes(0xFE, secret().encode()) + body + b"\x7f\xff\x00\xff\xd9"


@pytest.mark.parametrize(("precision", "marker"), [(12, 0xC1), (8, 0xC9), (8, 0xC3)])
def test_twelve_bits_and_arithmetic_coding_are_rebuilt_as_well(
    tmp_path: Path, precision: int, marker: int
) -> None:
    (tmp_path / "a.jpg").write_bytes(frame_of(precision, marker))
    copy = clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
    written = (tmp_path / "b.jpg").read_bytes()
    assert copy.lossless
    assert scans(written) == [b"\x7f\xff\x00"]
    assert not leaks(written)


def test_words_hidden_in_a_table_are_not_passed_on(tmp_path: Path, photograph: Image.Image) -> None:
    stream = io.BytesIO()
    photograph.save(stream, "JPEG")
    data = stream.getvalue()
    stuffed = segment_bytes(0xDD, b"\0\0" + secret().encode())
    (tmp_path / "a.jpg").write_bytes(data[:20] + stuffed + data[20:])
    try:
        copy = clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
    except SourceError:
        assert not (tmp_path / "b.jpg").exists()
    else:
        assert not copy.lossless
        assert not leaks((tmp_path / "b.jpg").read_bytes())


def test_words_between_two_segments_are_not_passed_on(
    tmp_path: Path, photograph: Image.Image
) -> None:
    stream = io.BytesIO()
    photograph.save(stream, "JPEG")
    data = stream.getvalue()
    (tmp_path / "a.jpg").write_bytes(data[:20] + secret().encode() + data[20:])
    copy = clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
    assert copy.lossless
    assert not leaks((tmp_path / "b.jpg").read_bytes())


def test_colours_that_only_exif_named_are_kept_as_a_profile(
    tmp_path: Path, photograph: Image.Image
) -> None:
    block = piexif.dump({"Exif": {}, "Interop": {piexif.InteropIFD.InteroperabilityIndex: b"R03"}})
    photograph.save(tmp_path / "a.jpg", exif=block)
    clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
    before, after = open_upright(tmp_path / "a.jpg"), open_upright(tmp_path / "b.jpg")
    assert after.tobytes() == before.tobytes()
    assert before.tobytes() != photograph.tobytes()


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_region_is_cut_from_the_upright_picture(
    tmp_path: Path, corners: Image.Image, orientation: int
) -> None:
    data, previews = jpeg_with_secrets(corners.resize((600, 400)), orientation)
    (tmp_path / "a.jpg").write_bytes(data)
    upright = open_upright(tmp_path / "a.jpg")
    width, height = upright.size
    part = Region(x=width // 2 + 20, y=20, width=150, height=100,
                  reference_width=width, reference_height=height)  # fmt: skip
    copy = clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg", region=part)
    written = (tmp_path / "b.jpg").read_bytes()
    assert not leaks(written)
    assert not any(small in written for small in previews)
    assert (copy.width, copy.height, copy.lossless, copy.extension) == (150, 100, False, ".jpg")
    assert "derived copy" in copy.how
    expected: Any = upright.getpixel((part.x + 50, part.y + 50))
    found: Any = open_upright(tmp_path / "b.jpg").getpixel((50, 50))
    assert all(abs(a - b) < 6 for a, b in zip(expected, found, strict=True))


def test_a_region_of_everything_is_copied_without_loss(
    tmp_path: Path, photograph: Image.Image
) -> None:
    photograph.save(tmp_path / "a.jpg")
    everything = Region(x=0, y=0, width=24, height=16, reference_width=24, reference_height=16)
    assert clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg", region=everything).lossless


def png_with_secrets(path: Path, picture: Image.Image) -> None:
    texts = PngInfo()
    texts.add_text("Comment", secret())
    texts.add_text("Description", secret(), zip=True)
    texts.add_itxt("Title", secret())
    texts.add_itxt("XML:com.adobe.xmp", f"<x>{secret()}</x>", zip=True)
    texts.add(b"prVt", secret().encode())
    texts.add(b"tIME", b"\x07\xd0\1\1\1\1\1")
    texts.add(b"vpAg", secret().encode(), after_idat=True)
    picture.save(
        path,
        pnginfo=texts,
        icc_profile=srgb_with_secrets(),
        exif=exif_with_secrets(8, preview())[6:],
        dpi=(300, 300),
    )
    with path.open("ab") as stream:
        stream.write(secret().encode())


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "LA", "P", "1"])
def test_no_secret_of_a_png_comes_through_and_no_pixel_changes(
    tmp_path: Path, photograph: Image.Image, mode: str
) -> None:
    source, target = tmp_path / "a.png", tmp_path / "b.png"
    png_with_secrets(source, photograph.convert(mode))
    assert len(leaks(source.read_bytes())) > 20
    copy = clean_copy(source, target)
    assert leaks(target.read_bytes()) == set()
    assert copy.lossless
    assert (copy.width, copy.height) == (160, 240)
    with Image.open(source) as before, Image.open(target) as after:
        assert (after.mode, after.tobytes()) == (before.mode, before.tobytes())
        assert dict(after.getexif()) == {0x0112: 8}
    assert open_upright(target).tobytes() == open_upright(source).tobytes()


def png_of(pixels: bytes, size: tuple[int, int], *, behind: bytes = b"") -> bytes:
    """A PNG of 8 bits in RGB with these bytes of pixels, and more in chunks of their own."""
    header = struct.pack(">IIBBBBB", *size, 8, 2, 0, 0, 0)
    packed = zlib.compress(pixels)
    parts = [(b"IHDR", header), (b"IDAT", packed[:9]), (b"IDAT", packed[9:] + behind[:5])]
    parts += [(b"IDAT", behind[5:])] if behind else []
    return png.SIGNATURE + b"".join(png.chunk_bytes(*part) for part in (*parts, (b"IEND", b"")))


def rows(picture: Image.Image) -> bytes:
    width, data = picture.width * 3, picture.tobytes()
    return b"".join(b"\0" + data[at : at + width] for at in range(0, len(data), width))


def test_what_stands_behind_the_pixels_of_a_png_is_not_passed_on(
    tmp_path: Path, photograph: Image.Image
) -> None:
    source, target, words = tmp_path / "a.png", tmp_path / "b.png", secret().encode()
    source.write_bytes(png_of(rows(photograph), photograph.size, behind=words))
    copy = clean_copy(source, target)
    assert copy.lossless
    assert "data behind the pixels" in copy.how
    assert leaks(source.read_bytes() + words)
    assert leaks(target.read_bytes()) == set()
    assert words[:4] not in target.read_bytes()
    assert open_upright(target).tobytes() == photograph.tobytes()


def test_rows_of_a_png_that_are_not_shown_are_not_passed_on(
    tmp_path: Path, photograph: Image.Image
) -> None:
    """As of a picture that was cropped by its header alone."""
    shown = (photograph.width, photograph.height // 2)
    (tmp_path / "a.png").write_bytes(png_of(rows(photograph), shown))
    copy = clean_copy(tmp_path / "a.png", tmp_path / "b.png")
    assert not copy.lossless
    with Image.open(tmp_path / "b.png") as after:
        assert after.tobytes() == photograph.crop((0, 0, *shown)).tobytes()
    with pytest.raises(NotUnderstood, match="more pixels than it shows"):
        rebuild_png(tmp_path / "a.png", orientation=1)
    rebuild_png(tmp_path / "b.png", orientation=1)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
@pytest.mark.parametrize("size", [(1, 1), (2, 9), (7, 5), (8, 8), (33, 17)])
def test_pixels_take_as_many_bytes_as_are_worked_out(
    tmp_path: Path, mode: str, size: tuple[int, int]
) -> None:
    path = tmp_path / "a.png"
    Image.new(mode, size).save(path)
    data = path.read_bytes()
    at = data.index(b"IDAT")
    length = int.from_bytes(data[at - 4 : at], "big")
    unpacked = zlib.decompress(data[at + 4 : at + 4 + length])
    assert unpacked_size(data[16:29]) == len(unpacked)


def test_an_interlaced_picture_takes_a_filter_byte_for_each_row_of_each_pass() -> None:
    """Worked out by hand from PNG 3rd edition, figure 8.1: 3 by 3 pixels of one byte.

    Pass 1: 1 row of 1; 2: none; 3: none; 4: 1 of 1; 5: 1 of 2; 6: 2 of 1; 7: 1 of 3.
    """
    header = struct.pack(">IIBBBBB", 3, 3, 8, 0, 0, 0, 1)
    assert unpacked_size(header) == (1 + 1) + (1 + 1) + (1 + 2) + 2 * (1 + 1) + (1 + 3)


def test_only_the_still_picture_of_an_animated_png_is_copied(
    tmp_path: Path, photograph: Image.Image
) -> None:
    photograph.save(tmp_path / "a.png", save_all=True, append_images=[photograph.rotate(90)])
    copy = clean_copy(tmp_path / "a.png", tmp_path / "b.png")
    assert copy.lossless
    assert "animation" in copy.how
    assert probe(tmp_path / "b.png").pages == 1
    assert open_upright(tmp_path / "b.png").tobytes() == photograph.tobytes()


def tiff_with_secrets(path: Path, picture: Image.Image) -> None:
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    for tag in (270, 271, 272, 285, 305, 315, 316, 33432, 65000):
        tags[tag] = secret()
        tags.tagtype[tag] = 2
    for tag in (700, 33723, 34377, 37724):
        tags[tag] = secret().encode()
        tags.tagtype[tag] = 7
    picture.save(path, tiffinfo=tags, icc_profile=srgb_with_secrets())


@pytest.mark.parametrize("name", ["a.tif", "a.webp", "a.gif", "a.bmp", "a.jp2", "a.avif"])
@pytest.mark.parametrize("cropped", [False, True])
def test_no_secret_of_other_formats_comes_through(
    tmp_path: Path, photograph: Image.Image, name: str, *, cropped: bool
) -> None:
    source = tmp_path / name
    if name == "a.tif":
        tiff_with_secrets(source, photograph)
    elif name in ("a.gif", "a.jp2"):
        photograph.save(source, comment=secret())
    elif name == "a.bmp":
        photograph.save(source)
    else:
        exif = exif_with_secrets(1, preview())
        photograph.save(
            source, exif=exif, xmp=f"<x>{secret()}</x>", icc_profile=srgb_with_secrets()
        )
    with source.open("ab") as stream:
        stream.write(secret().encode())
    assert leaks(source.read_bytes())
    part = Region(x=10, y=10, width=50, height=40, reference_width=240, reference_height=160)
    copy = clean_copy(source, tmp_path / "copy", region=part if cropped else None)
    assert leaks((tmp_path / "copy").read_bytes()) == set()
    assert not copy.lossless
    assert "derived" in copy.how
    said = probe(tmp_path / "copy")
    assert said.extension == copy.extension == format_of_copy(probe(source).format).extension
    assert (said.width, said.height) == (copy.width, copy.height)
    assert (copy.width, copy.height) == ((50, 40) if cropped else (240, 160))
    assert not said.captions
    if copy.extension == ".png" and not cropped:
        assert open_upright(tmp_path / "copy").tobytes() == open_upright(source).tobytes()


def test_scans_with_sixteen_bits_or_inks_can_be_copied(
    tmp_path: Path, write_tiff: Callable[..., None]
) -> None:
    write_tiff(tmp_path / "a.tif", bytes(64 * 64 * 6), (64, 64), bits=16, samples=3, photometric=2)
    Image.new("CMYK", (64, 64)).save(tmp_path / "b.tif")
    for name in ("a.tif", "b.tif"):
        copy = clean_copy(tmp_path / name, tmp_path / "copy.png")
        assert (copy.extension, copy.width, copy.lossless) == (".png", 64, False)
        assert "8 bits" in copy.how


def broken(photograph: Image.Image) -> Iterator[tuple[str, bytes]]:
    stream = io.BytesIO()
    photograph.save(stream, "JPEG", quality=90)
    data = stream.getvalue()
    yield "empty", b""
    yield "text", b"a text named .jpg"
    yield "cut short", data[:-400]
    scan = data.index(b"\xff\xda")
    yield "tables that are not there", data[: scan + 6] + b"\x33" + data[scan + 7 :]


def test_nothing_of_what_cannot_be_decoded_is_passed_on(
    tmp_path: Path, photograph: Image.Image
) -> None:
    for what, data in broken(photograph):
        (tmp_path / "a.jpg").write_bytes(data)
        with pytest.raises(SourceError) as error:
            clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
        assert "a.jpg" in str(error.value), what
        assert [path.name for path in tmp_path.iterdir()] == ["a.jpg"], what


def test_an_original_is_never_written_over(tmp_path: Path, photograph: Image.Image) -> None:
    photograph.save(tmp_path / "a.jpg")
    before = (tmp_path / "a.jpg").read_bytes()
    with pytest.raises(SourceError, match="original"):
        clean_copy(tmp_path / "a.jpg", tmp_path / "a.jpg")
    assert (tmp_path / "a.jpg").read_bytes() == before


def test_a_copy_that_cannot_be_written_leaves_nothing_behind(
    tmp_path: Path, photograph: Image.Image, monkeypatch: pytest.MonkeyPatch
) -> None:
    from archivist.imaging import clean_copy as module

    def full(self: object, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    photograph.save(tmp_path / "a.jpg")
    monkeypatch.setattr(module._Digesting, "write", full)
    with pytest.raises(OSError, match="No space"):
        clean_copy(tmp_path / "a.jpg", tmp_path / "b.jpg")
    assert [path.name for path in tmp_path.iterdir()] == ["a.jpg"]


def test_every_photograph_outside_keeps_its_pixels_and_nothing_else(
    tmp_path: Path, shared_photos: Path
) -> None:
    """Of all files at hand: a lossless copy has the same pixels; no copy says anything."""
    lossless = derived = refused = 0
    for source in sorted(shared_photos.rglob("*")):
        if not source.is_file() or source.suffix in (".csv", ".md"):
            continue
        target = tmp_path / "copy"
        target.unlink(missing_ok=True)
        try:
            copy: CleanCopy = clean_copy(source, target)
        except SourceError:
            refused += 1
            assert not target.exists()
            continue
        said = probe(target)
        assert (said.width, said.height) == (copy.width, copy.height), source
        words = (said.taken, said.captions, said.has_gps, said.camera_make, said.photographer)
        assert not any(words), source
        if copy.lossless:
            lossless += 1
            assert open_upright(target).tobytes() == open_upright(source).tobytes(), source
        else:
            derived += 1
    assert lossless >= 200
    assert derived >= 40
    assert refused >= 90
