"""Every witness to when a photograph was taken is kept; one is believed; wrong clocks are told."""

from __future__ import annotations

import datetime
from pathlib import Path

import piexif
import pytest
from PIL import Image

from archivist.imaging.exif import Clock
from archivist.imaging.probe import probe
from archivist.imaging.taken import read_clock
from archivist.intake.pictures.taken import (
    FOLDER,
    GPS,
    NAME,
    put_right,
    told,
)
from archivist.intake.rules.clocks import Witnessed, wrong_clocks
from archivist.model import Certainty, TakenAt


def camera(words: str, witness: str = "EXIF DateTimeOriginal", offset: str = "") -> TakenAt:
    taken, _ = read_clock(Clock(witness=witness, words=words, offset=offset))
    assert taken is not None
    return taken


def test_the_camera_is_believed_where_nothing_speaks_against_it() -> None:
    found = told([camera("2009:03:14 10:11:12")], "2009/March/IMG_1.JPG", 2027)
    assert found.best is not None
    assert found.best.date.edtf == "2009-03-14T10:11:12"
    assert found.best.certainty is Certainty.CERTAIN
    assert found.best.preferred
    assert not found.disagree
    assert [t.witness for t in found.taken] == ["EXIF DateTimeOriginal", FOLDER]


def test_a_folder_of_another_year_makes_the_camera_no_more_than_possible() -> None:
    found = told([camera("2004:03:14 10:11:12")], "2009/March/IMG_1.JPG", 2027)
    assert found.best is not None
    assert found.best.certainty is Certainty.POSSIBLE
    assert found.disagree == ("folder: 2009-03",)


@pytest.mark.parametrize("words", ["1970:01:01 00:00:00", "2099:12:31 23:59:59"])
def test_a_clock_that_cannot_be_right_gives_way_to_names(words: str) -> None:
    found = told([camera(words)], "2009/IMG_20090314_101112.jpg", 2027)
    assert found.best is not None
    assert found.best.witness == NAME
    assert found.best.date.edtf == "2009-03-14T10:11:12"


def test_satellites_are_believed_before_the_camera_and_their_hour_is_no_conflict() -> None:
    gps = camera("2009:03:14 02:11:12", GPS, "+00:00")
    found = told([camera("2009:03:14 10:11:12"), gps], "IMG_1.JPG", 2027)
    assert found.best is not None
    assert found.best.witness == GPS
    assert not found.disagree


def test_a_date_that_somebody_wrote_goes_before_when_it_was_scanned(tmp_path: Path) -> None:
    # FileSource 1: 'scanner of transparent type' (Exif 2.3, 4.6.5).
    exif = piexif.dump(
        {"Exif": {piexif.ExifIFD.DateTimeOriginal: b"2019:05:06 10:00:00", 0xA300: b"\1"}}
    )
    Image.new("RGB", (8, 8)).save(tmp_path / "a.jpg", exif=exif)
    within = probe(tmp_path / "a.jpg").taken
    assert [t.witness for t in within] == ["scanner, EXIF DateTimeOriginal"]
    written = camera("1987-06", "XMP photoshop:DateCreated")
    found = told([*within, written], "scan0003.tif", 2027)
    assert found.best is not None
    assert (found.best.date.edtf, found.best.certainty) == ("1987-06?", Certainty.PROBABLE)
    alone = told(within, "scan0003.tif", 2027)
    assert alone.best is not None
    assert alone.best.certainty is Certainty.DOUBTFUL


@pytest.mark.parametrize("exif_source", [b"\3", b""])
def test_a_cameras_clock_is_no_scanners(tmp_path: Path, exif_source: bytes) -> None:
    camera_tags = {piexif.ExifIFD.DateTimeOriginal: b"2019:05:06 10:00:00", 0xA300: exif_source}
    exif = piexif.dump({"0th": {piexif.ImageIFD.Model: b"Oke 1"}, "Exif": camera_tags})
    Image.new("RGB", (8, 8)).save(tmp_path / "a.jpg", exif=exif)
    assert [t.witness for t in probe(tmp_path / "a.jpg").taken] == ["EXIF DateTimeOriginal"]


def test_names_alone_give_a_day_that_is_marked_as_uncertain() -> None:
    found = told([], "2009-03-14/foot.jpg", 2027)
    assert found.best is not None
    assert found.best.date.edtf == "2009-03-14?"
    assert found.best.certainty is Certainty.PROBABLE


def test_where_nothing_tells_nothing_is_said() -> None:
    assert told([], "blue vase/foot.jpg", 2027).best is None


def witnessed(days: int, count: int, first: int = 0) -> list[Witnessed]:
    """Photographs of one camera whose names say so many days later than its clock."""
    found = []
    for number in range(count):
        right = datetime.datetime(2009, 3, 14, 10, number)  # noqa: DTZ001 - as cameras write
        wrong = right - datetime.timedelta(days=days)
        stem = f"{right:%Y%m%d_%H%M%S}"
        others = told([], f"{stem}.jpg", 2027).taken
        found.append(Witnessed(first + number, "Oke 1", wrong, others))
    return found


def test_a_clock_that_was_wrong_all_season_is_told_once_with_the_offset() -> None:
    clocks = wrong_clocks(witnessed(1826, 5))
    assert len(clocks) == 1
    assert clocks[0].offset == datetime.timedelta(days=1826)
    assert clocks[0].places == (0, 1, 2, 3, 4)
    assert clocks[0].exact


def test_two_seasons_have_two_offsets() -> None:
    clocks = wrong_clocks([*witnessed(1826, 4), *witnessed(400, 3, first=4)])
    assert sorted(c.offset.days for c in clocks) == [400, 1826]


def test_a_clock_that_is_right_or_hardly_contradicted_is_left_alone() -> None:
    assert wrong_clocks(witnessed(0, 9)) == []
    assert wrong_clocks(witnessed(1826, 2)) == []


def test_a_clock_put_right_says_so() -> None:
    right = put_right(camera("2004:03:14 10:11:12"), datetime.timedelta(days=1826))
    assert right.witness == "EXIF DateTimeOriginal, put right by +1826 days"
    assert right.date.edtf == "2009-03-14T10:11:12"
    assert right.preferred
    assert right.as_stated == "2004:03:14 10:11:12"
