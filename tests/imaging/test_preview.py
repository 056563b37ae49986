"""Raw files are looked at by the JPEG that the camera put into them."""

from __future__ import annotations

import io
import json
import shutil
import subprocess
from pathlib import Path

import pytest
from PIL import Image, ImageChops

from archivist.imaging.preview import open_preview
from archivist.imaging.probe import probe
from tests.imaging.raw_files import SENSOR, jpeg, write_raw

KINDS = [("dng", "dng"), ("nef", "NEF"), ("cr2", "cr2"), ("hidden", "arw")]


@pytest.fixture
def upright(photograph: Image.Image) -> Image.Image:
    return photograph.resize((480, 320))


def difference(one: Image.Image, other: Image.Image) -> float:
    both = ImageChops.difference(one, other).convert("L").resize((1, 1), Image.Resampling.BOX)
    return float(both.getpixel((0, 0)))  # type: ignore[arg-type]


@pytest.mark.parametrize(("kind", "ending"), KINDS)
def test_the_preview_is_found_wherever_makers_put_it(
    tmp_path: Path, upright: Image.Image, kind: str, ending: str
) -> None:
    path = write_raw(tmp_path / f"a.{ending}", upright, kind=kind, taken="2009:03:14 10:00:00")
    said = probe(path)
    assert said.format == f"RAW {ending.upper()}"
    assert said.media_type.startswith("image/x-")
    assert [t.date.edtf for t in said.taken] == ["2009-03-14T10:00:00"]
    found = open_preview(path)
    assert found is not None
    picture, size = found
    assert size == picture.size == (480, 320)
    assert difference(picture, upright) < 8


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_preview_without_exif_is_turned_as_the_raw_file_says(
    tmp_path: Path, upright: Image.Image, orientation: int
) -> None:
    # The eight cases of Exif 2.3, 4.6.4 A; what undoes each is what Pillow does to a JPEG.
    path = write_raw(tmp_path / "a.dng", upright, kind="dng", orientation=orientation)
    exif = Image.Exif()
    exif[0x112] = orientation
    upright.save(tmp_path / "same.jpg", quality=90, exif=exif)
    from PIL import ImageOps

    with Image.open(tmp_path / "same.jpg") as image:
        judge = ImageOps.exif_transpose(image)
    assert judge is not None
    found = open_preview(path)
    assert found is not None
    assert found[0].size == found[1] == judge.size
    assert difference(found[0], judge) < 2
    reduced = open_preview(path, reduced_to=120)
    assert reduced is not None
    assert max(reduced[0].size) == 120
    assert reduced[1] == judge.size


def test_the_sensors_data_is_no_preview_and_a_file_without_one_has_none(tmp_path: Path) -> None:
    (tmp_path / "a.arw").write_bytes(b"II*\0\x08\0\0\0" + bytes(40) + SENSOR)
    assert open_preview(tmp_path / "a.arw") is None
    (tmp_path / "empty.nef").write_bytes(b"")
    assert open_preview(tmp_path / "empty.nef") is None
    assert open_preview(tmp_path / "not there.nef") is None


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="ExifTool is not installed")
@pytest.mark.parametrize(("kind", "ending"), [k for k in KINDS if k[0] != "hidden"])
def test_exiftool_takes_them_for_raw_files_too(
    tmp_path: Path, upright: Image.Image, kind: str, ending: str
) -> None:
    path = write_raw(tmp_path / f"a.{ending}", upright, kind=kind, orientation=6)
    done = subprocess.run(
        ["exiftool", "-j", "-n", "-FileType", "-Orientation", "-Model", str(path)],
        capture_output=True,
        check=True,
    )
    (said,) = json.loads(done.stdout)
    assert (said["FileType"], said["Orientation"]) == (ending.upper(), 6)
    assert probe(path).orientation == 6


def test_raw_files_that_are_no_tiff_say_when_and_by_what_they_were_taken(
    tmp_path: Path, upright: Image.Image
) -> None:
    import piexif

    camera = {piexif.ImageIFD.Make: b"Oke", piexif.ImageIFD.Model: b"Oke 1"}
    when = {piexif.ExifIFD.DateTimeOriginal: b"2009:03:14 10:00:00"}
    whole = piexif.dump({"0th": {**camera, piexif.ImageIFD.Orientation: 6}, "Exif": when})
    stream = io.BytesIO()
    upright.save(stream, "JPEG", exif=whole)
    (tmp_path / "a.raf").write_bytes(b"FUJIFILMCCD-RAW 0201".ljust(148, b"\0") + stream.getvalue())
    # Parts that are TIFF each: the camera in one, its clock in the first directory of another.
    parts = b"CMT1" + piexif.dump({"0th": camera})[6:]
    clock = b"II*\0\x08\0\0\0\1\0\x03\x90\2\0\x14\0\0\0\x1a\0\0\0\0\0\0\0"
    parts += b"CMT2" + clock + b"2009:03:14 10:00:00\0"
    (tmp_path / "a.cr3").write_bytes(b"\0\0\0\x18ftypcrx \0\0\0\1crx isom" + parts + jpeg(upright))
    for name, size in (("a.raf", (320, 480)), ("a.cr3", (480, 320))):
        said = probe(tmp_path / name)
        assert said.camera == "Oke 1"
        assert [t.date.edtf for t in said.taken] == ["2009-03-14T10:00:00"]
        found = open_preview(tmp_path / name)
        assert found is not None
        assert found[1] == size
