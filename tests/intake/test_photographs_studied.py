"""A folder of photographs from survey to catalogue: copies, groups, times, and going on again."""

from __future__ import annotations

import io
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import piexif
import pytest
from PIL import Image, ImageDraw

from archivist.catalogue.archive import Archive
from archivist.catalogue.undoing import last_undoable, undo
from archivist.digests import digest_file
from archivist.intake.apply import apply
from archivist.intake.pictures.findings import Relation
from archivist.intake.pictures.looks import NAME, Looks
from archivist.intake.proposal import AddPhotograph, KeepFile, TellPhotograph, read_proposal
from archivist.model import Certainty, ObjectRecord, Photograph, View

Look = Callable[..., Any]


DIFFERENT = 4
"""Files in the tree that have bytes of their own."""


def drawn(seed: int) -> Image.Image:
    """A picture that no other seed draws."""
    import random

    chance = random.Random(seed)
    picture = Image.new("RGB", (320, 240), (190, 185, 178))
    pen = ImageDraw.Draw(picture)
    for _ in range(60):
        x, y = chance.uniform(0, 300), chance.uniform(0, 220)
        w, h = chance.uniform(5, 60), chance.uniform(5, 60)
        shade = tuple(chance.randrange(30, 220) for _ in range(3))
        pen.ellipse((x, y, x + w, y + h), fill=shade)
    return picture


def write(path: Path, picture: Image.Image, taken: str = "", quality: int = 92) -> Path:
    """A JPEG, with what a camera writes into it where a time is given."""
    path.parent.mkdir(parents=True, exist_ok=True)
    stream = io.BytesIO()
    exif = b""
    if taken:
        exif = piexif.dump(
            {
                "0th": {piexif.ImageIFD.Make: b"Oke", piexif.ImageIFD.Model: b"Oke 1"},
                "Exif": {piexif.ExifIFD.DateTimeOriginal: taken.encode()},
            }
        )
    picture.save(stream, "JPEG", quality=quality, exif=exif)
    path.write_bytes(stream.getvalue())
    return path


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """Two pieces, one of them twice in smaller copies, and the files that lie about in folders."""
    root = tmp_path / "old photographs"
    write(root / "HW 0401 jug/IMG_1.JPG", drawn(1), "2009:03:14 10:00:00")
    write(root / "HW 0401 jug/foot.jpg", drawn(2), "2009:03:14 10:00:20")
    write(root / "for web/a1b2c3.jpg", drawn(1).resize((160, 120)), quality=70)
    write(root / "HW 0402 dish/IMG_3.JPG", drawn(3), "2009:03:14 10:05:00")
    shutil.copy(root / "HW 0402 dish/IMG_3.JPG", root / "for web/dish.jpg")
    for name in ("Thumbs.db", ".DS_Store"):
        (root / "for web" / name).write_bytes(b"\0" * 64)
    return root


def by_path(archive: Archive, root: Path) -> dict[str, Photograph]:
    photographs = {p.sha256: p for p in archive.catalogue.all(Photograph)}
    found = {}
    for path in sorted(root.rglob("*.*")):
        if path.is_file() and (sha256 := digest_file(path).sha256) in photographs:
            found[path.relative_to(root).as_posix()] = photographs[sha256]
    return found


def test_copies_groups_and_times_stand_in_the_proposal(tree: Path, look: Look) -> None:
    found = look(tree).proposal.found
    assert {p.path for p in found.photographs} == {
        "HW 0401 jug/IMG_1.JPG", "HW 0401 jug/foot.jpg", "for web/a1b2c3.jpg",
        "HW 0402 dish/IMG_3.JPG", "for web/dish.jpg",
    }  # fmt: skip
    same = {s.keeper: [(o.path, o.relation) for o in s.others] for s in found.duplicates}
    assert same == {
        "HW 0401 jug/IMG_1.JPG": [("for web/a1b2c3.jpg", Relation.RESIZED)],
        "HW 0402 dish/IMG_3.JPG": [("for web/dish.jpg", Relation.EXACT)],
    }
    assert [set(g.paths) for g in found.groups] == [
        {"HW 0401 jug/IMG_1.JPG", "HW 0401 jug/foot.jpg", "for web/a1b2c3.jpg"},
        {"HW 0402 dish/IMG_3.JPG", "for web/dish.jpg"},
    ]
    first = found.photographs[0]
    assert (first.taken, first.taken_certainty) == ("2009-03-14T10:00:00", Certainty.CERTAIN)
    views = {p.path: p.view for p in found.photographs}
    assert views["HW 0401 jug/foot.jpg"] is View.FOOT_RIM
    assert views["HW 0401 jug/IMG_1.JPG"] is View.UNKNOWN


def test_a_copy_is_kept_as_derived_and_shows_what_its_original_shows(
    archive: Archive, tree: Path, sheet: Look, take_in: Look
) -> None:
    take_in(sheet([["Stock No", "What it is"], ["HW 0401", "Jug"], ["HW 0402", "Dish"]]))
    take_in(tree)
    shown = by_path(archive, tree)
    original, copy = shown["HW 0401 jug/IMG_1.JPG"], shown["for web/a1b2c3.jpg"]
    assert copy.derived_from == original.sha256
    assert not original.derived_from
    assert [d.object for d in copy.depictions] == [d.object for d in original.depictions]
    assert copy.depictions[0].certainty is not Certainty.CERTAIN


def test_photographs_of_no_record_stay_unassigned_until_a_person_says_yes(
    archive: Archive, tree: Path, look: Look
) -> None:
    told = look(tree)
    question = next(q for q in told.proposal.questions if "Make a record" in q.asks)
    proposal = read_proposal(told.path)
    apply(archive, proposal, told.path.name, "Ines Tidewell")
    assert not list(archive.catalogue.all(ObjectRecord))
    assert all(not p.depictions for p in by_path(archive, tree).values())
    undo(archive.catalogue, last_undoable(archive.catalogue), "Ines Tidewell")
    said = tuple(
        msgspec.structs.replace(q, answer=q.choices[0].answer) if q.key == question.key else q
        for q in proposal.questions
    )
    again = msgspec.structs.replace(proposal, questions=said)
    apply(archive, again, told.path.name, "Ines Tidewell")
    numbers = {r.id: r.stock_number for r in archive.catalogue.all(ObjectRecord)}
    assert sorted(numbers.values()) == ["HW 401", "HW 402"]
    shown = by_path(archive, tree)
    assert numbers[shown["for web/dish.jpg"].depictions[0].object] == "HW 402"
    assert numbers[shown["HW 0401 jug/foot.jpg"].depictions[0].object] == "HW 401"


def test_a_second_survey_of_a_grown_tree_proposes_only_what_is_new(
    archive: Archive, tree: Path, take_in: Look, look: Look
) -> None:
    take_in(tree)
    assert look(tree).path is None
    write(tree / "to print/large.jpg", drawn(2).resize((200, 150)), quality=80)
    told = look(tree)
    items = [i for i in told.proposal.items if isinstance(i, KeepFile | AddPhotograph)]
    assert len(items) == 2
    added = next(i for i in items if isinstance(i, AddPhotograph))
    assert added.path == "to print/large.jpg"
    assert added.photograph.derived_from == digest_file(tree / "HW 0401 jug/foot.jpg").sha256
    new = [p.path for p in told.proposal.photographs if not p.known]
    assert new == ["to print/large.jpg"]


def test_a_better_original_found_later_makes_the_old_one_a_copy(
    archive: Archive, tmp_path: Path, take_in: Look, look: Look
) -> None:
    first, second = tmp_path / "web", tmp_path / "card"
    write(first / "HW 0401.jpg", drawn(1).resize((160, 120)), quality=70)
    take_in(first)
    best = write(second / "DSC_0001.JPG", drawn(1), "2009:03:14 10:00:00")
    told = look(second)
    tell = [i for i in told.proposal.items if isinstance(i, TellPhotograph)]
    assert not tell, "the old file does not lie in this folder"
    assert told.proposal.duplicates[0].keeper == "DSC_0001.JPG"
    assert told.proposal.duplicates[0].sha256 == digest_file(best).sha256


def test_a_survey_that_was_stopped_goes_on_where_it_stopped(
    archive: Archive, tree: Path, look: Look, monkeypatch: pytest.MonkeyPatch
) -> None:
    from archivist.intake.pictures import examine
    from archivist.intake.pictures import look as looking

    decoded: list[str] = []
    real = looking.look_at

    def counted(path: Path, *size: int) -> Any:
        decoded.append(path.name)
        return real(path, *size)

    def stop_soon(amount: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(examine, "look_at", counted)
    with pytest.raises(KeyboardInterrupt):
        look(tree, progress=stop_soon)
    before = len(decoded)
    assert before
    kept = Looks(archive.derivatives)
    known = len(kept.looked())
    kept.close()
    assert known
    look(tree)
    assert known == before, "what was measured when it was stopped is not measured again"
    assert len(decoded) == DIFFERENT
    decoded.clear()
    look(tree)
    assert decoded == []


KILLED = """
import os, signal, sys
from importlib.metadata import EntryPoint
from pathlib import Path
from archivist.catalogue.archive import Archive
from archivist.intake.survey import survey
from archivist.plugins import load_plugins

left = 100

def progress(amount):
    global left
    left -= 1
    if not left:
        os.kill(os.getpid(), signal.SIGKILL)

plugins = load_plugins([EntryPoint("photo-folder", "archivist_plugins.photo_folder", "archivist")])
with Archive.open(Path(sys.argv[1])) as archive:
    survey(archive, [Path(sys.argv[2])], plugins, progress=progress)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="there is no such signal here")
def test_a_survey_that_was_killed_goes_on_where_it_was_last_written(
    archive: Archive, tmp_path: Path, look: Look, monkeypatch: pytest.MonkeyPatch
) -> None:
    from archivist.intake.pictures import examine
    from archivist.intake.pictures import look as looking

    tree = tmp_path / "many"
    for n in range(120):
        write(tree / f"HW {n:04d}/IMG_1.JPG", drawn(n).resize((96, 72)))
    command = [sys.executable, "-c", KILLED, str(archive.folder), str(tree)]
    root = Path(__file__).resolve().parents[2]
    paths = os.pathsep.join(str(root / part) for part in ("", "plugins", "schemas"))
    environment = {**os.environ, "PYTHONPATH": paths}
    done = subprocess.run(command, env=environment, capture_output=True, check=False)
    assert done.returncode == -signal.SIGKILL, done.stderr
    read: list[str] = []
    real = looking.look_at
    monkeypatch.setattr(
        examine, "look_at", lambda path, *size: read.append(path.name) or real(path, *size)
    )
    assert len(look(tree).proposal.photographs) == 120
    assert len(read) <= 120 - 64, "what was written before it was killed is not read again"


def test_what_was_measured_may_be_deleted_or_damaged(
    archive: Archive, tree: Path, look: Look
) -> None:
    first = look(tree).proposal.found
    (archive.derivatives / NAME).write_bytes(b"no database" * 500)
    assert look(tree).proposal.found == first
    (archive.derivatives / NAME).unlink()
    assert look(tree).proposal.found == first


def test_nothing_in_the_tree_is_written_to(tree: Path, look: Look) -> None:
    def state() -> Iterator[tuple[str, int, str]]:
        for path in sorted(tree.rglob("*")):
            digest = digest_file(path).sha256 if path.is_file() else ""
            yield path.name, path.stat().st_mtime_ns, digest

    before = list(state())
    look(tree)
    assert list(state()) == before


def test_a_camera_whose_clock_was_wrong_is_asked_about_once_and_put_right(
    archive: Archive, tmp_path: Path, look: Look
) -> None:
    root = tmp_path / "telephone"
    for n in range(4):
        name = f"20090314_1000{n:02d}.jpg"
        write(root / name, drawn(n), f"2004:03:14 10:00:{n:02d}")
    told = look(root)
    asked = [q for q in told.proposal.questions if q.asks.startswith("The clock")]
    assert len(asked) == 1
    assert "+1826 days" in asked[0].asks
    said = tuple(
        msgspec.structs.replace(q, answer=q.choices[0].answer) if q.key == asked[0].key else q
        for q in told.proposal.questions
    )
    again = msgspec.structs.replace(told.proposal, questions=said)
    apply(archive, again, told.path.name, "Ines Tidewell")
    photograph = by_path(archive, root)["20090314_100002.jpg"]
    preferred = [t for t in photograph.taken if t.preferred]
    assert [t.date.edtf for t in preferred] == ["2009-03-14T10:00:02"]
    assert "put right" in preferred[0].witness
    assert any(t.date.edtf == "2004-03-14T10:00:02" for t in photograph.taken), "nothing is lost"


def test_pictures_of_other_formats_are_looked_at_and_what_is_no_picture_is_kept(
    tree: Path, look: Look
) -> None:
    drawn(1).save(tree / "HW 0401 jug/scan.png")
    drawn(9).save(tree / "HW 0402 dish/pages.tif", save_all=True, append_images=[drawn(10)])
    (tree / "letter.pdf").write_bytes(b"%PDF-1.4\n%%EOF\n")
    (tree / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0 and no more")
    told = look(tree)
    kept = {i.file.path for i in told.proposal.items if isinstance(i, KeepFile)}
    assert {"letter.pdf", "broken.jpg", "HW 0402 dish/pages.tif"} <= kept
    same = next(s for s in told.proposal.duplicates if "scan.png" in s.keeper)
    assert "HW 0401 jug/IMG_1.JPG" in [o.path for o in same.others], "the lossless file is best"
    named = {t.trouble.place for t in told.proposal.troubles}
    assert {"for web/Thumbs.db", "for web/.DS_Store", "broken.jpg"} <= named


def test_what_was_taken_back_is_studied_again(archive: Archive, tree: Path, look: Look) -> None:
    first = look(tree)
    apply(archive, first.proposal, first.path.name, "Ines Tidewell")
    undo(archive.catalogue, last_undoable(archive.catalogue), "Ines Tidewell")
    again = look(tree).proposal
    assert again.found.duplicates == first.proposal.found.duplicates
    assert again.found.groups == first.proposal.found.groups
    assert [q.key for q in again.questions] == [q.key for q in first.proposal.questions]
