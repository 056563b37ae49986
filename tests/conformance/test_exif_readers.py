"""What we read of EXIF against piexif, Pillow and exiftool, on photographs of many cameras."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import piexif
import pytest
from PIL import Image

from archivist.imaging.header import read_header
from archivist.imaging.probe import Probe, probe

PHOTOS = Path(__file__).resolve().parents[3] / "shared" / "photos"

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:PIL")

DATES = {
    "EXIF DateTimeOriginal": ("Exif", 0x9003),
    "EXIF DateTimeDigitized": ("Exif", 0x9004),
    "EXIF DateTime": ("0th", 0x0132),
}

LAST_CHARACTER_LOST = {"jpg_Kodak_ProBack.jpg"}
"""Its dates lack the closing NUL, and piexif takes their last digit for it."""

NO_BYTE_ORDER = {"invalid-exif.jpg"}
"""Its mark of the byte order is destroyed; piexif guesses, exiftool and Pillow give up as we do."""


def text(value: Any) -> str:
    if isinstance(value, bytes):
        value = value.split(b"\0", 1)[0].decode("utf-8", "replace")
    return str(value).split("\0", 1)[0].strip()


def clocks(path: Path) -> dict[str, str]:
    header = read_header(path)
    assert header is not None
    return {clock.witness: clock.words for clock in header.exif.clocks if clock.witness in DATES}


@pytest.fixture(scope="module")
def photographs() -> dict[Path, Probe]:
    if not PHOTOS.is_dir():
        pytest.skip("the collection of odd photographs does not lie beside the project")
    paths = [path for path in PHOTOS.rglob("*") if path.suffix.lower() in (".jpg", ".tif", ".tiff")]
    return {path: probe(path) for path in sorted(paths)}


def test_piexif_reads_the_same_wherever_it_can_read(photographs: dict[Path, Probe]) -> None:
    compared = 0
    unread = set()
    for path, said in photographs.items():
        if said.format not in ("JPEG", "TIFF"):
            continue
        try:
            theirs = piexif.load(str(path))
        except Exception:  # noqa: BLE001 - it raises whatever the file makes it raise
            if clocks(path):
                unread.add(path.name)
            continue
        for witness, (directory, tag) in DATES.items():
            if tag in theirs[directory]:
                compared += 1
                words = text(theirs[directory][tag])
                if path.name in NO_BYTE_ORDER:
                    assert clocks(path) == {}
                elif path.name not in LAST_CHARACTER_LOST:
                    assert clocks(path).get(witness, "") == words, path
        if said.format == "JPEG" and 0x0112 in theirs["0th"]:
            expected = theirs["0th"][0x0112]
            assert said.orientation == (expected if 1 <= expected <= 8 else 1), path
    assert compared >= 250
    # It takes a block whole or not at all; the dates of these are there to be read.
    assert unread == {
        "exif_gps_typeerror.jpg",
        "exif_typeerror.jpg",
        "jpg_Canon_PowerShot_S30_(2).jpg",
        "jpg_ImageTestSuite_c3018ebe53d0046eecb58858ca869a99.jpg",
        "jpg_Nikon_D1X.jpg",
    }


def test_pillow_reads_the_same(photographs: dict[Path, Probe]) -> None:
    compared = 0
    for path, said in photographs.items():
        if not said.width:
            continue
        with Image.open(path) as image:
            try:
                main = image.getexif()
            except SyntaxError:  # it insists on TIFF's number 42
                assert path.name == "jpg_ImageTestSuite_c3018ebe53d0046eecb58858ca869a99.jpg"
                continue
            theirs = {"0th": dict(main), "Exif": main.get_ifd(0x8769)}
        for witness, (directory, tag) in DATES.items():
            if tag in theirs[directory]:
                compared += 1
                assert clocks(path).get(witness, "") == text(theirs[directory][tag]), path
        for tag, ours in ((0x010F, said.camera_make), (0x0110, said.camera_model)):
            if text(theirs["0th"].get(tag, "")):
                assert ours == text(theirs["0th"][tag]), path
    assert compared >= 250


def test_exiftool_reads_the_same(photographs: dict[Path, Probe]) -> None:
    exiftool = shutil.which("exiftool")
    if not exiftool:
        pytest.skip("exiftool is not installed")
    names = ("-DateTimeOriginal", "-ModifyDate", "-CreateDate", "-Orientation", "-Make", "-Model")
    command = [exiftool, "-j", "-G0", "-n", *(f"-EXIF:{name[1:]}" for name in names)]
    listed = [str(path) for path in photographs if photographs[path].width]
    shown = subprocess.run([*command, *listed], capture_output=True, check=False).stdout
    compared, different = 0, set()
    tags = {"EXIF DateTimeOriginal": "EXIF:DateTimeOriginal", "EXIF DateTime": "EXIF:ModifyDate"}
    for theirs in json.loads(shown.decode("utf-8", "replace")):
        path = Path(theirs["SourceFile"])
        for witness, name in tags.items():
            words = str(theirs.get(name, "")).strip()
            if words:
                compared += 1
                if clocks(path).get(witness, "") != words:
                    different.add(path.name)
        if theirs.get("EXIF:Orientation", 1) != photographs[path].orientation:
            different.add(path.name)
    assert compared >= 150
    assert different == set()
