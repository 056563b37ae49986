"""Times, clocks and copies put right in the sheet: remembered, and more than any later guess."""

from __future__ import annotations

import csv
import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.catalogue.archive import Archive
from archivist.catalogue.undoing import last_undoable, undo
from archivist.intake.apply import apply
from archivist.intake.contact_sheet import testimony
from archivist.intake.contact_sheet.clocks import offset_in, stated_time
from archivist.intake.contact_sheet.findings import findings_with
from archivist.intake.contact_sheet.layout import ALL_HEADINGS, CAMERA_CLOCK, HEADINGS, Part
from archivist.intake.contact_sheet.listing import listed
from archivist.intake.contact_sheet.writing import HandedBack, hand_back, write_sheet
from archivist.intake.pictures.findings import (
    Copy,
    Findings,
    PictureFile,
    Relation,
    SamePicture,
)
from archivist.intake.pictures.taken import told_offset
from archivist.intake.proposal import read_proposal
from archivist.model import Certainty, Photograph, View
from archivist.plugins import Plugins
from tests.intake.contact_sheet.test_contact_sheet import rows_of, seen
from tests.intake.test_photographs_studied import by_path, drawn, write

Look = Callable[..., Any]
Edits = dict[str, dict[Part, str]]


@pytest.fixture
def stocked(archive: Archive, sheet: Look, take_in: Look) -> Archive:
    take_in(sheet([["Stock No", "What it is"], ["HW 0401", "Jug"], ["HW 0402", "Dish"]]))
    return archive


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """Two pieces by one camera, four photographs each; a smaller copy of one; a stray."""
    root = tmp_path / "card"
    for piece in (1, 2):
        for n in range(4):
            name = f"HW 040{piece}/IMG_{piece}{n}.JPG"
            write(root / name, drawn(10 * piece + n), f"2004:03:14 1{piece}:00:0{n}")
    write(root / "for web/small.jpg", drawn(10).resize((160, 120)), quality=70)
    write(root / "other.jpg", drawn(99))
    return root


def corrected(archive: Archive, path: Path, plugins: Plugins, edits: Edits) -> HandedBack:
    """Writes the sheet of a proposal, edits cells by file, and hands it back."""
    done = write_sheet(archive, read_proposal(path), path)
    rows = rows_of(done.workbook)
    for row in rows:
        for part, words in edits.get(row[HEADINGS[Part.FILE]], {}).items():
            row[HEADINGS[part]] = words
    target = path.parent.parent / "back.csv"
    with target.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.DictWriter(file, ALL_HEADINGS, delimiter=";", lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(rows)
    return hand_back(archive, target, plugins)


def applied(archive: Archive, path: Path | None) -> None:
    assert path is not None
    apply(archive, read_proposal(path), path.name, "Ines Tidewell")


def time_of(photograph: Photograph) -> str:
    return next((t.date.edtf for t in photograph.taken if t.preferred), "")


@pytest.mark.parametrize("before", [True, False], ids=["before applying", "after applying"])
def test_a_cameras_clock_is_put_right_in_one_cell_for_all_that_it_took(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins, before: bool
) -> None:
    path = look(tree).path
    if not before:
        applied(stocked, path)
    back = corrected(
        stocked, path, plugins, {"HW 0401/IMG_10.JPG": {Part.CLOCK: "2009-03-14 11:00"}}
    )
    assert (back.reviewed, back.waited) == (8, before)
    assert back.path is not None
    if before:
        shown = listed(read_proposal(back.path))["photographs"]
        first = next(p for p in shown if p["path"] == "HW 0402/IMG_21.JPG")
        assert (first["taken"], first["taken_certainty"]) == ("2009-03-14T12:00:01", "certain")
        assert first["taken_ground"].startswith("as its owner says")
    applied(stocked, back.path)
    shown_now = by_path(stocked, tree)
    photograph = shown_now["HW 0402/IMG_23.JPG"]
    assert time_of(photograph) == "2009-03-14T12:00:03"
    (right,) = [t for t in photograph.taken if t.preferred]
    assert right.certainty is Certainty.CERTAIN
    assert "put right by +1826 days" in right.witness
    assert any(t.date.edtf == "2004-03-14T12:00:03" for t in photograph.taken), "nothing is lost"
    assert time_of(shown_now["other.jpg"]) == ""
    assert not look(tree).proposal.questions or look(tree).path is None


def test_each_folder_may_have_an_amount_of_its_own(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins
) -> None:
    path = look(tree).path
    back = corrected(
        stocked,
        path,
        plugins,
        {
            "HW 0401/IMG_12.JPG": {Part.CLOCK: "+1826 d"},
            "HW 0402/IMG_20.JPG": {Part.CLOCK: "-1 h"},
            "HW 0402/IMG_21.JPG": {Part.TAKEN: "2008-12"},
        },
    )
    applied(stocked, back.path)
    shown = by_path(stocked, tree)
    assert time_of(shown["HW 0401/IMG_10.JPG"]) == "2009-03-14T11:00:00"
    assert time_of(shown["HW 0402/IMG_23.JPG"]) == "2004-03-14T11:00:03"
    assert time_of(shown["HW 0402/IMG_21.JPG"]) == "2008-12", "its own word goes before"


def test_a_wrong_clock_that_was_put_right_in_the_sheet_is_not_asked_about_again(
    archive: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    root = tmp_path / "telephone"
    for n in range(4):
        write(root / f"20090314_1000{n:02d}.jpg", drawn(n), f"2004:03:14 10:00:{n:02d}")
    path = look(root).path
    back = corrected(archive, path, plugins, {"20090314_100000.jpg": {Part.CLOCK: "right"}})
    applied(archive, back.path)
    assert time_of(by_path(archive, root)["20090314_100002.jpg"]) == "2004-03-14T10:00:02"
    write(root / "20090314_100009.jpg", drawn(9), "2004:03:14 10:00:09")
    told = look(root)
    assert not [q for q in told.proposal.questions if q.asks.startswith("The clock")]
    again = {p.path: p for p in told.proposal.photographs}
    assert again["20090314_100002.jpg"].taken == "2004-03-14T10:00:02"


def test_what_is_no_copy_is_said_once_and_never_guessed_again(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins
) -> None:
    path = look(tree).path
    proposal = read_proposal(path)
    assert [s.keeper for s in proposal.duplicates] == ["HW 0401/IMG_10.JPG"]
    back = corrected(stocked, path, plugins, {"for web/small.jpg": {Part.COPY: ""}})
    assert back.path is not None
    assert not read_proposal(back.path).duplicates
    applied(stocked, back.path)
    assert not by_path(stocked, tree)["for web/small.jpg"].derived_from
    write(tree / "HW 0401/new.jpg", drawn(50))
    told = look(tree)
    assert not told.proposal.duplicates
    applied(stocked, told.path)
    assert not by_path(stocked, tree)["for web/small.jpg"].derived_from
    undo(stocked.catalogue, last_undoable(stocked.catalogue), "Ines Tidewell")


def test_a_copy_that_was_not_seen_is_named_by_its_original(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins
) -> None:
    path = look(tree).path
    back = corrected(stocked, path, plugins, {"other.jpg": {Part.COPY: "HW 0402/IMG_20.JPG"}})
    assert back.path is not None
    said = {s.keeper: s for s in read_proposal(back.path).duplicates}
    (copy,) = said["HW 0402/IMG_20.JPG"].others
    assert (copy.path, copy.reasons) == ("other.jpg", ("as its owner says",))
    applied(stocked, back.path)
    shown = by_path(stocked, tree)
    assert shown["other.jpg"].derived_from == shown["HW 0402/IMG_20.JPG"].sha256
    done = write_sheet(stocked, read_proposal(back.path), back.path)
    row = next(r for r in rows_of(done.workbook) if r[HEADINGS[Part.FILE]] == "other.jpg")
    assert row[HEADINGS[Part.COPY]] == "HW 0402/IMG_20.JPG"
    figures = {f["File"]: f for f in seen(*done.pages).figures}
    assert figures["other.jpg"]["Copy of"] == "HW 0402/IMG_20.JPG"
    assert figures["HW 0401/IMG_10.JPG"][CAMERA_CLOCK] == "2004-03-14T11:00:00"


@pytest.mark.parametrize("before", [True, False], ids=["before applying", "after applying"])
def test_the_other_of_two_can_be_said_to_be_the_original(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins, before: bool
) -> None:
    path = look(tree).path
    if not before:
        applied(stocked, path)
    edits: Edits = {"HW 0401/IMG_10.JPG": {Part.COPY: "for web/small.jpg"}}
    back = corrected(stocked, path, plugins, edits)
    assert back.path is not None
    if before:
        (same,) = read_proposal(back.path).duplicates
        assert (same.keeper, [o.path for o in same.others]) == (
            "for web/small.jpg",
            ["HW 0401/IMG_10.JPG"],
        )
    applied(stocked, back.path)
    shown = by_path(stocked, tree)
    assert not shown["for web/small.jpg"].derived_from
    assert shown["HW 0401/IMG_10.JPG"].derived_from == shown["for web/small.jpg"].sha256


def test_what_is_taken_in_later_is_corrected_by_words_that_waited(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins
) -> None:
    path = look(tree).path
    edits: Edits = {
        "for web/small.jpg": {Part.COPY: "no"},
        "HW 0401/IMG_11.JPG": {Part.CLOCK: "+1826 d"},
    }
    corrected(stocked, path, plugins, edits)
    applied(stocked, path)
    for _ in range(2):
        shown = by_path(stocked, tree)
        assert time_of(shown["HW 0402/IMG_20.JPG"]) == "2009-03-14T12:00:00"
        assert not shown["for web/small.jpg"].derived_from
        undo(stocked.catalogue, last_undoable(stocked.catalogue), "Ines Tidewell")
        assert not by_path(stocked, tree) or all(
            p.withdrawn for p in by_path(stocked, tree).values()
        )
        applied(stocked, path)


@pytest.mark.parametrize(
    ("part", "words", "says"),
    [
        (Part.CLOCK, "a while", "no amount of time"),
        (Part.TAKEN, "the other day", "is no time"),
        (Part.TAKEN, "", "is no time"),
        (Part.COPY, "nowhere.jpg", "names no other photographs"),
    ],
)
def test_what_cannot_be_followed_is_told(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins, part: Part, words: str, says: str
) -> None:
    back = corrected(stocked, look(tree).path, plugins, {"HW 0401/IMG_10.JPG": {part: words}})
    assert any(says in t.trouble.reason for t in back.handed.troubles)
    assert not back.reviewed


def test_a_piece_can_be_said_of_a_whole_folder_and_the_views_stay(
    stocked: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    root = tmp_path / "old"
    for n, name in enumerate(("IMG_1.JPG", "foot.jpg", "IMG_3.JPG")):
        write(root / "blue vase" / name, drawn(n))
    write(root / "elsewhere/x.jpg", drawn(7))
    path = look(root).path
    edits: Edits = {"blue vase/IMG_1.JPG": {Part.PIECE: "HW 0401", Part.LIKE: "folder"}}
    back = corrected(stocked, path, plugins, edits)
    applied(stocked, back.path)
    shown = by_path(stocked, root)
    depicted = {p: shown[p].depictions for p in shown}
    assert {p for p, d in depicted.items() if d} == {
        "blue vase/IMG_1.JPG", "blue vase/foot.jpg", "blue vase/IMG_3.JPG",
    }  # fmt: skip
    (foot,) = depicted["blue vase/foot.jpg"]
    assert (foot.view, foot.certainty) == (View.FOOT_RIM, Certainty.PROBABLE)
    assert not foot.reviewed, "of which piece it is, was said; not which view"
    assert "the piece of its folder" in foot.ground
    assert depicted["blue vase/IMG_1.JPG"][0].certainty is Certainty.CERTAIN


def test_that_the_last_of_each_folder_shows_no_piece_is_said_once(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins
) -> None:
    path = look(tree).path
    edits: Edits = {"HW 0401/IMG_13.JPG": {Part.SHOWS: "no", Part.LIKE: "yes"}}
    back = corrected(stocked, path, plugins, edits)
    applied(stocked, back.path)
    shown = by_path(stocked, tree)
    for name in ("HW 0401/IMG_13.JPG", "HW 0402/IMG_23.JPG"):
        assert {d.certainty for d in shown[name].depictions} == {Certainty.REJECTED}
    assert shown["HW 0402/IMG_22.JPG"].depictions[0].certainty is not Certainty.REJECTED


@pytest.mark.parametrize(
    ("words", "clock", "seconds"),
    [
        ("+1 h", "", 3600),
        ("-12:30", "", -45000),
        ("1826 days", "", 1826 * 86400),
        ("+1 d 2 h 3 min 4 s", "", 93784),
        ("\u22121 h", "", -3600),
        ("right", "", 0),
        ("2009-03-14 11:00", "2004-03-14T11:00:00", 1826 * 86400),
        ("14.3.2009 11:00", "2009-03-14T12:00:00", -3600),
        ("2009-03-14", "2004-03-14T11:00:00", None),
        ("+1 parsec", "", None),
        ("later", "", None),
    ],
)
def test_amounts_of_time_are_read_as_people_write_them(
    words: str, clock: str, seconds: int | None
) -> None:
    assert offset_in(words, clock) == seconds


@pytest.mark.parametrize(
    ("words", "edtf"),
    [
        ("2009-03-14 10:11", "2009-03-14T10:11:00"),
        ("2009-03-14T10:11:12", "2009-03-14T10:11:12"),
        ("14.3.2009", "2009-03-14"),
        ("2009-03", "2009-03"),
        ("1987?", "1987?"),
        ("31.2.2009", ""),
        ("spring", ""),
    ],
)
def test_times_are_read_as_people_write_them(words: str, edtf: str) -> None:
    taken = stated_time(words)
    assert (taken.date.edtf if taken else "") == edtf


def test_questions_no_longer_ask_of_photographs_that_were_spoken_of(
    stocked: Archive, tmp_path: Path, look: Look, plugins: Plugins
) -> None:
    root = tmp_path / "old"
    for n in range(3):
        write(root / "blue vase" / f"IMG_{n}.JPG", drawn(n))
        write(
            root / "green jar" / f"20090314_1000{n:02d}.jpg", drawn(9 + n), f"2004:03:14 10:00:0{n}"
        )
    path = look(root).path
    asked = {q.key.split("\n")[0]: q for q in read_proposal(path).questions}
    assert asked["new records"].asks.startswith("2 groups")
    edits: Edits = {
        "blue vase/IMG_0.JPG": {Part.PIECE: "HW 0401", Part.LIKE: "folder"},
        "blue vase/IMG_1.JPG": {Part.VIEW: "base"},
        "green jar/20090314_100001.jpg": {Part.CLOCK: "+1826 d"},
    }
    back = corrected(stocked, path, plugins, edits)
    assert back.path is not None
    left = {q.key.split("\n")[0]: q for q in read_proposal(back.path).questions}
    assert left.keys() == {"new records"}, "the clock is not asked about any more"
    assert left["new records"].asks.startswith("1 group ")
    assert "green jar" in left["new records"].about
    applied(stocked, back.path)
    shown = by_path(stocked, root)
    (base,) = shown["blue vase/IMG_1.JPG"].depictions
    assert (base.view, base.certainty) == (View.BASE, Certainty.CERTAIN)
    assert shown["blue vase/IMG_2.JPG"].depictions


def test_scripts_are_told_views_and_groups_as_their_owner_says(
    stocked: Archive, tree: Path, look: Look, plugins: Plugins
) -> None:
    path = look(tree).path
    edits: Edits = {
        "HW 0401/IMG_11.JPG": {Part.PIECE: "HW 0402", Part.VIEW: "base"},
        "HW 0401/IMG_12.JPG": {Part.PIECE: ""},
        "other.jpg": {Part.PIECE: "HW 0401"},
    }
    back = corrected(stocked, path, plugins, edits)
    assert back.path is not None

    def told(proposal: Any) -> dict[str, Any]:
        shown = listed(proposal)
        view = {p["path"]: (p["view"], p["view_ground"]) for p in shown["photographs"]}
        assert view["HW 0401/IMG_11.JPG"] == ("base", "as its owner says")
        return {g["name"]: set(g["paths"]) for g in shown["groups"] if g["object"]}

    groups = told(read_proposal(back.path))
    assert groups["HW 0401"] == {
        "HW 0401/IMG_10.JPG", "HW 0401/IMG_13.JPG", "for web/small.jpg", "other.jpg",
    }  # fmt: skip
    assert groups["HW 0402"] == {f"HW 0402/IMG_2{n}.JPG" for n in range(4)} | {"HW 0401/IMG_11.JPG"}
    applied(stocked, back.path)
    write(tree / "HW 0401/new.jpg", drawn(50))
    write(tree / "HW 0402/new.jpg", drawn(51))
    again = told(look(tree).proposal)
    assert again["HW 0401"] == groups["HW 0401"] | {"HW 0401/new.jpg"}
    assert again["HW 0402"] == groups["HW 0402"] | {"HW 0402/new.jpg"}


@given(st.integers(-(10**8), 10**8))
def test_an_amount_is_read_as_it_is_told(seconds: int) -> None:
    told = told_offset(datetime.timedelta(seconds=seconds))
    assert offset_in(told, "") == seconds


PICTURES = "abcdef"


@given(
    st.lists(st.lists(st.sampled_from(PICTURES), min_size=2, max_size=3, unique=True), max_size=3),
    st.dictionaries(st.sampled_from(PICTURES), st.sampled_from(["", *PICTURES]), max_size=5),
)
def test_whatever_is_said_of_copies_each_picture_stands_once_and_none_for_itself(
    same: list[list[str]], said: dict[str, str]
) -> None:
    taken: set[str] = set()
    clusters = [c for c in same if not taken & set(c) and not taken.update(c)]
    copies = {one: other for one, other in said.items() if one != other}
    found = Findings(
        photographs=tuple(PictureFile(path=p, source="s", sha256=p) for p in PICTURES),
        duplicates=tuple(
            SamePicture(
                source="s",
                keeper=keeper,
                sha256=keeper,
                others=tuple(Copy(path=p, sha256=p, relation=Relation.RESIZED) for p in others),
            )
            for keeper, *others in clusters
        ),
    )
    testimonies = {one: testimony.Testimony(copy_of=other) for one, other in copies.items()}
    put_right = findings_with(found, testimonies).duplicates
    named = [path for s in put_right for path in (s.keeper, *(o.path for o in s.others))]
    assert len(named) == len(set(named))
    for one, other in copies.items():
        home = {
            path: s.sha256 for s in put_right for path in (s.keeper, *(o.path for o in s.others))
        }
        if not other:
            assert all(one not in [o.path for o in s.others] for s in put_right)
        elif copies.get(other) != one:
            assert home.get(one) is not None
