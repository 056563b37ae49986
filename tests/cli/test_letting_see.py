"""Who may see a photograph: by its view once that is reviewed, or by a word for that audience; no
other word about a photograph lets anybody see it, through whichever door it comes."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from importlib.metadata import entry_points
from pathlib import Path

import pytest
import python_calamine
from click.testing import CliRunner, Result
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.cli.main import group
from archivist.model import Depiction, Photograph
from archivist.plugins import load_plugins
from archivist.release.pieces import rules_of

pytestmark = pytest.mark.skipif(
    not entry_points(group="archivist", name="spreadsheet"),
    reason="readers are found by entry points, so the project must be installed",
)

OTHERS = ("authority", "heir", "museum", "buyer", "public")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive with one piece and an unreviewed photograph of its base and one of a label."""
    with Archive.create(tmp_path / "archive", owner="Ines Tidewell"):
        pass
    (tmp_path / "stock.csv").write_text("Stock No;Title\nHW 1;Bowl\n", encoding="utf-8")
    for number, name in enumerate(("HW 1 base.jpg", "HW 1 label.jpg")):
        (tmp_path / "Pictures").mkdir(exist_ok=True)
        Image.new("RGB", (60, 40), (90 * number, 80, 20)).save(tmp_path / "Pictures" / name)
    for source in ("stock.csv", "Pictures"):
        run(tmp_path, "survey", str(tmp_path / source))
        run(tmp_path, "apply")
    return tmp_path


def run(folder: Path, *words: str, status: int = 0) -> Result:
    done = CliRunner().invoke(group, ["--archive", str(folder / "archive"), *words])
    assert done.exit_code == status, done.output
    return done


def shown(folder: Path, view: str) -> tuple[str, Depiction]:
    with Archive.open(folder / "archive") as archive:
        for photograph in archive.catalogue.all(Photograph):
            for depiction in photograph.depictions:
                if depiction.view.value == view:
                    return photograph.sha256, depiction
    raise AssertionError(view)


def seers(folder: Path, view: str) -> set[str]:
    """The audiences other than the owner that may see the photograph of that view."""
    _, depiction = shown(folder, view)
    with Archive.open(folder / "archive") as archive:
        rules = rules_of(archive, load_plugins())
    return {name for name in OTHERS if rules[name].depiction_shown(depiction)}


Door = Callable[[Path, str, str], None]


def by_edit(folder: Path, option: str, words: str) -> None:
    digest, _ = shown(folder, "base")
    run(folder, "edit", "HW 1", option, f"{digest[:8]}={words}")


def by_sheet(folder: Path, heading: str, words: str) -> None:
    written = json.loads(run(folder, "review", "--sheet", "--every", "--json").stdout)
    book = python_calamine.CalamineWorkbook.from_path(written["workbook"])
    rows = [[str(cell) for cell in row] for row in book.get_sheet_by_index(0).to_python()]
    head = next(n for n, row in enumerate(rows) if "File" in row)
    column = rows[head].index(heading)
    for row in rows[head + 1 :]:
        if "base" in row[rows[head].index("File")]:
            row[column] = words
    edited = folder / "edited.csv"
    with edited.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=";").writerows(rows[head:])
    run(folder, "review", "--hand-back", str(edited))
    run(folder, "apply")


NO_REVIEW = [
    (by_edit, "--caption", "Under the light"),
    (by_edit, "--region", "1,1,20,20"),
    (by_edit, "--let-see", "buyer"),
    (by_sheet, "Caption", "Under the light"),
    (by_sheet, "Region (x,y,w,h)", "1,1,20,20"),
    (by_sheet, "Who may see it", "buyer"),
    (by_sheet, "Taken", "2009-03-14"),
]


@pytest.mark.parametrize(("door", "part", "words"), NO_REVIEW)
def test_words_about_an_unreviewed_photograph_let_nobody_see_it_but_whom_they_name(
    folder: Path, door: Door, part: str, words: str
) -> None:
    before = shown(folder, "base")[1]
    assert seers(folder, "base") == set()
    door(folder, part, words)
    assert seers(folder, "base") == ({"buyer"} if words == "buyer" else set())
    after = shown(folder, "base")[1]
    assert (after.reviewed, after.certainty) == (False, before.certainty)
    assert after != before or part == "Taken"


@pytest.mark.parametrize(
    ("door", "part", "words"),
    [(by_edit, "--view", "base"), (by_sheet, "Shows (yes/no)", "yes")],
)
def test_a_review_of_the_view_lets_all_see_it_whom_the_view_is_open_to(
    folder: Path, door: Door, part: str, words: str
) -> None:
    door(folder, part, words)
    assert "public" in seers(folder, "base")
    assert seers(folder, "label") == set()


def test_words_on_a_reviewed_photograph_leave_it_reviewed(folder: Path) -> None:
    by_edit(folder, "--view", "base")
    by_edit(folder, "--caption", "Under the light")
    by_sheet(folder, "Region (x,y,w,h)", "1,1,20,20")
    assert "public" in seers(folder, "base")


def test_letting_one_more_audience_see_keeps_those_that_were_let_before(folder: Path) -> None:
    by_edit(folder, "--let-see", "buyer")
    by_edit(folder, "--let-see", "museum, heir")
    assert seers(folder, "base") == {"buyer", "museum", "heir"}


@pytest.mark.parametrize("words", ["museeum", "owner", "buyer, publick"])
def test_an_audience_that_is_none_is_an_error_that_names_those_there_are(
    folder: Path, words: str
) -> None:
    digest, before = shown(folder, "base")
    said = run(folder, "edit", "HW 1", "--let-see", f"{digest[:8]}={words}", status=1).output
    plain = " ".join(said.split())
    assert "Nothing was changed" in plain
    assert words == "owner" or all(name in plain for name in OTHERS)
    assert words != "museeum" or "is 'museum' meant" in plain
    assert shown(folder, "base")[1] == before


def test_the_sheet_names_every_audience_that_there_is_and_takes_each(folder: Path) -> None:
    settings = folder / "archive" / "archive.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(text + '\n[audiences.restorer]\nlike = "buyer"\n', encoding="utf-8")
    digest, _ = shown(folder, "base")
    mine = folder / "mine.csv"
    mine.write_text(
        f"File;SHA-256;Who may see it;View\nx.jpg;{digest};resturer;base\n", encoding="utf-8"
    )
    said = run(folder, "review", "--hand-back", str(mine), status=1).output
    assert all(name in said for name in (*OTHERS, "restorer"))
    by_sheet(folder, "Who may see it", "museum, restorer")
    assert shown(folder, "base")[1].released == ("museum", "restorer")


def test_an_audience_said_of_a_photograph_that_comes_later_holds_for_it(folder: Path) -> None:
    mine = folder / "mine.csv"
    mine.write_text(
        "File;Piece;Who may see it;View\nlater/HW 1 foot.jpg;HW 1;museum;foot\n", encoding="utf-8"
    )
    run(folder, "review", "--hand-back", str(mine))
    run(folder, "apply")
    later = folder / "more/later/HW 1 foot.jpg"
    later.parent.mkdir(parents=True)
    Image.new("RGB", (60, 40), (200, 8, 20)).save(later)
    run(folder, "survey", str(folder / "more"))
    run(folder, "apply")
    assert shown(folder, "foot rim")[1].released == ("museum",)
