"""`survey`, `review` and `apply` at the terminal: what they say, what they ask, how they end."""

from __future__ import annotations

import json
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from archivist.catalogue.archive import Archive
from archivist.cli.main import group
from archivist.model import ObjectRecord

pytestmark = pytest.mark.skipif(
    not entry_points(group="archivist", name="spreadsheet"),
    reason="readers are found by entry points, so the project must be installed",
)

ROWS = """No;What;Buyer
T 1;Celadon bowl;Dr Casimir Brunnick
T 2;Delft plate;Dr Brunnick
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    Archive.create(tmp_path / "archive", owner="Ines Tidewell").catalogue.close()
    (tmp_path / "old list.csv").write_text(ROWS, encoding="utf-8")
    return tmp_path


def run(folder: Path, *words: str, says: str = "") -> Result:
    runner = CliRunner()
    arguments = ["--archive", str(folder / "archive"), *words]
    return runner.invoke(group, arguments, input=says or None, prog_name="archivist")


def records(folder: Path) -> list[ObjectRecord]:
    with Archive.open(folder / "archive") as archive:
        return list(archive.catalogue.all(ObjectRecord))


def test_survey_review_apply_is_the_whole_way_in(folder: Path) -> None:
    looked = run(folder, "survey", str(folder / "old list.csv"))
    assert looked.exit_code == 0, looked.output
    assert "2 new records" in looked.output
    assert "Next: archivist review" in looked.output
    shown = run(folder, "review")
    assert "items are certain" in shown.output
    assert "Is 'Dr Brunnick' the same as 'Dr Casimir Brunnick'?" in shown.output
    done = run(folder, "apply")
    assert done.exit_code == 0, done.output
    assert "Taken in: 2 records" in done.output
    assert "archivist undo 1" in done.output
    assert [r.title for r in records(folder)] == ["Celadon bowl", "Delft plate"]
    assert "Nothing new" in run(folder, "survey", str(folder / "old list.csv")).output
    assert "nothing to do" in run(folder, "apply").output
    assert "No proposal is waiting" in run(folder, "review").output


def test_questions_are_asked_one_by_one_and_may_stay_open(folder: Path) -> None:
    run(folder, "survey", str(folder / "old list.csv"))
    left = run(folder, "review", "--ask", says="\n")
    assert "1 question, 1 open" in left.output
    asked = run(folder, "review", "--ask", says="x\na\n")
    assert "Please say one of a, b" in asked.output
    assert "Answered: Dr Casimir Brunnick" in asked.output
    run(folder, "apply")
    assert len({r.sales[0].party for r in records(folder)}) == 1


def test_answers_and_refusals_can_be_given_in_the_command(folder: Path) -> None:
    run(folder, "survey", str(folder / "old list.csv"))
    everything = run(folder, "review", "--all").output
    line = next(line for line in everything.splitlines() if "Delft plate" in line)
    number = line.split()[0]
    done = run(folder, "review", "--answer", "1=nobody else", "--refuse", number)
    assert "Answered: nobody else" in done.output
    assert "Refused: 1 item" in done.output
    run(folder, "apply")
    assert [r.title for r in records(folder)] == ["Celadon bowl"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("survey", "not there.csv"), "There is no file or folder"),
        (("review", "none.json"), "There is no proposal 'none.json'"),
        (("apply", "none.json"), "There is no proposal 'none.json'"),
    ],
)
def test_what_is_not_there_is_said_in_plain_words(
    folder: Path, words: tuple[str, ...], says: str
) -> None:
    done = run(folder, *words)
    assert done.exit_code == 2
    assert says in done.output
    assert "Traceback" not in done.output


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--answer", "9=a"), "numbered from 1 to 1"),
        (("--answer", "1=zebra"), "is no choice"),
        (("--refuse", "999"), "There is no item '999'"),
    ],
)
def test_a_decision_that_does_not_fit_changes_nothing(
    folder: Path, words: tuple[str, ...], says: str
) -> None:
    run(folder, "survey", str(folder / "old list.csv"))
    before = [p.read_bytes() for p in (folder / "archive/proposals").glob("*.json")]
    done = run(folder, "review", *words)
    assert done.exit_code == 2
    assert says in done.output
    assert [p.read_bytes() for p in (folder / "archive/proposals").glob("*.json")] == before


def test_scripts_are_told_in_json(folder: Path) -> None:
    looked = json.loads(run(folder, "survey", str(folder / "old list.csv"), "--json").stdout)
    assert (looked["items"], looked["questions"], looked["troubles"]) == (5, 1, [])
    shown = json.loads(run(folder, "review", "--json").stdout)
    assert {i["what"] for i in shown["items"]} == {"create object", "keep file", "save party"}
    done = json.loads(run(folder, "apply", "--json").stdout)
    assert (done["records"], done["files"], done["failures"]) == (2, 1, [])
    assert json.loads(run(folder, "review", "--json").stdout) is None
    sources = json.loads(run(folder, "review", "--sources", "--json").stdout)
    assert sources[0]["reader"] == "spreadsheet"


def test_trouble_in_a_source_is_named_and_the_rest_goes_on(folder: Path) -> None:
    source = folder / "things"
    source.mkdir()
    (source / "empty.jpg").write_bytes(b"")
    (source / "list.csv").write_text(ROWS, encoding="utf-8")
    looked = run(folder, "survey", str(source))
    assert looked.exit_code == 1
    assert "empty.jpg" in looked.output
    assert "2 new records" in looked.output


def test_a_file_that_is_gone_ends_apply_with_its_name_and_status_one(folder: Path) -> None:
    source = folder / "things"
    source.mkdir()
    (source / "note.txt").write_text("words", encoding="utf-8")
    (source / "other.txt").write_text("more words", encoding="utf-8")
    run(folder, "survey", str(source))
    (source / "note.txt").unlink()
    done = run(folder, "apply")
    assert done.exit_code == 1
    assert "note.txt" in done.output
    assert "1 file" in done.output


@pytest.mark.parametrize("command", ["survey", "review", "apply"])
def test_help_has_an_example(command: str) -> None:
    done = CliRunner().invoke(group, [command, "--help"])
    assert done.exit_code == 0
    assert "Example" in done.output
    assert f"archivist {command}" in done.output


def test_columns_that_nothing_is_known_of_are_named_once_with_the_file_to_say_it_in(
    folder: Path,
) -> None:
    sheet = folder / "odd.csv"
    sheet.write_text("No;What;Zzyx;Margin\nT 9;Cup;blue folder;40\n", encoding="utf-8")
    told = " ".join(run(folder, "survey", str(sheet)).output.split())
    assert "Nothing says what 'Zzyx', 'Margin' hold: the words are kept as private notes" in told
    assert "Nothing says" not in run(folder, "survey", str(sheet)).output
