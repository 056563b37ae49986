"""Photographs are matched to records by their names, kept whatever they are, and never doubled."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import occurrences, originals
from archivist.catalogue.undoing import last_undoable, undo
from archivist.digests import digest_file
from archivist.intake.apply import apply
from archivist.model import Certainty, ObjectRecord, Photograph, View

ROWS = [
    ["Stock No", "What it is"],
    ["HW 0401", "Stoneware jug"],
    ["HW 0402", "Delft charger"],
    ["HW 0403", "Tea bowl"],
    ["HW 0424", "Bowl, Karatsu"],
    ["HW 0424", "Plate, delft"],
]

Look = Callable[..., Any]


@pytest.fixture
def stocked(archive: Archive, sheet: Look, take_in: Look) -> Archive:
    """An archive with a few records."""
    take_in(sheet(ROWS))
    return archive


def shown(archive: Archive) -> dict[str, list[tuple[str, View]]]:
    """For each path what the photograph found there shows."""
    result: dict[str, list[tuple[str, View]]] = {}
    for photograph in archive.catalogue.all(Photograph):
        for place in occurrences(archive.catalogue, photograph.sha256):
            result[place.path] = [
                (record.stock_number + " " + record.title.split()[0], d.view)
                for d in photograph.depictions
                if (record := archive.catalogue.get(d.object, ObjectRecord))
            ]
    return result


def test_photographs_find_their_records_by_folder_by_name_and_by_caption(
    stocked: Archive, tmp_path: Path, picture: Look, take_in: Look
) -> None:
    source = tmp_path / "pictures"
    for name in (
        "HW 0401/front.jpg",
        "HW 0401/IMG_0402.jpg",
        "2009/hw-402_foot rim.jpg",
        "0403 mark.jpg",
        "loose/IMG_1.jpg",
        "loose/IMG_2.jpg",
    ):
        picture(source / name)
    (source / "loose/IMG_1.txt").write_text("crack in HW 0403", encoding="utf-8")
    done = take_in(source)
    assert (done.photographs, done.files) == (6, 7)
    assert shown(stocked) == {
        "HW 0401/front.jpg": [("HW 0401 Stoneware", View.OVERALL)],
        "HW 0401/IMG_0402.jpg": [("HW 0401 Stoneware", View.UNKNOWN)],
        "2009/hw-402_foot rim.jpg": [("HW 0402 Delft", View.FOOT_RIM)],
        "0403 mark.jpg": [("HW 0403 Tea", View.MARK)],
        "loose/IMG_1.jpg": [("HW 0403 Tea", View.DAMAGE)],
        "loose/IMG_2.jpg": [],
    }
    (unassigned,) = stocked.catalogue.unassigned_photographs()
    assert digest_file(source / "loose/IMG_2.jpg").sha256 == unassigned.sha256


def test_records_and_photographs_taken_in_together_find_each_other(
    archive: Archive, sheet: Look, picture: Look, take_in: Look, tmp_path: Path
) -> None:
    source = tmp_path / "all"
    picture(source / "HW 0401/front.jpg")
    sheet(ROWS).rename(source / "stock.xlsx")
    take_in(source)
    assert archive.catalogue.count("object") == 5
    assert shown(archive) == {"HW 0401/front.jpg": [("HW 0401 Stoneware", View.OVERALL)]}


def test_copies_of_one_picture_are_one_photograph_with_many_places(
    stocked: Archive, tmp_path: Path, picture: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    first = picture(source / "HW 0401/front.jpg")
    (source / "for web").mkdir()
    (source / "for web/copy.jpg").write_bytes(first.read_bytes())
    told = look(source)
    copied: list[int] = []
    done = apply(stocked, told.proposal, told.path.name, "Ines", copied.append)
    assert (done.photographs, done.files) == (1, 1)
    assert sum(copied) == first.stat().st_size, "its bytes are copied once"
    (photograph,) = stocked.catalogue.all(Photograph)
    places = occurrences(stocked.catalogue, photograph.sha256)
    assert [p.path for p in places] == ["HW 0401/front.jpg", "for web/copy.jpg"]
    assert len(photograph.depictions) == 1


def test_a_second_survey_proposes_only_what_is_new(
    stocked: Archive, tmp_path: Path, picture: Look, take_in: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    first = picture(source / "HW 0401/front.jpg")
    take_in(source)
    assert look(source).path is None
    (source / "again.jpg").write_bytes(first.read_bytes())
    picture(source / "HW 0402/back.jpg")
    done = take_in(source)
    assert (done.photographs, done.files) == (1, 1)
    assert look(source).path is None
    assert look(source / "HW 0402").path is None, "a part of a known tree is known"


def test_files_that_did_not_change_are_not_read_again(
    stocked: Archive,
    tmp_path: Path,
    picture: Look,
    take_in: Look,
    look: Look,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0401/front.jpg")
    take_in(source)
    read: list[Path] = []
    monkeypatch.setattr(
        "archivist.intake.files.sha256_of",
        lambda path: read.append(path) or digest_file(path).sha256,
    )
    look(source)
    assert read == []
    picture(source / "HW 0402/back.jpg")
    look(source)
    assert read == [source / "HW 0402/back.jpg"]


def test_a_group_photograph_shows_each_piece_and_asks_where(
    stocked: Archive, tmp_path: Path, picture: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    picture(source / "group 0401 0402 0403.jpg")
    told = look(source)
    (item,) = [i for i in told.proposal.items if hasattr(i, "photograph")]
    assert [d.view for d in item.photograph.depictions] == [View.GROUP] * 3
    assert item.certainty is Certainty.PROBABLE
    (question,) = told.proposal.questions
    assert "Where in it is each" in question.asks


def answered(proposal: Any, answer: str, number: int = 0) -> Any:
    questions = list(proposal.questions)
    questions[number] = msgspec.structs.replace(questions[number], answer=answer)
    return msgspec.structs.replace(proposal, questions=tuple(questions))


def test_a_number_that_two_records_bear_is_asked_about_unless_words_tell(
    stocked: Archive, tmp_path: Path, picture: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0424/one.jpg")
    picture(source / "HW 0424 plate/two.jpg")
    told = look(source)
    (question,) = told.proposal.questions
    assert {c.answer for c in question.choices} == {"Bowl, Karatsu", "Plate, delft"}
    apply(stocked, answered(told.proposal, "Bowl, Karatsu"), told.path.name, "Ines")
    assert shown(stocked) == {
        "HW 0424/one.jpg": [("HW 0424 Bowl,", View.UNKNOWN)],
        "HW 0424 plate/two.jpg": [("HW 0424 Plate,", View.UNKNOWN)],
    }


def test_an_answer_given_after_applying_is_done_when_applied_again(
    stocked: Archive, tmp_path: Path, picture: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0424/one.jpg")
    told = look(source)
    apply(stocked, told.proposal, told.path.name, "Ines")
    assert shown(stocked) == {"HW 0424/one.jpg": []}
    done = apply(stocked, answered(told.proposal, "Plate, delft"), told.path.name, "Ines")
    assert (done.changed, done.photographs) == (1, 0)
    assert shown(stocked) == {"HW 0424/one.jpg": [("HW 0424 Plate,", View.UNKNOWN)]}


def test_the_first_of_each_series_is_overall_only_when_a_person_says_so(
    stocked: Archive, tmp_path: Path, picture: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    for number in ("0401", "0402", "0403"):
        for name in ("IMG_9.jpg", "IMG_10.jpg"):
            picture(source / f"HW {number}" / name)
    told = look(source)
    assert "the overall view?" in told.proposal.questions[0].asks
    apply(stocked, told.proposal, told.path.name, "Ines")
    assert {view for views in shown(stocked).values() for _, view in views} == {View.UNKNOWN}
    apply(stocked, answered(told.proposal, "yes"), told.path.name, "Ines")
    views = {path: [v for _, v in pairs] for path, pairs in shown(stocked).items()}
    assert views["HW 0401/IMG_9.jpg"] == [View.OVERALL], "9 comes before 10"
    assert views["HW 0401/IMG_10.jpg"] == [View.UNKNOWN]


BAD = {
    "empty.jpg": b"",
    "text.jpg": b"these are words and no picture",
    "cut.jpg": b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01",
    "zeros.tif": bytes(2000),
}


def test_what_is_no_picture_although_its_name_says_so_is_kept_and_named(
    stocked: Archive, tmp_path: Path, picture: Look, take_in: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0401/front.jpg")
    for name, content in BAD.items():
        (source / name).write_bytes(content)
    (source / "invoice.pdf").write_bytes(b"%PDF-1.7 nothing much")
    told = look(source)
    named = {t.trouble.place for t in told.proposal.troubles}
    assert named == {*BAD, "invoice.pdf"}
    assert {t.trouble.place for t in told.proposal.troubles if not t.trouble.harmless} == set(BAD)
    take_in(source)
    kept = {o.sha256 for o in originals(stocked.catalogue)}
    assert {digest_file(source / name).sha256 for name in (*BAD, "invoice.pdf")} <= kept
    assert "HW 0401/front.jpg" in shown(stocked)
    assert look(source).path is None


def test_a_picture_cut_short_is_a_photograph_that_says_why_it_cannot_be_shown(
    stocked: Archive, tmp_path: Path, take_in: Look
) -> None:
    source = tmp_path / "pictures"
    source.mkdir()
    (source / "HW 0401.jpg").write_bytes(BAD["cut.jpg"])
    take_in(source)
    (photograph,) = stocked.catalogue.all(Photograph)
    assert photograph.undecodable
    assert (photograph.width, len(photograph.depictions)) == (0, 1)


@pytest.mark.skipif(sys.platform != "linux", reason="other systems fold or refuse such names")
def test_names_of_every_kind_are_taken_in_and_known_again(
    stocked: Archive, tmp_path: Path, picture: Look, take_in: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    names = [
        "cafe\u0301.jpg",
        "caf\u00e9.jpg",
        "A.jpg",
        "a.jpg",
        "con.jpg",
        'q"<>|?*.jpg',
        "x" * 251,
    ]
    for name in names:
        picture(source / (name if name.endswith(".jpg") else f"{name}.jpg"))
    content = picture(tmp_path / "other.jpg").read_bytes()
    with open(os.path.join(os.fsencode(source), b"0401 caf\xe9.jpg"), "wb") as file:  # noqa: PTH118, PTH123
        file.write(content)
    done = take_in(source)
    assert (done.photographs, done.failures) == (8, [])
    raw = next(p for p in occurrences(stocked.catalogue) if p.path_bytes)
    assert raw.path == "0401 caf\ufffd.jpg"
    assert shown(stocked)[raw.path] == [("HW 0401 Stoneware", View.UNKNOWN)]
    assert look(source).path is None


def test_what_was_undone_comes_back_once(
    stocked: Archive, tmp_path: Path, picture: Look, take_in: Look
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0401/front.jpg")
    take_in(source)
    (first,) = stocked.catalogue.all(Photograph)
    undo(stocked.catalogue, last_undoable(stocked.catalogue), "Ines")
    assert stocked.catalogue.count("photograph") == 0
    done = take_in(source)
    assert (done.photographs, done.files) == (1, 0)
    assert list(stocked.catalogue.all(Photograph)) == [first]


def test_a_photograph_its_owner_withdrew_stays_withdrawn(
    stocked: Archive, tmp_path: Path, picture: Look, take_in: Look, look: Look
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0401/front.jpg")
    take_in(source)
    (photograph,) = stocked.catalogue.all(Photograph)
    with stocked.catalogue.action("edit", "Ines") as action:
        action.save(msgspec.structs.replace(photograph, withdrawn=True))
    assert look(source).path is None


def test_photographs_taken_in_before_their_records_are_linked_when_these_come(
    archive: Archive, sheet: Look, picture: Look, take_in: Look, tmp_path: Path
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0401/front.jpg")
    take_in(source)
    assert shown(archive) == {"HW 0401/front.jpg": []}
    take_in(sheet(ROWS))
    take_in(source)
    assert shown(archive) == {"HW 0401/front.jpg": [("HW 0401 Stoneware", View.OVERALL)]}


def test_nothing_is_written_to_the_source(
    stocked: Archive, tmp_path: Path, picture: Look, take_in: Look
) -> None:
    source = tmp_path / "pictures"
    picture(source / "HW 0401/front.jpg")
    before = {p: (p.stat().st_mtime_ns, p.stat().st_mode) for p in source.rglob("*")}
    take_in(source)
    assert {p: (p.stat().st_mtime_ns, p.stat().st_mode) for p in source.rglob("*")} == before
