"""Damaged files of every kind: nothing but our own errors, and nothing private passed on."""

from __future__ import annotations

import io
from pathlib import Path

import piexif
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from archivist.errors import ArchivistError
from archivist.imaging.clean_copy import clean_copy
from archivist.imaging.pixels import open_upright
from archivist.imaging.probe import probe

SECRET = b"WhereTheCollectorLives"
KINDS = ("JPEG", "PNG", "TIFF", "GIF", "WEBP", "BMP", "AVIF", "JPEG2000")

pytestmark = pytest.mark.filterwarnings("ignore::Warning:PIL")


@pytest.fixture(scope="module")
def files(photograph: Image.Image) -> dict[str, bytes]:
    """One small file of each kind, with the secret in its metadata, behind the pixels too."""
    small = photograph.resize((48, 32))
    words = SECRET.decode()
    exif = piexif.dump(
        {
            "0th": {piexif.ImageIFD.ImageDescription: SECRET, piexif.ImageIFD.Orientation: 6},
            "Exif": {piexif.ExifIFD.DateTimeOriginal: b"2004:05:06 07:08:09",
                     piexif.ExifIFD.MakerNote: SECRET},
            "GPS": {piexif.GPSIFD.GPSProcessingMethod: SECRET},
        }
    )  # fmt: skip
    texts = PngInfo()
    texts.add_text("Comment", words)
    texts.add_itxt("Title", words)
    options: dict[str, dict[str, object]] = {
        "JPEG": {"exif": exif, "comment": words, "xmp": SECRET, "progressive": True},
        "PNG": {"exif": exif[6:], "pnginfo": texts},
        "TIFF": {"tiffinfo": {270: words, 315: words}},
        "GIF": {"comment": words},
        "WEBP": {"exif": exif, "xmp": SECRET},
        "BMP": {},
        "AVIF": {"exif": exif, "xmp": SECRET},
        "JPEG2000": {"comment": words},
    }
    made = {}
    for kind in KINDS:
        stream = io.BytesIO()
        small.save(stream, kind, **options[kind])
        made[kind] = stream.getvalue() + SECRET
    return made


@st.composite
def damage(draw: st.DrawFn) -> list[tuple[str, float, bytes]]:
    """Some cuts, overwritten, inserted or removed bytes, at shares of the file's length."""
    kinds = st.sampled_from(["overwrite", "insert", "remove", "cut"])
    place = st.one_of(st.floats(0, 0.08), st.floats(0, 1))
    bytes_ = st.one_of(st.binary(min_size=1, max_size=4), st.sampled_from(
        [b"\xff", b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x80\0\0\0", b"\xff\xd9", b"\xff\xd8",
         b"\xff\xe1\0\2", b"\xff\xe1\xff\xff", b"IEND", b"II*\0"]
    ))  # fmt: skip
    return draw(st.lists(st.tuples(kinds, place, bytes_), min_size=1, max_size=4))


def damaged(data: bytes, steps: list[tuple[str, float, bytes]]) -> bytes:
    for kind, share, new in steps:
        place = int(share * len(data))
        if kind == "cut":
            data = data[:place]
        elif kind == "insert":
            data = data[:place] + new + data[place:]
        elif kind == "remove":
            data = data[:place] + data[place + len(new) :]
        else:
            data = data[:place] + new + data[place + len(new) :]
    return data


@pytest.mark.parametrize("kind", KINDS)
def test_no_damage_makes_it_fail_otherwise_or_tell(
    tmp_path: Path, files: dict[str, bytes], kind: str
) -> None:
    source, target = tmp_path / f"a.{kind.lower()}", tmp_path / "copy"

    @settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(damage())
    def hold(steps: list[tuple[str, float, bytes]]) -> None:
        source.write_bytes(damaged(files[kind], steps))
        target.unlink(missing_ok=True)
        said = probe(source)
        assert bool(said.width) == (not said.undecodable)
        try:
            picture = open_upright(source, reduced_to=20, allow_truncated=True)
            assert picture.mode in ("RGB", "L")
        except ArchivistError:
            pass
        try:
            copy = clean_copy(source, target)
        except ArchivistError:
            assert not target.exists()
            return
        assert SECRET not in target.read_bytes()
        assert copy.width
        assert copy.height

    hold()


def test_every_length_of_a_jpeg_is_told_from_a_whole_one(
    tmp_path: Path, files: dict[str, bytes]
) -> None:
    whole = files["JPEG"][: -len(SECRET)]
    path = tmp_path / "a.jpg"
    for length in range(0, len(whole) - 1, 37):
        path.write_bytes(whole[:length])
        assert probe(path).undecodable, length
        with pytest.raises(ArchivistError):
            clean_copy(path, tmp_path / "copy.jpg")
