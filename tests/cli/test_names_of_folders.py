"""Folders as people name them, through the commands: no number is believed for being one."""

from __future__ import annotations

import datetime
import json
from importlib.metadata import entry_points
from pathlib import Path

import piexif
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import occurrences
from archivist.cli.main import group
from archivist.model import Certainty, ObjectRecord, Photograph

pytestmark = pytest.mark.skipif(
    not entry_points(group="archivist", name="spreadsheet"),
    reason="readers are found by entry points, so the project must be installed",
)

NUMBERS = (102, 350, 417, 480, 1200, 2006, 2009, 2012, 2011)
WHOLE_DAY = datetime.datetime(2008, 5, 6, 10, 0, 0)  # noqa: DTZ001 - cameras know no time zone


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive whose stock book has just the numbers that the folders of its owner hold."""
    with Archive.create(tmp_path / "archive", owner="Ines Tidewell"):
        pass
    rows = "".join(f"HW {n:04d};Piece {n}\n" for n in NUMBERS)
    (tmp_path / "stock.csv").write_text(f"Stock No;Title\n{rows}", encoding="utf-8")
    run(tmp_path, "survey", str(tmp_path / "stock.csv"))
    run(tmp_path, "apply")
    return tmp_path


def run(folder: Path, *words: str) -> Result:
    done = CliRunner().invoke(group, ["--archive", str(folder / "archive"), *words])
    assert done.exit_code in (0, 1), done.output
    return done


class Camera:
    """Writes pictures as a camera does, numbered and timed, each with a look of its own."""

    def __init__(self, root: Path, start: datetime.datetime = WHOLE_DAY) -> None:
        self.root = root
        self.clock = start
        self.count = 417

    def piece(self, folder: str, pictures: int = 3, name: str = "IMG_{:04d}.JPG") -> None:
        """A piece put down: a pause, and then so many pictures of one colour."""
        self.clock += datetime.timedelta(minutes=7)
        for number in range(pictures):
            self.clock += datetime.timedelta(seconds=12)
            self.count += 1
            path = self.root / folder / name.format(self.count)
            path.parent.mkdir(parents=True, exist_ok=True)
            said = self.clock.strftime("%Y:%m:%d %H:%M:%S").encode()
            exif = piexif.dump(
                {"0th": {piexif.ImageIFD.Model: b"Oke 1"},
                 "Exif": {piexif.ExifIFD.DateTimeOriginal: said}}
            )  # fmt: skip
            shade = self.count * 37 % 200
            picture = Image.new("RGB", (64, 48), (shade, 255 - shade, self.count % 256))
            picture.putpixel((number, number), (255, 255, 255))
            picture.save(path, "JPEG", exif=exif)


def taken_in(folder: Path) -> dict[str, list[str]]:
    """The numbers of the records that each photograph shows, by its path, once taken in."""
    run(folder, "survey", str(folder / "old"))
    run(folder, "apply")
    with Archive.open(folder / "archive") as archive:
        names = {r.id: r.name for r in archive.catalogue.all(ObjectRecord)}
        return {
            place.path: [names[d.object] for d in photograph.depictions]
            for photograph in archive.catalogue.all(Photograph)
            for place in occurrences(archive.catalogue, sha256=photograph.sha256)
        }


POISON = (
    "DCIM/102ABCDE", "DCIM/350_PANA", "417CANON", "350 EUR", "ask 1200", "£480", "1.200,-",
    "CHF 417", "card 2006-05", "Site 2009", "Backup 2012", "sold 2011", "2011", "417 pictures",
    "first 350", "lot 417", "page 102", "+44 7700 900417", "Oke, 417 Mill Lane", "Dr Elm 350",
    "480 dpi", "H 417mm", "2006 Lyon", "box 102", "invoice 480",
)  # fmt: skip


def test_no_number_in_the_name_of_a_folder_is_believed_for_being_one(folder: Path) -> None:
    camera = Camera(folder / "old")
    for name in POISON:
        camera.piece(name)
        camera.piece(name)
    shown = taken_in(folder)
    assert len(shown) == 6 * len(POISON)
    assert {path: numbers for path, numbers in shown.items() if numbers} == {}


def test_the_pieces_in_such_folders_are_parted_as_in_any_other(folder: Path) -> None:
    camera = Camera(folder / "old")
    for name in POISON[:8]:
        camera.piece(name)
        camera.piece(name, 4)
    run(folder, "survey", str(folder / "old"))
    said = json.loads(run(folder, "review", "--json").stdout)
    assert sorted(len(group["paths"]) for group in said["groups"]) == [3] * 8 + [4] * 8


def test_the_owners_numbers_link_beside_them_and_within_them(folder: Path) -> None:
    camera = Camera(folder / "old")
    camera.piece("HW 0417/for Marrow 350 EUR")
    camera.piece("sold 2011/hw-480 vase")
    camera.piece("2009/0102 moon jar")
    camera.piece("Backup 2012", 2, "HW 2009 base {}.jpg")
    shown = taken_in(folder)
    assert {tuple(numbers) for numbers in shown.values()} == {
        ("HW 0417",), ("HW 0480",), ("HW 0102",), ("HW 2009",),
    }  # fmt: skip


def test_a_number_that_would_gather_many_pieces_is_not_held_and_that_is_told(folder: Path) -> None:
    camera = Camera(folder / "old")
    for _ in range(4):
        camera.piece("417 Marrow")
    camera.piece("350 moon jar")
    shown = taken_in(folder)
    assert {p.split("/")[0] for p, numbers in shown.items() if numbers} == {"350 moon jar"}
    run(folder, "undo")
    run(folder, "survey", str(folder / "old"))
    items = json.loads(run(folder, "review", "--json").stdout)["items"]
    reasons = {r for i in items if i["what"] == "add photograph" for r in i.get("reasons", [])}
    assert any(
        "not held: folder '417 Marrow' has 417" in reason and "of 4 pieces" in reason
        for reason in reasons
    )


def test_a_typing_slip_is_asked_about_and_taken_only_with_an_answer(folder: Path) -> None:
    Camera(folder / "old").piece("HW O417")
    assert set(map(tuple, taken_in(folder).values())) == {()}
    said = json.loads(run(folder, "review", str(next(
        (folder / "archive/proposals").glob("*old*.json")).name), "--json").stdout)  # fmt: skip
    (question,) = [q for q in said["questions"] if "typing slip" in q["asks"]]
    assert "HW 0417" in question["asks"]
    assert [c["answer"] for c in question["choices"]] == ["Piece 417", "no, another piece"]


def test_sales_and_backups_date_neither_a_photograph_nor_a_piece(folder: Path) -> None:
    for name in ("HW 0417/sold 2011", "HW 0480/Backup 2012", "HW 0350/1750 EUR"):
        path = folder / "old" / name / "a.jpg"
        path.parent.mkdir(parents=True)
        Image.new("RGB", (64, 48), (len(name), 90, 200)).save(path)
    with Archive.open(folder / "archive") as archive:
        before = list(archive.catalogue.all(ObjectRecord))
    taken_in(folder)
    with Archive.open(folder / "archive") as archive:
        assert [p.taken for p in archive.catalogue.all(Photograph)] == [()] * 3
        assert list(archive.catalogue.all(ObjectRecord)) == before


@pytest.mark.parametrize("hour", [0, 3, 17])
def test_a_clock_never_set_makes_nothing_certain_that_it_told(folder: Path, hour: int) -> None:
    camera = Camera(folder / "old", datetime.datetime(2003, 1, 1, hour, 5))  # noqa: DTZ001
    camera.piece("new camera")
    camera.clock += datetime.timedelta(days=20)
    camera.piece("new camera")
    run(folder, "survey", str(folder / "old"))
    said = json.loads(run(folder, "review", "--json").stdout)
    assert {p["taken_certainty"] for p in said["photographs"]} == {"doubtful"}
    (doubt,) = [d for d in said["doubts"] if d["about"] == "taken"]
    assert "2003-01-01" in doubt["says"]
    assert len(doubt["paths"]) == 6
    run(folder, "apply")
    with Archive.open(folder / "archive") as archive:
        believed = [t for p in archive.catalogue.all(Photograph) for t in p.taken if t.preferred]
    assert {t.certainty for t in believed} == {Certainty.DOUBTFUL}


def test_show_why_tells_what_is_held_what_lost_and_what_a_person_said(folder: Path) -> None:
    camera = Camera(folder / "old")
    camera.piece("HW 0350/0417 base", 1, "HW 0350 mouth.jpg")
    for _ in range(4):
        camera.piece("417 Marrow")
    camera.piece("HW 0417")
    taken_in(folder)
    plain = run(folder, "show", "HW 0417", "--why").stdout
    assert "HW 0417/IMG_" in plain
    assert "folder 'HW 0417' has HW 0417" in plain
    assert "not held: folder '417 Marrow' has 417, for the 12 pictures in it" in plain
    said = json.loads(run(folder, "show", "HW 0417", "--why", "--json").stdout)
    lost = {w["path"].split("/")[0]: w for w in said if not w["shown"]}
    assert set(lost) == {"417 Marrow", "HW 0350"}
    held = next(w for w in said if w["shown"])
    run(folder, "edit", "HW 0417", "--view", f"{held['sha256'][:10]}=base")
    again = json.loads(run(folder, "show", "HW 0417", "--why", "--json").stdout)
    mine = next(w for w in again if w["sha256"] == held["sha256"])
    assert "a person says so (edited by hand)" in mine["held"]
    assert "No photograph" in run(folder, "show", "HW 2009", "--why").stdout
