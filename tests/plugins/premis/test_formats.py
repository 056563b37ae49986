"""The format of a file, told by its bytes and never by its name."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import piexif
import pytest
from PIL import Image, PngImagePlugin

from archivist_plugins.premis.formats import NAMES, registered
from tests.conformance.any_piece import published


def saved(path: Path, **options: Any) -> Path:
    Image.new("RGB", (8, 8), "green").save(path, **options)
    return path


def test_every_identifier_has_the_name_that_the_registry_gives_it() -> None:
    with published("vocab", "pronom.csv").open(encoding="utf-8", newline="") as table:
        known = {row["puid"]: row["name"] for row in csv.DictReader(table)}
    assert {puid: known.get(puid) for puid in NAMES} == NAMES


@pytest.mark.parametrize(
    ("version", "wanted"),
    [(b"0210", "x-fmt/390"), (b"0220", "x-fmt/391"), (b"0221", "fmt/645"), (b"0232", "fmt/1507")],
)
def test_a_jpeg_of_a_camera_is_known_by_its_version_of_exif(
    version: bytes, wanted: str, tmp_path: Path
) -> None:
    block = piexif.dump({"Exif": {piexif.ExifIFD.ExifVersion: version}})
    assert registered(saved(tmp_path / "a.jpg", exif=block)) == wanted


def test_a_jpeg_without_exif_is_known_by_its_version_of_jfif(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.jpg")
    data = path.read_bytes()
    for minor, wanted in ((0, "fmt/42"), (1, "fmt/43"), (2, "fmt/44"), (9, "")):
        path.write_bytes(data[:11] + bytes((1, minor)) + data[13:])
        assert data[6:10] == b"JFIF"
        assert registered(path) == wanted


def test_a_png_is_of_the_version_that_has_its_chunks(tmp_path: Path) -> None:
    assert registered(saved(tmp_path / "a.png")) == "fmt/11"
    words = PngImagePlugin.PngInfo()
    words.add_itxt("Title", "a bowl")
    assert registered(saved(tmp_path / "b.png", pnginfo=words)) == "fmt/13"


@pytest.mark.parametrize(
    ("name", "options", "wanted"),
    [
        ("a.tif", {}, "fmt/353"),
        ("a.webp", {}, "fmt/566"),
        ("a.webp", {"lossless": True}, "fmt/567"),
        ("a.gif", {}, "fmt/3"),
        ("a.bmp", {}, ""),
    ],
)
def test_other_formats_are_known_by_how_they_begin(
    name: str, options: dict[str, Any], wanted: str, tmp_path: Path
) -> None:
    path = saved(tmp_path / name, **options)
    renamed = path.rename(tmp_path / "no-ending")
    assert registered(renamed) == wanted


def test_bytes_of_no_format_have_no_identifier(tmp_path: Path) -> None:
    for number, data in enumerate((b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0")):
        path = tmp_path / str(number)
        path.write_bytes(data)
        assert registered(path) in ("", "fmt/41", "fmt/353")
