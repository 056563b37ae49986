"""A clock that a person put right once holds for what the same camera took, in later surveys."""

from __future__ import annotations

import datetime
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import piexif
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.undoing import last_undoable, undo
from archivist.imaging.exif import Clock
from archivist.imaging.taken import read_clock
from archivist.intake.apply import apply
from archivist.intake.contact_sheet.layout import Part
from archivist.intake.pictures.taken import contradicts, told
from archivist.intake.proposal import AddPhotograph, Proposal
from archivist.model import Certainty, Photograph
from archivist.plugins import Plugins
from tests.intake.contact_sheet.test_corrections import applied, corrected
from tests.intake.test_photographs_studied import by_path, drawn

Look = Callable[..., Any]


def shot(path: Path, seed: int, taken: str, serial: str = "") -> Path:
    """A photograph by a camera of one make, with the serial number of the camera."""
    path.parent.mkdir(parents=True, exist_ok=True)
    camera = {piexif.ImageIFD.Make: b"Oke", piexif.ImageIFD.Model: b"Oke 1"}
    exif: dict[int, bytes] = {piexif.ExifIFD.DateTimeOriginal: taken.encode()}
    if serial:
        exif[piexif.ExifIFD.BodySerialNumber] = serial.encode()
    stream = io.BytesIO()
    drawn(seed).save(stream, "JPEG", exif=piexif.dump({"0th": camera, "Exif": exif}))
    path.write_bytes(stream.getvalue())
    return path


def first_card(
    root: Path, archive: Archive, look: Look, plugins: Plugins, serial: str, said: str = "+1826 d"
) -> None:
    """Three photographs whose clock their owner put right."""
    for n in range(3):
        shot(root / f"IMG_{n}.JPG", n, f"2004:03:14 10:00:0{n}", serial)
    back = corrected(archive, look(root).path, plugins, {"IMG_1.JPG": {Part.CLOCK: said}})
    applied(archive, back.path)


def added(proposal: Proposal) -> dict[str, Photograph]:
    return {i.path: i.photograph for i in proposal.items if isinstance(i, AddPhotograph)}


def times(proposal: Proposal) -> dict[str, str]:
    """The believed time of each photograph that would be added."""
    return {
        path: next((t.date.edtf for t in p.taken if t.preferred), "")
        for path, p in added(proposal).items()
    }


def asked(proposal: Proposal) -> bool:
    return any(question.asks.startswith("The clock") for question in proposal.questions)


def test_another_card_of_the_same_camera_comes_put_right_and_unasked(
    archive: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    first_card(tmp_path / "first", archive, look, plugins, "77 0012")
    later = tmp_path / "later"
    for n in range(4):
        shot(later / f"2009-03-20/IMG_{n + 10}.JPG", n + 10, f"2004:03:20 10:00:0{n}", "77 0012")
    found = look(later)
    assert not asked(found.proposal)
    assert times(found.proposal)["2009-03-20/IMG_12.JPG"] == "2009-03-20T10:00:02"
    day = archive.catalogue.now()[:10]
    shown = next(p for p in found.proposal.found.photographs if p.path.endswith("IMG_12.JPG"))
    assert shown.taken == "2009-03-20T10:00:02"
    assert shown.taken_ground == f"the clock of this camera, as corrected on {day}"
    assert shown.taken_certainty is Certainty.PROBABLE, "proposed; nobody has said it of this one"
    assert not [d for d in found.proposal.found.doubts if d.about == "taken"]
    apply(archive, found.proposal, found.path.name, "Ines Tidewell")
    held = by_path(archive, later)["2009-03-20/IMG_12.JPG"]
    assert any(t.date.edtf == "2004-03-20T10:00:02" for t in held.taken), "nothing is lost"
    # A further survey of the grown folder asks no more about those that came put right.
    shot(later / "2009-03-20/IMG_30.JPG", 30, "2004:03:20 11:00:00", "77 0012")
    assert not asked(look(later).proposal)


def test_another_camera_of_the_same_make_is_asked_about(
    archive: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    first_card(tmp_path / "first", archive, look, plugins, "77 0012")
    later = tmp_path / "later"
    for n in range(4):
        shot(later / f"2009-03-20/IMG_{n + 10}.JPG", n + 10, f"2004:03:20 10:00:0{n}", "77 0099")
    found = look(later).proposal
    assert asked(found)
    assert times(found)["2009-03-20/IMG_12.JPG"] == "2004-03-20T10:00:02"


def test_without_a_serial_number_it_holds_in_the_same_folder_alone(
    archive: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    root = tmp_path / "card"
    first_card(root, archive, look, plugins, "")
    shot(root / "IMG_9.JPG", 9, "2004:03:14 12:00:00")
    shot(root / "elsewhere" / "IMG_8.JPG", 8, "2004:03:14 12:00:00")
    said = times(look(root).proposal)
    assert said["IMG_9.JPG"] == "2009-03-14T12:00:00"
    assert said["elsewhere/IMG_8.JPG"] == "2004-03-14T12:00:00"


def test_a_clock_that_was_mended_since_is_left_alone(
    archive: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    first_card(tmp_path / "first", archive, look, plugins, "77 0012")
    root = tmp_path / "mended"
    shot(root / "2012-05-01 IMG_9.JPG", 9, "2012:05:01 12:00:00", "77 0012")
    shot(root / "IMG_10.JPG", 10, f"{archive.catalogue.now()[:4]}:01:01 12:00:00", "77 0012")
    said = times(look(root).proposal)
    assert said["2012-05-01 IMG_9.JPG"] == "2012-05-01T12:00:00", "its name says so too"
    assert said["IMG_10.JPG"].startswith(archive.catalogue.now()[:4]), "no time to come is believed"


def test_where_different_amounts_were_said_only_what_lies_between_alike_ones_is_put_right(
    archive: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    root = tmp_path / "cards"
    for n, (folder, day) in enumerate((("a", "14"), ("a", "16"), ("b", "24"), ("b", "26"))):
        shot(root / folder / f"IMG_{n}.JPG", n, f"2004:03:{day} 10:00:00", "5")
    edits = {"a/IMG_0.JPG": {Part.CLOCK: "+1 h"}, "b/IMG_2.JPG": {Part.CLOCK: "+2 h"}}
    applied(archive, corrected(archive, look(root).path, plugins, edits).path)
    later = tmp_path / "later"
    for n, day in enumerate(("15", "20", "25", "30"), start=10):
        shot(later / f"IMG_{n}.JPG", n, f"2004:03:{day} 10:00:00", "5")
    said = [t[11:16] for _, t in sorted(times(look(later).proposal).items())]
    assert said == ["11:00", "10:00", "12:00", "10:00"]


def test_a_correction_that_was_taken_back_holds_no_more(
    archive: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    root = tmp_path / "first"
    for n in range(3):
        shot(root / f"IMG_{n}.JPG", n, f"2004:03:14 10:00:0{n}", "5")
    applied(archive, look(root).path)
    sheet = corrected(archive, look_path(archive), plugins, {"IMG_1.JPG": {Part.CLOCK: "+1 h"}})
    applied(archive, sheet.path)
    undo(archive.catalogue, last_undoable(archive.catalogue), "Ines Tidewell")
    later = shot(tmp_path / "later" / "IMG_9.JPG", 9, "2004:03:15 10:00:00", "5").parent
    assert times(look(later).proposal) == {"IMG_9.JPG": "2004-03-15T10:00:00"}


def look_path(archive: Archive) -> Path:
    """The oldest proposal, which was applied."""
    return min(archive.proposals.glob("*.json"), key=lambda path: path.stat().st_mtime)


@pytest.mark.parametrize(
    ("path", "days", "is_contradicted"),
    [
        ("2004-03-14 x.jpg", 1826, True),
        ("2009-03-14 x.jpg", 1826, False),
        ("x.jpg", 1826, False),
        ("x.jpg", 36500, True),
    ],
)
def test_what_names_say_and_the_day_of_today_speak_against_an_amount(
    path: str, days: int, is_contradicted: bool
) -> None:
    clock, _ = read_clock(Clock(witness="EXIF DateTimeOriginal", words="2004:03:14 10:00:00"))
    assert clock is not None
    clock = msgspec.structs.replace(clock, preferred=False)
    offset = datetime.timedelta(days=days)
    witnesses = told([clock], path, 2027)
    assert contradicts(witnesses, clock, offset, "2026-11-25T12:00:00Z") is is_contradicted
