"""`archivist review` on photographs: at 80 columns, asked, on a sheet, handed back, for scripts."""

from __future__ import annotations

import json
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.cli.main import group
from archivist.model import Photograph, Region, View

DIGEST = "SHA-256 (leave as it is)"

pytestmark = pytest.mark.skipif(
    not entry_points(group="archivist", name="photo-folder"),
    reason="readers are found by entry points, so the project must be installed",
)

STOCK = """No;What
HW 1;Celadon bowl
HW 2;Delft plate
HW 3;Bizen flask
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive with three records, and photographs of them, one of two pieces."""
    Archive.create(tmp_path / "archive", owner="Ines Tidewell").catalogue.close()
    (tmp_path / "stock.csv").write_text(STOCK, encoding="utf-8")
    run(tmp_path, "survey", str(tmp_path / "stock.csv"))
    run(tmp_path, "apply")
    names = (
        "HW 1/foot.jpg",
        "HW 1/IMG_2.jpg",
        "HW 3/IMG_3.jpg",
        "HW 1 and HW 2.jpg",
        "a name so long that it does not go on one line of a terminal/IMG_0004 once more.jpg",
        "copy of foot.jpg",
    )
    for number, name in enumerate(names):
        path = tmp_path / "Pictures" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if name.startswith("copy"):
            path.write_bytes((tmp_path / "Pictures" / names[0]).read_bytes())
        else:
            Image.new("RGB", (60, 40), (number * 40, 90, 200)).save(path, "JPEG")
    looked = run(tmp_path, "survey", str(tmp_path / "Pictures"))
    assert looked.exit_code == 0, looked.output
    return tmp_path


def run(folder: Path, *words: str, says: str = "", columns: int = 80) -> Result:
    runner = CliRunner(env={"COLUMNS": str(columns)})
    arguments = ["--archive", str(folder / "archive"), *words]
    return runner.invoke(group, arguments, input=says or None, prog_name="archivist")


def photographs(folder: Path) -> list[Photograph]:
    with Archive.open(folder / "archive") as archive:
        return list(archive.catalogue.all(Photograph))


def regions(folder: Path) -> list[Region | None]:
    group = next(p for p in photographs(folder) if len(p.depictions) == 2)
    return [d.region for d in group.depictions]


def test_what_is_certain_is_one_line_and_the_rest_fits_eighty_columns(folder: Path) -> None:
    shown = run(folder, "review").output
    assert sum("items are certain" in line for line in shown.splitlines()) == 1
    said = [line for line in shown.splitlines() if not line.startswith(("The p", "Next", "Then"))]
    assert max(map(len, said)) <= 80
    assert "HW 3/IMG_3.jpg" not in shown, "what is certain is not listed"
    assert "archivist review --sheet" in shown


def test_places_in_a_group_photograph_are_asked_piece_by_piece(folder: Path) -> None:
    asked = run(folder, "review", "--ask", says="50,20,30,30\n0,0,20,40\n30,0,30,40\n")
    assert "the picture is 60 by 40" in asked.output
    assert "Please say four numbers that lie on it" in asked.output
    assert "Answered: HW 1=0,0,20,40; HW 2=30,0,30,40" in asked.output
    run(folder, "apply")
    boxes = [(r.x, r.y, r.width, r.height) for r in regions(folder) if r is not None]
    assert boxes == [(0, 0, 20, 40), (30, 0, 30, 40)]


def test_places_may_be_left_open(folder: Path) -> None:
    asked = run(folder, "review", "--ask", says="\n\n")
    assert "Answered" not in asked.output
    run(folder, "apply")
    assert regions(folder) == [None, None]


def test_places_can_be_answered_in_the_command_and_taken_back(folder: Path) -> None:
    done = run(folder, "review", "--answer", "1=HW 2=30,0,30,40")
    assert "Answered: HW 2=30,0,30,40" in done.output
    wrong = run(folder, "review", "--answer", "1=HW 2=30,0,31,40")
    assert wrong.exit_code == 2
    assert "outside the picture of 60 by 40" in wrong.output
    assert "HW 1=x,y,width,height" in wrong.output
    run(folder, "apply")
    assert [r is not None for r in regions(folder)] == [False, True]


def test_the_sheet_is_written_beside_the_proposal_and_comes_back(folder: Path) -> None:
    written = json.loads(run(folder, "review", "--sheet", "--json").stdout)
    assert written["photographs"] == 5
    (page,), workbook = map(Path, written["pages"]), Path(written["workbook"])
    assert page.parent == workbook.parent == folder / "archive" / "proposals"
    listed = folder / "mine.csv"
    listed.write_text(
        "File;Shows\nHW 1/IMG_2.jpg;the mark\nHW 3/IMG_3.jpg;base\n", encoding="utf-8"
    )
    back = run(folder, "review", "--hand-back", str(listed))
    assert back.exit_code == 0, back.output
    assert "2 photographs as you say" in back.output
    shown = run(folder, "review")
    assert "2 photographs as their owner says" in " ".join(shown.output.split())
    run(folder, "apply")
    views = {d.view for p in photographs(folder) for d in p.depictions if d.reviewed}
    assert views == {View.MARK, View.BASE}
    assert "says nothing that is new" in run(folder, "review", "--hand-back", str(listed)).output
    # The sheet of what was applied can still be had.
    applied = next((folder / "archive" / "proposals").glob("*-pictures-1.json"))
    assert "5 photographs" in run(folder, "review", applied.name, "--sheet").output


def test_times_and_copies_are_put_right_by_handing_a_list_back(folder: Path) -> None:
    listed = folder / "mine.csv"
    listed.write_text(
        "File;Shows;Date taken;Copy of\n"
        "HW 1/foot.jpg;the foot;14.3.2009;\n"
        "HW 1/IMG_2.jpg;;;HW 1/foot.jpg\n"
        "HW 3/IMG_3.jpg;base;one day;\n",
        encoding="utf-8",
    )
    back = run(folder, "review", "--hand-back", str(listed))
    assert "3 photographs as you say" in back.output
    assert "'one day' is no time" in " ".join(back.output.split())
    shown = json.loads(run(folder, "review", "--json").stdout)
    said = {p["path"]: (p["taken"], p["taken_certainty"]) for p in shown["photographs"]}
    assert said["HW 1/foot.jpg"] == ("2009-03-14", "certain")
    same = next(d for d in shown["duplicates"] if d["keeper"] == "HW 1/foot.jpg")
    assert [o["path"] for o in same["others"]] == ["copy of foot.jpg", "HW 1/IMG_2.jpg"]
    assert "a copy" in run(folder, "review", "--all").output
    run(folder, "apply")
    assert [t.date.edtf for p in photographs(folder) for t in p.taken if t.preferred] == [
        "2009-03-14"
    ]
    run(folder, "undo")
    assert not any(p.taken and not p.withdrawn for p in photographs(folder))


def test_a_list_of_photographs_that_are_not_there_yet_is_kept_for_them(folder: Path) -> None:
    listed = folder / "mine.csv"
    listed.write_text("File;Shows\nlater/HW 1 x.jpg;the mark\n", encoding="utf-8")
    back = run(folder, "review", "--hand-back", str(listed))
    assert "1 row kept until the photographs come" in back.output
    assert "names a photograph that is not in the archive" in back.stderr
    assert back.exit_code == 0


def test_scripts_are_told_of_photographs_copies_groups_and_doubts(folder: Path) -> None:
    shown = json.loads(run(folder, "review", "--json").stdout)
    by_path = {p["path"]: p for p in shown["photographs"]}
    assert len(by_path) == 6
    foot = by_path["HW 1/foot.jpg"]
    assert foot["view"] == "foot rim"
    assert foot["view_certainty"] in ("certain", "probable")
    assert set(foot) >= {
        "path", "path_bytes", "source", "source_location", "sha256", "width", "height", "taken",
        "taken_certainty", "taken_ground", "taken_others", "view", "view_certainty",
        "view_ground", "camera", "known",
    }  # fmt: skip
    assert (foot["width"], foot["height"], foot["taken"]) == (60, 40, "")
    (same,) = shown["duplicates"]
    assert {same["keeper"], same["others"][0]["path"]} == {"HW 1/foot.jpg", "copy of foot.jpg"}
    assert same["others"][0]["relation"] == "exact copy"
    assert same["sha256"] == foot["sha256"]
    objects = {g["object"]: g for g in shown["groups"] if g["object"]}
    assert any("HW 1/foot.jpg" in g["paths"] for g in objects.values())
    for one in shown["groups"]:
        assert set(one) >= {"paths", "object", "name", "certainty", "reasons", "several"}
    assert isinstance(shown["doubts"], list)
    assert {i["what"] for i in shown["items"]} == {"add photograph", "keep file"}
    assert {"id", "made", "program", "sources", "questions", "troubles"} <= shown.keys()


def test_the_help_names_every_key_that_scripts_are_told(folder: Path) -> None:
    text = run(folder, "review", "--help").output
    shown = json.loads(run(folder, "review", "--json").stdout)
    keys = {*shown, *shown["photographs"][0], *shown["duplicates"][0], *shown["groups"][0]}
    keys |= set(shown["duplicates"][0]["others"][0])
    assert {key for key in keys if key not in text} == set()


def test_to_apply_records_first_is_advised_only_where_it_helps(tmp_path: Path) -> None:
    Archive.create(tmp_path / "archive", owner="Ines Tidewell").catalogue.close()
    (tmp_path / "stock.csv").write_text(STOCK, encoding="utf-8")
    picture = tmp_path / "Pictures/HW 1/foot.jpg"
    picture.parent.mkdir(parents=True)
    Image.new("RGB", (60, 40), "teal").save(picture)
    (tmp_path / "mine.csv").write_text("File;Shows\nHW 1/foot.jpg;mark\n", encoding="utf-8")
    advice = "apply those first"
    assert advice not in run(tmp_path, "survey", str(tmp_path / "stock.csv")).output
    assert advice in " ".join(run(tmp_path, "survey", str(picture.parents[1])).output.split())
    assert advice not in " ".join(
        run(tmp_path, "survey", str(tmp_path / "mine.csv")).output.split()
    )
    for name in sorted(p.name for p in (tmp_path / "archive/proposals").glob("*stock*.json")):
        run(tmp_path, "apply", name)
    again = run(tmp_path, "survey", str(picture.parents[1])).output
    assert "Proposed:" in again
    assert advice not in " ".join(again.split())


def test_photographs_that_were_applied_unlooked_at_can_be_looked_through_in_bulk(
    folder: Path,
) -> None:
    waiting = run(folder, "review", "--sheet").output
    run(folder, "apply")
    written = json.loads(run(folder, "review", "--sheet", "--json").stdout)
    assert written["photographs"] == 5
    workbook = Path(written["workbook"])
    assert workbook.parent == folder / "archive" / "proposals"
    assert str(workbook) not in waiting
    rows = rows_of(workbook)
    foot = next(row for row in rows if row["File"] == "HW 1/foot.jpg")
    assert (foot["Piece"], foot["View"], foot["Shows (yes/no)"]) == ("HW 1", "foot rim", "")
    assert "HW 1/foot.jpg" in Path(written["pages"][0]).read_text(encoding="utf-8")
    for row in rows:
        if row["File"].startswith("HW"):
            row["Shows (yes/no)"] = "yes"
        if row["File"] == "HW 3/IMG_3.jpg":
            row["View"] = "base"
    write_rows(workbook, rows)
    back = run(folder, "review", "--hand-back", str(workbook))
    assert "4 photographs as you say" in back.output
    run(folder, "apply")
    held = {p.sha256: p for p in photographs(folder)}
    views = {r["File"]: [d.view for d in held[r[DIGEST]].depictions if d.reviewed] for r in rows}
    assert views["HW 1/foot.jpg"] == [View.FOOT_RIM]
    assert views["HW 3/IMG_3.jpg"] == [View.BASE]
    assert len(views["HW 1 and HW 2.jpg"]) == 2
    left = run(folder, "review", "--sheet").output
    assert "1 photograph in the archive whose view nobody has reviewed" in left
    assert "had been edited" in left
    everything = run(folder, "review", "--sheet", "--every").output
    assert "5 photographs in the archive." in everything
    of_one = run(folder, "review", "--sheet", "--every", "--object", "HW 3").output
    assert "1 photograph of HW 3." in of_one
    nothing = run(folder, "review", "--sheet", "--object", "HW 3").output
    assert "no photographs of HW 3 whose views nobody has reviewed" in nothing
    run(folder, "undo")
    assert "5 photographs in the archive whose views" in run(folder, "review", "--sheet").output


def test_a_sheet_of_an_archive_without_photographs_says_so(tmp_path: Path) -> None:
    Archive.create(tmp_path / "archive", owner="Ines Tidewell").catalogue.close()
    said = run(tmp_path, "review", "--sheet", "--every")
    assert (said.exit_code, "no photographs" in said.output) == (0, True)
    assert run(tmp_path, "review", "--every").exit_code == 2


def rows_of(workbook: Path) -> list[dict[str, str]]:
    """The rows of the workbook by heading, as another library reads them."""
    import python_calamine

    sheet = python_calamine.CalamineWorkbook.from_path(workbook).get_sheet_by_index(0)
    heads, *rows = [[str(cell) for cell in row] for row in sheet.to_python()]
    return [dict(zip(heads, row, strict=True)) for row in rows]


def write_rows(workbook: Path, rows: list[dict[str, str]]) -> None:
    import xlsxwriter

    book = xlsxwriter.Workbook(str(workbook))
    page = book.add_worksheet("Photographs")
    for number, row in enumerate([dict(zip(rows[0], rows[0], strict=True)), *rows]):
        for column, words in enumerate(row.values()):
            page.write_string(number, column, words)
    book.close()
