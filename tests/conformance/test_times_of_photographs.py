"""Satellites' time, parts of a second, offsets from UTC and the dates of XMP and IPTC, as ExifTool
and Pillow read them on photographs of many cameras; and which of them is believed."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from archivist.imaging.header import read_header
from archivist.imaging.probe import probe
from archivist.intake.pictures.taken import GPS, told
from archivist.model import Certainty

PHOTOS = Path(__file__).resolve().parents[3] / "shared" / "photos" / "odd"

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:PIL")


@pytest.fixture(scope="module")
def paths() -> list[Path]:
    if not PHOTOS.is_dir():
        pytest.skip("the collection of odd photographs does not lie beside the project")
    return sorted(p for p in PHOTOS.rglob("*") if p.suffix.lower() in (".jpg", ".tif", ".tiff"))


@pytest.fixture(scope="module")
def by_exiftool(paths: list[Path]) -> dict[Path, dict[str, Any]]:
    exiftool = shutil.which("exiftool")
    if not exiftool:
        pytest.skip("exiftool is not installed")
    names = (
        "GPS:GPSDateStamp", "GPS:GPSTimeStamp", "ExifIFD:SubSecTimeOriginal",
        "ExifIFD:OffsetTimeOriginal", "XMP:DateTimeOriginal", "XMP:DateCreated", "IPTC:DateCreated",
        "ExifIFD:FileSource",
    )  # fmt: skip
    command = [exiftool, "-j", "-n", "-G1", *(f"-{name}" for name in names), *map(str, paths)]
    done = subprocess.run(command, capture_output=True, check=False)
    listed = json.loads(done.stdout.decode("utf-8", "replace"))
    return {Path(row["SourceFile"]): row for row in listed}


def clock(path: Path, witness: str) -> Any:
    header = read_header(path)
    clocks = header.exif.clocks if header else ()
    return next((c for c in clocks if c.witness == witness), None)


def digits(words: object) -> str:
    return "".join(c for c in str(words) if c.isdigit())


def test_satellites_parts_of_seconds_and_offsets_are_as_exiftool_reads_them(
    by_exiftool: dict[Path, dict[str, Any]],
) -> None:
    compared = {"GPS": 0, "fraction": 0, "offset": 0}
    for path, theirs in by_exiftool.items():
        day = digits(theirs.get("GPS:GPSDateStamp", ""))
        if len(day) == 8 and int(day):
            ours = clock(path, GPS)
            assert ours is not None, path
            compared["GPS"] += 1
            assert digits(ours.words)[:8] == day, path
            time = str(theirs.get("GPS:GPSTimeStamp", "")).split(".")[0]
            if time:
                assert digits(ours.words)[8:] == digits(time), path
        original = clock(path, "EXIF DateTimeOriginal")
        fraction = str(theirs.get("ExifIFD:SubSecTimeOriginal", "")).strip()
        if original is not None and fraction:
            compared["fraction"] += 1
            assert original.fraction.strip().lstrip("0") == fraction.lstrip("0"), path
        offset = str(theirs.get("ExifIFD:OffsetTimeOriginal", "")).strip()
        if original is not None and offset:
            compared["offset"] += 1
            assert original.offset.strip() == offset, path
    assert compared["GPS"] >= 3, compared
    assert compared["fraction"] >= 9, compared


def test_satellites_and_parts_of_seconds_are_as_pillow_reads_them(paths: list[Path]) -> None:
    compared = 0
    for path in paths:
        try:
            with Image.open(path) as image:
                main = image.getexif()
                gps, camera = main.get_ifd(0x8825), main.get_ifd(0x8769)
        except Exception:  # noqa: BLE001 - it reads fewer files than we do
            continue
        original = clock(path, "EXIF DateTimeOriginal")
        fraction = camera.get(0x9291)
        if original is not None and isinstance(fraction, str) and fraction.strip("\0 "):
            compared += 1
            assert original.fraction == fraction.split("\0")[0].strip(), path
        day, time = gps.get(29), gps.get(7)
        ours = clock(path, GPS)
        if isinstance(day, str) and digits(day) and ours is not None and time and len(time) == 3:
            try:
                words = "".join(f"{int(float(part)):02}" for part in time)
            except (ValueError, ZeroDivisionError):
                continue
            compared += 1
            assert digits(ours.words) == digits(day) + words, path
    assert compared >= 10


def test_dates_of_xmp_and_iptc_are_as_exiftool_reads_them(
    by_exiftool: dict[Path, dict[str, Any]],
) -> None:
    witnesses = {
        "XMP-exif:DateTimeOriginal": "XMP exif:DateTimeOriginal",
        "XMP-photoshop:DateCreated": "XMP photoshop:DateCreated",
        "IPTC:DateCreated": "IPTC date created",
    }
    compared, unread = 0, set()
    for path, theirs in by_exiftool.items():
        found = probe(path)
        said = {t.witness: t.date.edtf for t in found.taken}
        for name, witness in witnesses.items():
            words = digits(theirs.get(name, ""))[:8]
            if len(words) == 8 and int(words[4:]):
                compared += 1
                named = any(remark.startswith(f"{witness} says") for remark in found.remarks)
                assert named or digits(said.get(witness, ""))[:8] == words, (path, witness)
                unread.update({path.name} if named else ())
    assert compared >= 5
    assert unread == {"jpg_Issue_600_(2).jpg"}, "its one property holds two dates"


def test_the_clock_of_a_scanner_does_not_tell_when_a_picture_was_taken(
    by_exiftool: dict[Path, dict[str, Any]],
) -> None:
    scanned = [p for p in by_exiftool if "Scanner" in p.name]
    assert scanned
    for path in scanned:
        said = probe(path)
        assert said.taken, path
        assert all(t.witness.startswith("scanner, EXIF") for t in said.taken)
        alone = told(said.taken, path.name, 2027).best
        assert alone is not None
        assert alone.certainty is Certainty.DOUBTFUL
        dated = told(said.taken, "1987 fair/slide 3.jpg", 2027)
        assert dated.best is not None
        assert dated.best.date.edtf == "1987?"
        assert not dated.disagree
