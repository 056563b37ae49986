"""`archivist review` on records: what would be filed of which words, questions by class, ranges."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from archivist.catalogue.archive import Archive
from archivist.cli.main import group
from archivist.model import ObjectRecord

HEAD = "Stock no;Title;When made;Opinion;Size"
ROWS = [
    "HW 0401;Celadon bowl;12th century;Tolling: 18th century;D 14 cm",
    "HW 0402;Delft plate;certainly not 17th century;;D 22 cm",
    "HW 0403;Plain vase;1850;;H 20 cm",
    "HW 0404;Jug. Could this be 1731?;;;H 21 cm",
    "HW 0405;Jar. Could this be 1744?;;;H 22 cm",
    "HW 0406;Ewer. Could this be 1752?;;;H 23 cm",
]


def run(folder: Path, *words: str, status: int = 0) -> Result:
    """A command on the archive in `folder`, that must end with `status`."""
    arguments = ["--archive", str(folder / "archive"), *words]
    done = CliRunner().invoke(group, arguments, prog_name="archivist")
    assert done.exit_code == status, done.output
    return done


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive, and a list whose cells say, deny, report and leave open."""
    with Archive.create(tmp_path / "archive", owner="Ines Tidewell"):
        pass
    lines = "\n".join([HEAD, *ROWS]) + "\n"
    (tmp_path / "list.csv").write_text(lines, encoding="utf-8", newline="\n")
    run(tmp_path, "survey", str(tmp_path / "list.csv"))
    return tmp_path


def shown(folder: Path, *words: str) -> str:
    """The output of `review` with white space made one, as lines break at the terminal's width."""
    return " ".join(run(folder, "review", *words).output.split())


def questions(folder: Path) -> list[dict[str, object]]:
    """The questions of the proposal that waits."""
    found: list[dict[str, object]] = json.loads(run(folder, "review", "--json").stdout)["questions"]
    return found


def test_each_record_shows_what_would_be_filed_of_which_words(folder: Path) -> None:
    said = shown(folder)
    assert "date: 1700 to 1799 [17XX]; says Tolling; '18th century' (Opinion)" in said
    assert "rejected, denied; 'certainly not 17th century' (When made)" in said
    assert (
        "date: 1850 [1850] (When made)" in said or "date: 1850 [1850]; '1850' (When made)" in said
    )


def test_the_doubtful_and_reported_stand_before_what_is_said_plainly(folder: Path) -> None:
    said = shown(folder, "--object", "HW 0401")
    assert said.index("says Tolling") < said.index("'12th century' (When made)")
    assert "HW 0402" not in said


def test_all_shows_what_is_only_mentioned_too(folder: Path) -> None:
    plain, everything = shown(folder), shown(folder, "--all")
    assert "only mentioned" not in plain
    assert len(everything) > len(plain)


def test_many_records_are_told_by_what_is_doubtful_and_a_count(tmp_path: Path) -> None:
    with Archive.create(tmp_path / "archive", owner="Ines Tidewell"):
        pass
    rows = [f"HW {n:04};Bowl number {n};12th century;;D 14 cm" for n in range(1000)]
    rows[500] = "HW 0500;Bowl;not 12th century;;D 14 cm"
    (tmp_path / "list.csv").write_text("\n".join([HEAD, *rows]) + "\n", encoding="utf-8")
    run(tmp_path, "survey", str(tmp_path / "list.csv"))
    lines = run(tmp_path, "review").output.splitlines()
    assert len(lines) < 40
    said = " ".join(" ".join(lines).split())
    assert "'not 12th century' (When made)" in said
    assert "statements of 1000 records" in said


def test_one_answer_serves_for_all_questions_of_a_class_each_with_its_own(folder: Path) -> None:
    asked = questions(folder)
    places = [n for n, q in enumerate(asked, start=1) if q.get("reason") == "asked"]
    assert len(places) == 3, "the list leaves three years open"
    assert "open questions are of the class 'asked'" in shown(folder)
    run(folder, "review", "--answer", "asked=a")
    answers = [str(questions(folder)[n - 1]["answer"])[:4] for n in places]
    assert answers == ["1731", "1744", "1752"]


def test_listed_questions_are_answered_at_once_and_the_others_stay_open(folder: Path) -> None:
    asked = questions(folder)
    places = [n for n, q in enumerate(asked, start=1) if q.get("reason") == "asked"]
    first, last = places[0], places[-1]
    run(folder, "review", "--answer", f"{first},{last}=not said of this piece")
    answers = [questions(folder)[n - 1].get("answer", "") for n in places]
    assert answers == ["not said of this piece", "", "not said of this piece"]


def test_items_are_refused_by_lists_and_ranges(folder: Path) -> None:
    items = json.loads(run(folder, "review", "--json").stdout)["items"]
    made = [n for n, item in enumerate(items, start=1) if item["what"] == "create object"]
    run(folder, "review", "--refuse", f"{made[0]},{made[2]}-{made[4]}")
    run(folder, "apply")
    with Archive.open(folder / "archive") as archive:
        numbers = sorted(r.stock_number for r in archive.catalogue.all(ObjectRecord))
    assert numbers == ["HW 0402", "HW 0406"]


@pytest.mark.parametrize(
    "words",
    [("--refuse", "2-999"), ("--refuse", "4-2"), ("--refuse", "x"), ("--answer", "colour=a")],
)
def test_a_range_or_class_that_is_none_changes_nothing(
    folder: Path, words: tuple[str, str]
) -> None:
    (proposal,) = (folder / "archive/proposals").glob("*.json")
    before = proposal.read_bytes()
    assert "Nothing was changed" in run(folder, "review", *words, status=2).output
    assert proposal.read_bytes() == before
