"""Records are added and edited by hand, by the same words as a spreadsheet, and taken back."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from archivist.catalogue.archive import Archive
from archivist.cli.main import group
from archivist.model import Aspect, Certainty, ObjectRecord, RelationKind


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "an archive"
    Archive.create(place, owner="Ines Tidewell").catalogue.close()
    run(place, "add", "T 1", "--set", "title=Jug, salt glaze", "--set", "date made=c. 1690")
    return place


def run(folder: Path, *words: str, status: int = 0) -> Result:
    done = CliRunner().invoke(group, ["-a", str(folder), *words])
    assert done.exit_code == status, done.output
    return done


def record(folder: Path, number: str = "T 1") -> ObjectRecord:
    with Archive.open(folder) as archive:
        return archive.catalogue.object_named(number)


def test_an_added_record_is_read_as_a_row_of_a_spreadsheet_is(folder: Path) -> None:
    added = record(folder)
    assert added.title == "Jug, salt glaze"
    assert added.date is not None
    assert (added.date.earliest, added.date.latest) == (1685, 1695)


def test_a_number_that_is_borne_already_is_not_added_again(folder: Path) -> None:
    assert "is borne by" in run(folder, "add", "T 1", status=1).output


def test_words_are_put_in_place_and_undo_brings_the_old_ones_back(folder: Path) -> None:
    run(folder, "edit", "T 1", "--set", "date=18th century", "--why", "the foot")
    changed = record(folder).date
    assert changed is not None
    assert changed.earliest == 1700
    run(folder, "undo")
    back = record(folder).date
    assert back is not None
    assert back.earliest == 1685


def test_an_opinion_is_added_and_the_one_that_stood_still_stands(folder: Path) -> None:
    run(folder, "edit", "T 1", "--add", "date=19th century")
    dates = [a.as_stated for a in record(folder).attributions if a.date is not None]
    assert dates == ["c. 1690", "19th century"]
    assert record(folder).date == record(folder).attributions[0].date


def test_a_heading_that_is_none_is_told_with_those_there_are(folder: Path) -> None:
    said = run(folder, "edit", "T 1", "--set", "titel=Mug", status=1).output
    assert "'titel' is not a heading" in said
    assert "Title" in said


def test_a_piece_to_be_compared_with_is_said_once(folder: Path) -> None:
    run(folder, "add", "T 2", "--set", "title=Mug")
    for _ in range(2):
        run(folder, "edit", "T 1", "--compare", "T 2")
    (relation,) = record(folder).relations
    assert relation.kind is RelationKind.COMPARE
    assert relation.object == record(folder, "T 2").id


def test_a_whole_record_goes_out_as_json_and_comes_back(folder: Path, tmp_path: Path) -> None:
    shown = json.loads(run(folder, "show", "T 1", "--json").output)
    shown["record"]["titles"][0]["value"] = "Jug"
    file = tmp_path / "record.json"
    file.write_text(json.dumps(shown), encoding="utf-8")
    run(folder, "edit", "T 1", "--json", str(file))
    assert record(folder).title == "Jug"
    file.write_text('{"id": "another"}', encoding="utf-8")
    assert "not of" in run(folder, "edit", "T 1", "--json", str(file), status=1).output


@pytest.mark.skipif(sys.platform == "win32", reason="the editor here is a shell script")
def test_the_owners_own_editor_changes_a_line(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    editor = tmp_path / "editor"
    editor.write_text(
        f"#!{sys.executable}\nimport sys, pathlib\np = pathlib.Path(sys.argv[1])\n"
        "p.write_text(p.read_text(encoding='utf-8').replace('Jug, salt', 'Tankard, salt'),"
        " encoding='utf-8')\nimport os, time\n"
        "os.utime(p, (time.time() + 5, time.time() + 5))\n",
        encoding="utf-8",
    )
    editor.chmod(editor.stat().st_mode | stat.S_IEXEC)
    monkeypatch.setenv("EDITOR", str(editor))
    monkeypatch.delenv("VISUAL", raising=False)
    assert os.environ["EDITOR"] == str(editor)
    run(folder, "edit", "T 1")
    assert record(folder).title == "Tankard, salt glaze"


@pytest.mark.parametrize(
    ("given", "written"),
    [("date=banana", "18th century"), ("size=rather large", "16 cm"), ("period=blue", "Edo")],
)
def test_words_that_are_no_date_or_size_are_refused_and_what_stood_stays(
    folder: Path, given: str, written: str
) -> None:
    before = record(folder)
    said = run(folder, "edit", "T 1", "--set", given, status=1).output
    assert "nothing was changed" in said
    assert written in said
    assert record(folder) == before


def test_one_heading_given_twice_has_both_lines(folder: Path) -> None:
    run(folder, "edit", "T 1", "--add", "notes=one", "--add", "notes=two", "--add", "Notes=three")
    assert [note.as_stated for note in record(folder).notes] == ["one", "two", "three"]
    run(folder, "edit", "T 1", "--set", "notes=four", "--set", "notes=five")
    assert [note.as_stated for note in record(folder).notes] == ["four", "five"]


def test_an_opinion_is_written_with_its_holder_ground_and_date_and_is_not_held(
    folder: Path,
) -> None:
    line = "opinion=Dr Tolling: date: c. 1900; ground: the foot; said: 1998"
    run(folder, "edit", "T 1", "--add", line)
    changed = record(folder)
    opinion = changed.attributions[-1]
    assert (opinion.ground, opinion.said, opinion.as_stated) == ("the foot", "1998", "c. 1900")
    assert opinion.who
    assert changed.date == changed.attributions[0].date
    assert "Dr Tolling" in run(folder, "show", "T 1").output


def test_a_rejected_opinion_is_held_by_nobody(folder: Path) -> None:
    run(folder, "edit", "T 1", "--add", "period=Edo")
    run(folder, "edit", "T 1", "--add", "opinion=period: not Edo; ground: the clay")
    changed = record(folder)
    assert changed.preferred(Aspect.PERIOD) is None
    assert changed.attributions[-1].certainty is Certainty.REJECTED
    assert "not held to be Edo" in run(folder, "show", "T 1").output


def test_an_opinion_that_does_not_say_what_it_is_about_is_told_how_to_write_it(
    folder: Path,
) -> None:
    said = run(folder, "edit", "T 1", "--add", "opinion=Tolling thinks it nice", status=1).output
    assert "HOLDER: ASPECT: WORDS" in said


def test_literature_exhibitions_comparable_pieces_and_a_pair_have_headings(folder: Path) -> None:
    run(folder, "add", "T 2", "--set", "title=Mug")
    run(
        *(folder, "edit", "T 1", "--add", "literature=A. Voss, Plain jugs, 1985, p. 14"),
        *("--add", "exhibition=Jugs, Marrowgate, 1990, no. 27", "--add", "comparable=T 2"),
        *("--add", "pair=the other at Tolling Hall"),
    )
    changed = record(folder)
    assert [(c.kind.value, c.as_stated) for c in changed.citations] == [
        ("literature", "A. Voss, Plain jugs, 1985, p. 14"),
        ("exhibition", "Jugs, Marrowgate, 1990, no. 27"),
    ]
    assert [(r.kind.value, bool(r.object)) for r in changed.relations] == [
        ("compare", True),
        ("pair with", False),
    ]
    run(folder, "edit", "T 1", "--set", "literature=")
    assert [c.kind.value for c in record(folder).citations] == ["exhibition"]


def test_what_is_held_what_others_hold_and_what_is_rejected_stand_apart(folder: Path) -> None:
    run(
        *(folder, "edit", "T 1", "--add", "date=17th century", "--add", "size=16 cm"),
        *("--add", "opinion=Dr Tolling: date: 1750", "--add", "opinion=kiln: not Marrowgate"),
    )
    shown = run(folder, "show", "T 1").output
    held, _, beside = shown.partition("What agrees with it, and what others hold")
    others, _, rejected = beside.partition("What is not so")
    assert "c. 1690" in held
    assert "1750" not in held
    assert "date: 17th century" in others
    assert "1750" in others
    assert "according to Dr Tolling" in others
    assert "Marrowgate" not in held + others
    assert "kiln: not held to be Marrowgate" in rejected
    assert "size 16 cm" not in shown.casefold()


def test_a_list_tells_the_years_in_which_several_dates_agree(folder: Path) -> None:
    run(folder, "add", "T 3", "--set", "date made=1640-1680", "--set", "date=1660-1720")
    assert "1660–1680" in run(folder, "show").output


def test_a_piece_is_not_found_by_a_date_that_another_holds_or_that_is_rejected(
    folder: Path,
) -> None:
    run(
        *(folder, "edit", "T 1", "--add", "opinion=Dr Tolling: date: 1500-1550"),
        *("--add", "opinion=date: not 1300-1350"),
    )
    for command in ("show", "find"):
        for made, there in (("1500/1550", False), ("1300/1350", False), ("1690", True)):
            output = run(folder, command, "--made", made).output
            assert ("Jug" in output) is there, (command, made)


def test_edits_at_once_leave_none_out(folder: Path) -> None:
    def edit(number: int) -> int:
        words = ("-a", str(folder), "edit", "T 1", "--add", f"notes=note {number}")
        return subprocess.run(
            [sys.executable, "-c", "from archivist.cli.main import main; main()", *words],
            check=False,
            capture_output=True,
        ).returncode

    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(edit, range(4))) == [0, 0, 0, 0]
    assert {note.as_stated for note in record(folder).notes} == {f"note {n}" for n in range(4)}


def test_what_another_changed_while_the_editor_was_open_is_not_written_over(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def editor(meanwhile: str) -> Callable[..., str]:
        def edit(text: str, **_: object) -> str:
            run(folder, "edit", "T 1", "--set", meanwhile)
            return text.replace("Jug, salt", "Tankard, salt")

        return edit

    monkeypatch.setattr("archivist.cli.edit.click.edit", editor("notes=cracked"))
    run(folder, "edit", "T 1")
    assert record(folder).title == "Tankard, salt glaze"
    assert [note.as_stated for note in record(folder).notes] == ["cracked"]
    run(folder, "edit", "T 1", "--set", "title=Jug, salt glaze")
    monkeypatch.setattr("archivist.cli.edit.click.edit", editor("title=Mug"))
    said = run(folder, "edit", "T 1", status=1).output
    assert "while it was open here" in said
    assert "Tankard, salt glaze" in said
    assert record(folder).title == "Mug"
