"""Every file of the odd photographs beside the project, against what its manifest lists.

The manifest was made with Pillow; where we differ on purpose the file is named here with why.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from archivist.errors import SourceError
from archivist.imaging.pixels import open_upright
from archivist.imaging.probe import Probe, probe

PHOTOS = Path(__file__).resolve().parents[3] / "shared" / "photos"

pytestmark = pytest.mark.filterwarnings("ignore::Warning:PIL")

XMP_OR_TEXT_ORIENTATION = {
    "exif_imagemagick_orientation.png",
    "xmp_tags_orientation.avif",
    "xmp_tags_orientation.png",
    "xmp_tags_orientation_exiftool.png",
}
"""Orientation in XMP or in PNG text only, which browsers do not follow; we follow EXIF."""

UNNUMBERED_FRAMES = {"syntax_num_frames_invalid.png"}
"""Its frame count is beyond reason; we count its frames."""

NO_COORDINATES = {"jpg_Issue_600_(2).jpg", "jpg_Nikon_D1X.jpg"}
"""A GPS directory without latitude and longitude."""

DAMAGED_PNG = {"broken_data_stream.png", "truncated_end_chunk.png"}
"""Listed as decodable; Pillow 12.0 refuses them as we do, then lets go on a second try."""


@pytest.fixture(scope="module")
def rows() -> list[tuple[dict[str, str], Probe]]:
    if not PHOTOS.is_dir():
        pytest.skip("the collection of odd photographs does not lie beside the project")
    with (PHOTOS / "MANIFEST.csv").open(encoding="utf-8", newline="") as stream:
        return [(row, probe(PHOTOS / row["file"])) for row in csv.DictReader(stream)]


def name(row: dict[str, str]) -> str:
    return row["file"].rsplit("/", 1)[-1]


def test_formats_are_those_listed(rows: list[tuple[dict[str, str], Probe]]) -> None:
    ours = {"MPO": "JPEG", "HEIF": "HEIC", "WEBP": "WebP"}
    for row, said in rows:
        if row["format"]:
            assert said.format == ours.get(row["format"], row["format"]), row["file"]


def test_sizes_orientations_and_pages_are_those_listed(
    rows: list[tuple[dict[str, str], Probe]],
) -> None:
    compared = 0
    for row, said in rows:
        if not said.width:
            continue
        compared += 1
        orientation = int(row["orientation"] or 1)
        if name(row) not in XMP_OR_TEXT_ORIENTATION:
            assert said.orientation == orientation, row["file"]
        size = (int(row["width"]), int(row["height"]))
        if said.orientation >= 5 and said.format != "TIFF":  # Pillow's TIFF sizes are upright
            size = size[::-1]
        assert (said.width, said.height) == size, row["file"]
        if row["format"] == "MPO":  # the further pictures are another eye's, or previews
            assert said.pages == 1
            assert "multi-picture" in said.remarks[0]
        elif name(row) not in UNNUMBERED_FRAMES:
            assert said.pages == int(row["n_frames"]), row["file"]
    assert compared >= 270


def test_coordinates_are_found_where_there_are_any(
    rows: list[tuple[dict[str, str], Probe]],
) -> None:
    found = {name(row) for row, said in rows if said.has_gps}
    listed = {name(row) for row, _ in rows if row["gps"] == "Y"}
    assert found == listed - NO_COORDINATES
    assert len(found) == 15


def test_every_date_listed_is_read_or_named(rows: list[tuple[dict[str, str], Probe]]) -> None:
    read = named = blank = 0
    for row, said in rows:
        words = row["exif_datetime_original"].strip()
        if not words:
            continue
        stated = [t.as_stated for t in said.taken if t.witness == "EXIF DateTimeOriginal"]
        if stated:
            assert stated[0].startswith(words), row["file"]
            read += 1
        elif words.replace(":", "").strip():
            assert any(words in remark for remark in said.remarks), row["file"]
            named += 1
        else:
            blank += 1
    assert (read, named, blank) == (97, 6, 2)


def test_what_decodes_is_opened_and_what_does_not_is_refused(
    rows: list[tuple[dict[str, str], Probe]],
) -> None:
    opened = refused = 0
    for row, said in rows:
        decodes = row["decodes"] == "Y" and name(row) not in DAMAGED_PNG
        try:
            picture = open_upright(PHOTOS / row["file"])
        except SourceError:
            assert not decodes, row["file"]
            refused += 1
            continue
        assert decodes, row["file"]
        assert picture.size == (said.width, said.height), row["file"]
        assert not said.undecodable, row["file"]
        opened += 1
    assert (opened, refused) == (246, 102)
