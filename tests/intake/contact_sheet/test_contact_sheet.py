"""The page to look through and the workbook to correct: both say the same, and what comes back."""

from __future__ import annotations

import html
import re
import tracemalloc
from collections.abc import Callable, Sequence
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.catalogue.archive import Archive
from archivist.errors import ArchiveError, SelectionError
from archivist.hooks import Cell, FoundRow
from archivist.intake.apply import apply
from archivist.intake.contact_sheet import page as page_module
from archivist.intake.contact_sheet.layout import (
    ALL_HEADINGS,
    CAMERA,
    CAMERA_CLOCK,
    EDITABLE,
    HEADINGS,
    THOUGHT,
    WRITTEN,
    Line,
    Part,
    cells_of,
)
from archivist.intake.contact_sheet.lines import LineGroup, Sheet, sheet_of
from archivist.intake.contact_sheet.listing import listed
from archivist.intake.contact_sheet.page import pages_of, write_pages
from archivist.intake.contact_sheet.reading import said_in
from archivist.intake.contact_sheet.writing import WrittenSheet, hand_back, write_sheet
from archivist.intake.decide import answer_question
from archivist.intake.pictures.findings import (
    Copy,
    Doubt,
    Findings,
    Group,
    PictureFile,
    Relation,
    SamePicture,
)
from archivist.intake.proposal import AddPhotograph, Proposal, read_proposal, rewrite_proposal
from archivist.intake.survey import Told
from archivist.intake.work import Applied
from archivist.model import Certainty, Depiction, ObjectRecord, Photograph, View
from archivist.plugins import Plugins
from archivist.reading.tables import load_tables

Write = Callable[..., Path]
Take = Callable[..., Applied]
Look = Callable[..., Told]


@pytest.fixture
def waiting(
    archive: Archive, look: Look, take_in: Take, sheet: Write, picture: Write, tmp_path: Path
) -> Path:
    """A proposal of five photographs that waits to be applied."""
    take_in(
        sheet([["Stock No", "Title"], ["HW 1", "Bowl & <saucer>"], ["HW 2", "Plate"]], "stock.csv")
    )
    for name in (
        "HW 1/foot.jpg",
        "HW 1/b.jpg",
        "HW 2/IMG_2009-03-04.jpg",
        "HW 1 HW 2.jpg",
        "loose.jpg",
    ):
        picture(tmp_path / "Pictures" / name)
    told = look(tmp_path / "Pictures")
    assert told.path is not None
    return told.path


def written(archive: Archive, path: Path) -> WrittenSheet:
    return write_sheet(archive, read_proposal(path), path)


def rows_of(workbook: Path) -> list[dict[str, str]]:
    calamine = pytest.importorskip("python_calamine")
    book = calamine.CalamineWorkbook.from_path(str(workbook))
    head, *rows = book.get_sheet_by_name("Photographs").to_python()
    return [dict(zip(head, map(str, row), strict=True)) for row in rows]


def hand_edited(
    workbook: Path, target: Path, edit: Callable[[dict[str, str]], dict[str, str]]
) -> Path:
    """The workbook's rows, each through `edit`, saved as csv as spreadsheet programs do."""
    import csv

    with target.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.DictWriter(file, ALL_HEADINGS, delimiter=";", lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(edit(row) for row in rows_of(workbook))
    return target


class Seen(HTMLParser):
    """What a page says of each photograph, and everything that it would load or lead to."""

    def __init__(self) -> None:
        super().__init__()
        self.figures: list[dict[str, str]] = []
        self.loads: list[str] = []
        self.links: list[str] = []
        self.alts: list[str] = []
        self._into = ""

    def handle_starttag(self, tag: str, attrs: Sequence[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        self.loads += [values[n] for n in ("src", "srcset", "data", "poster") if n in values]
        if tag == "a":
            self.links.append(values.get("href", ""))
        if tag in ("link", "script", "iframe", "object", "embed"):
            self.loads.append(tag)
        if tag == "figure":
            self.figures.append({})
        if tag == "img":
            self.alts.append(values.get("alt", ""))
        if tag == "dt":
            self._into = "dt"
            self._name = ""
        if tag == "dd":
            self._into = "dd"

    def handle_endtag(self, tag: str) -> None:
        if tag in ("dt", "dd"):
            self._into = ""

    def handle_data(self, data: str) -> None:
        if self._into == "dt":
            self._name += data
        elif self._into == "dd":
            figure = self.figures[-1]
            figure[self._name] = figure.get(self._name, "") + data


def seen(*pages: Path) -> Seen:
    parser = Seen()
    for page in pages:
        parser.feed(page.read_text(encoding="utf-8"))
    return parser


# What is written


def test_the_page_and_the_workbook_say_the_same(archive: Archive, waiting: Path) -> None:
    done = written(archive, waiting)
    rows = {row[HEADINGS[Part.FILE]]: row for row in rows_of(done.workbook)}
    figures = {figure["File"]: figure for figure in seen(*done.pages).figures}
    assert figures.keys() == rows.keys()
    assert len(rows) == done.photographs == 5
    for path, figure in figures.items():
        row = rows[path]
        assert figure["Thought"] == row[THOUGHT]
        assert figure.get("Taken", "") == row[HEADINGS[Part.TAKEN]]
        assert figure.get("Region", "") == row[HEADINGS[Part.REGION]]
        assert figure.get("Copy of", "") == row[HEADINGS[Part.COPY]]
        assert figure.get(CAMERA, "") == row[CAMERA]
        assert figure.get(CAMERA_CLOCK, "") == row[CAMERA_CLOCK]
        assert figure.get("Caption", "") == row[HEADINGS[Part.CAPTION]]
        assert figure.get("Who may see it", "") == row[HEADINGS[Part.AUDIENCE]]
        if "Pieces" in figure:
            assert figure["Pieces"] == row[HEADINGS[Part.PIECE]]
    text = done.pages[0].read_text(encoding="utf-8")
    for row in rows.values():
        view = row[HEADINGS[Part.VIEW]]
        assert ("view unknown" if view == "unknown" else html.escape(view)) in text
        for piece in filter(None, row[HEADINGS[Part.PIECE]].split("; ")):
            assert piece in text


def test_the_page_asks_for_nothing_from_anywhere(archive: Archive, waiting: Path) -> None:
    done = written(archive, waiting)
    parsed = seen(*done.pages)
    assert parsed.loads
    assert all(url.startswith("data:image/jpeg;base64,") for url in parsed.loads)
    text = done.pages[0].read_text(encoding="utf-8")
    assert "default-src 'none'" in text
    assert not re.search(r"url\(|@import|https?://", text)
    assert "Bowl &amp; &lt;saucer&gt;" in text, "words are words, never markup"


def test_every_picture_has_words_for_those_who_do_not_see_it(
    archive: Archive, waiting: Path
) -> None:
    parsed = seen(*written(archive, waiting).pages)
    assert len(parsed.alts) == 5
    assert "foot rim of HW 1" in parsed.alts
    assert "unknown of no known piece" in parsed.alts


def test_every_link_leads_somewhere(archive: Archive, waiting: Path, monkeypatch: object) -> None:
    assert isinstance(monkeypatch, pytest.MonkeyPatch)
    monkeypatch.setattr(page_module, "MOST_ON_A_PAGE", 2)
    done = written(archive, waiting)
    assert len(done.pages) == 3
    assert [p.name for p in done.pages][1:] == [
        f"{done.pages[0].stem}-2.html",
        f"{done.pages[0].stem}-3.html",
    ]
    marks = {
        page.name: set(re.findall(r'id="?([\w-]+)', page.read_text(encoding="utf-8")))
        for page in done.pages
    }
    for page in done.pages:
        for link in seen(page).links:
            name, _, mark = link.partition("#")
            assert not mark or mark in marks[name or page.name], link
    assert len(seen(*done.pages).figures) == 5, "each photograph is on one page only"
    monkeypatch.setattr(page_module, "MOST_ON_A_PAGE", 400)
    assert len(written(archive, waiting).pages) == 1
    assert not done.pages[1].exists(), "pages of a longer sheet do not stay behind"


@given(st.lists(st.integers(1, 30), max_size=12), st.integers(1, 10))
def test_pages_hold_every_photograph_once_in_order(sizes: list[int], most: int) -> None:
    groups, number = [], 0
    for size in sizes:
        lines = tuple(Line(path=str(n), sha256="") for n in range(number, number + size))
        groups.append(LineGroup(str(number), "HW", lines=lines))
        number += size
    before = page_module.MOST_ON_A_PAGE
    page_module.MOST_ON_A_PAGE = most
    try:
        pages = pages_of(Sheet("t", "", tuple(groups)))
    finally:
        page_module.MOST_ON_A_PAGE = before
    paths = [line.path for page in pages for group in page for line in group.lines]
    assert paths == [str(n) for n in range(number)]
    assert all(sum(len(g.lines) for g in page) <= most for page in pages)


def test_memory_does_not_grow_with_the_number_of_photographs(
    archive: Archive, picture: Write, tmp_path: Path
) -> None:
    place = picture(tmp_path / "a.jpg")

    def peak(count: int) -> int:
        lines = tuple(
            Line(path=f"{n}.jpg", sha256=f"{n:064x}", location=str(place)) for n in range(count)
        )
        sheet = Sheet("many", "2026-01-01", (LineGroup("k", "HW 1", lines=lines),))
        write_pages(archive, sheet, tmp_path, "warm")
        tracemalloc.start()
        write_pages(archive, sheet, tmp_path, "many")
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    few, many = peak(40), peak(400)
    assert many < 2 * few + 200_000


def test_a_photograph_that_cannot_be_shown_stands_there_with_its_words(
    archive: Archive, tmp_path: Path
) -> None:
    (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0 no more")
    line = Line(path="broken.jpg", sha256="0" * 64, location=str(tmp_path / "broken.jpg"))
    sheet = Sheet("one", "2026-01-01", (LineGroup("k", "HW 1", lines=(line,)),))
    (page,) = write_pages(archive, sheet, tmp_path, "one")
    assert "no picture can be shown" in page.read_text(encoding="utf-8")


def test_a_proposal_without_photographs_has_no_sheet(
    archive: Archive, look: Look, sheet: Write
) -> None:
    told = look(sheet([["No", "What"], ["HW 7", "Jar"]], "more.csv"))
    assert told.path is not None
    with pytest.raises(SelectionError, match="has no photographs"):
        write_sheet(archive, read_proposal(told.path), told.path)


# What comes back


def photographs_shown(archive: Archive) -> dict[str, dict[str, Depiction]]:
    """What each photograph shows, by path, then by stock number."""
    numbers = {r.id: r.stock_number for r in archive.catalogue.all(ObjectRecord)}
    found = {}
    for row in archive.catalogue.connection.execute("SELECT path, sha256 FROM occurrence"):
        for photograph in archive.catalogue.keyed(Photograph, row["sha256"]):
            found[row["path"]] = {numbers[d.object]: d for d in photograph.depictions}
    return found


def apply_(archive: Archive, path: Path) -> Applied:
    return apply(archive, read_proposal(path), path.name, "Ines Tidewell")


def test_a_workbook_handed_back_untouched_says_nothing(
    archive: Archive, plugins: Plugins, waiting: Path
) -> None:
    done = written(archive, waiting)
    before = waiting.read_bytes()
    assert hand_back(archive, done.workbook, plugins).path is None
    assert waiting.read_bytes() == before


def test_an_unread_row_is_nobodys_word_and_an_edited_one_is(
    archive: Archive, plugins: Plugins, waiting: Path, tmp_path: Path
) -> None:
    done = written(archive, waiting)

    def edit(row: dict[str, str]) -> dict[str, str]:
        if row["File"] == "HW 1/b.jpg":
            row[HEADINGS[Part.VIEW]] = "mark"
            row[HEADINGS[Part.CAPTION]] = "=the mark"
        if row["File"] == "HW 1/foot.jpg":
            row[HEADINGS[Part.SHOWS]] = "yes"
        if row["File"] == "loose.jpg":
            row[HEADINGS[Part.PIECE]] = "HW 2"
            row[HEADINGS[Part.VIEW]] = "back"
        if row["File"] == "HW 1 HW 2.jpg":
            row[HEADINGS[Part.REGION]] = "HW 1=0,0,10,20; HW 2=20,0,20,30"
        return row

    back = hand_back(archive, hand_edited(done.workbook, tmp_path / "back.csv", edit), plugins)
    assert (back.path, back.waited, back.reviewed) == (waiting, True, 4)
    apply_(archive, waiting)
    shown = photographs_shown(archive)
    assert shown["HW 1/b.jpg"]["HW 1"].view is View.MARK
    assert shown["HW 1/b.jpg"]["HW 1"].caption == "=the mark"
    foot = shown["HW 1/foot.jpg"]["HW 1"]
    assert (foot.view, foot.reviewed) == (View.FOOT_RIM, True)
    assert shown["loose.jpg"]["HW 2"].view is View.BACK
    assert shown["HW 1 HW 2.jpg"]["HW 2"].region is not None
    assert not shown["HW 2/IMG_2009-03-04.jpg"]["HW 2"].reviewed


def test_after_applying_it_is_a_proposal_of_its_own(
    archive: Archive, plugins: Plugins, waiting: Path, tmp_path: Path
) -> None:
    done = written(archive, waiting)
    apply_(archive, waiting)

    def edit(row: dict[str, str]) -> dict[str, str]:
        if row["File"] == "HW 1/b.jpg":
            row[HEADINGS[Part.PIECE]] = "HW 2"
        return row

    edited = hand_edited(done.workbook, tmp_path / "back.csv", edit)
    back = hand_back(archive, edited, plugins)
    assert back.path is not None
    assert back.path != waiting
    assert not back.waited
    apply_(archive, back.path)
    shown = photographs_shown(archive)["HW 1/b.jpg"]
    assert shown["HW 1"].certainty is Certainty.REJECTED
    assert shown["HW 2"].certainty is Certainty.CERTAIN
    assert hand_back(archive, edited, plugins).path is None, "said twice, it is said once"


def test_handed_back_a_second_time_the_last_word_holds(
    archive: Archive, plugins: Plugins, waiting: Path, tmp_path: Path
) -> None:
    done = written(archive, waiting)

    def say(view: str) -> Callable[[dict[str, str]], dict[str, str]]:
        def edit(row: dict[str, str]) -> dict[str, str]:
            return {**row, HEADINGS[Part.VIEW]: view} if row["File"] == "HW 1/b.jpg" else row

        return edit

    for view in ("mouth", "base"):
        hand_back(archive, hand_edited(done.workbook, tmp_path / "b.csv", say(view)), plugins)
    apply_(archive, waiting)
    assert photographs_shown(archive)["HW 1/b.jpg"]["HW 1"].view is View.BASE


def test_a_spreadsheet_of_another_kind_is_refused_and_leaves_nothing_behind(
    archive: Archive, plugins: Plugins, waiting: Path, sheet: Write
) -> None:
    before = sorted(archive.proposals.iterdir())
    with pytest.raises(SelectionError, match="no list of photographs"):
        hand_back(archive, sheet([["No", "What"], ["HW 8", "Jar"]], "jars.csv"), plugins)
    assert sorted(archive.proposals.iterdir()) == before


def test_the_sheet_of_an_applied_proposal_shows_what_the_archive_holds(
    archive: Archive, plugins: Plugins, waiting: Path
) -> None:
    proposal: Proposal = read_proposal(waiting)
    apply_(archive, waiting)
    foot = archive.catalogue.object_named("HW 1")
    photograph = archive.catalogue.photographs_of(foot.id)[0]
    from archivist.intake.viewing import Said, described

    with archive.catalogue.action("edit", "Ines Tidewell", "") as action:
        said = Said(
            captions={photograph.sha256: "As held now"}, views={photograph.sha256: "foot rim"}
        )
        for changed in described(archive, foot, said, plugins):
            action.save(changed)
    lines = {line.sha256: line for line in sheet_of(archive, proposal, "x").lines}
    assert cells_of(lines[photograph.sha256])[HEADINGS[Part.SHOWS]] == "yes"
    assert "As held now" in cells_of(lines[photograph.sha256])[HEADINGS[Part.CAPTION]]


words = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12).map(str.strip)


@given(st.dictionaries(st.sampled_from(EDITABLE), words), st.sampled_from(EDITABLE), words)
def test_exactly_the_cells_that_were_edited_are_taken_as_said(
    before: dict[Part, str], part: Part, new: str
) -> None:
    line = Line(path="a.jpg", sha256="ab" * 32)
    cells = {**cells_of(line), **{HEADINGS[p]: text for p, text in before.items()}}
    from archivist.intake.contact_sheet.layout import seals

    cells[WRITTEN] = seals(cells)
    old = cells[HEADINGS[part]]
    cells[HEADINGS[part]] = new
    row = FoundRow(
        table="", number=2, cells=tuple(Cell(column=c, text=t) for c, t in cells.items())
    )
    (said,) = said_in([row], load_tables())
    fields = {
        Part.PIECE: said.piece,
        Part.VIEW: said.view,
        Part.CAPTION: said.caption,
        Part.REGION: said.region,
        Part.SHOWS: said.shows,
        Part.AUDIENCE: said.audience,
        Part.TAKEN: said.taken,
        Part.COPY: said.copy,
    }
    edited = {p for p, text in fields.items() if text is not None}
    same = " ".join(old.split()) == " ".join(new.split())
    asks = part in (Part.LIKE, Part.CLOCK)
    assert edited == (set() if same or asks else {part})


# What the survey found out about pictures


def test_copies_groups_and_doubts_that_were_found_stand_on_the_sheet(
    archive: Archive, waiting: Path
) -> None:
    import msgspec

    proposal = read_proposal(waiting)
    added = {i.path: i for i in proposal.items if isinstance(i, AddPhotograph)}
    source = proposal.sources[0].id

    def file(path: str, **more: Any) -> PictureFile:
        sha256 = added[path].photograph.sha256
        return PictureFile(path=path, source=source, sha256=sha256, **more)

    copy = Copy(
        path="HW 1/b.jpg",
        sha256=added["HW 1/b.jpg"].photograph.sha256,
        relation=Relation.RESIZED,
        reasons=("half as wide, fingerprints alike",),
    )
    found = Findings(
        photographs=(
            file("HW 1/foot.jpg", taken="2009-03~", taken_ground="folder name", view=View.FOOT_RIM),
            file("HW 1/b.jpg"),
            file("loose.jpg", view=View.BASE, view_ground="a ring fills the frame"),
        ),
        duplicates=(
            SamePicture(
                source=source,
                keeper="HW 1/foot.jpg",
                sha256=added["HW 1/foot.jpg"].photograph.sha256,
                others=(copy,),
            ),
        ),
        groups=(
            Group(
                key="g",
                source=source,
                paths=("loose.jpg",),
                name="A brown pot",
                certainty=Certainty.PROBABLE,
                reasons=("taken within a minute",),
            ),
        ),
        doubts=(Doubt(about="groups", paths=("loose.jpg",), says="it may be HW 2"),),
    )
    sheet = sheet_of(archive, msgspec.structs.replace(proposal, found=found), "x")
    cells = {line.path: cells_of(line) for line in sheet.lines}
    assert cells["HW 1/foot.jpg"][HEADINGS[Part.TAKEN]] == "2009-03~"
    assert "taken: possible, folder name" in cells["HW 1/foot.jpg"][THOUGHT]
    assert "resized of HW 1/foot.jpg" in cells["HW 1/b.jpg"][THOUGHT]
    assert "half as wide" in cells["HW 1/b.jpg"][THOUGHT]
    assert cells["loose.jpg"][HEADINGS[Part.VIEW]] == "base"
    loose = next(g for g in sheet.groups if g.name == "A brown pot")
    assert (loose.certainty, loose.why) == (Certainty.PROBABLE, ("taken within a minute",))
    assert any("it may be HW 2" in doubt for doubt in sheet.doubts)
    told = listed(msgspec.structs.replace(proposal, found=found))
    assert told["photographs"][0]["taken"] == "2009-03~"
    assert told["duplicates"][0]["others"][0]["relation"] == "resized"
    assert told["groups"][0]["name"] == "A brown pot"
    assert told["doubts"] == [
        {"about": "groups", "paths": ["loose.jpg"], "says": "it may be HW 2", "reasons": []}
    ]


def test_the_workbook_itself_comes_back_as_spreadsheet_programs_save_it(
    archive: Archive, plugins: Plugins, waiting: Path, tmp_path: Path
) -> None:
    import xlsxwriter

    rows = rows_of(written(archive, waiting).workbook)
    for row in rows:
        if row["File"] == "HW 1/b.jpg":
            row[HEADINGS[Part.VIEW]] = "lip"
    saved = tmp_path / "Photographs corrected.xlsx"
    book = xlsxwriter.Workbook(str(saved))
    page = book.add_worksheet("Photographs")
    for column, heading in enumerate(ALL_HEADINGS):
        page.write(0, column, heading)
        for number, row in enumerate(rows, start=1):
            page.write(number, column, row[heading])
    book.add_worksheet("How to fill it in").write(0, 0, "Column")
    book.close()
    assert hand_back(archive, saved, plugins).reviewed == 1
    apply_(archive, waiting)
    assert photographs_shown(archive)["HW 1/b.jpg"]["HW 1"].view is View.MOUTH


def test_an_edit_of_the_sheet_and_one_in_the_archive_become_a_question(
    archive: Archive, plugins: Plugins, waiting: Path, tmp_path: Path
) -> None:
    from archivist.intake.viewing import Said, described

    done = written(archive, waiting)
    apply_(archive, waiting)
    bowl = archive.catalogue.object_named("HW 1")
    shown = photographs_shown(archive)["HW 1/b.jpg"]["HW 1"]
    (photograph,) = (p for p in archive.catalogue.photographs_of(bowl.id) if shown in p.depictions)
    with archive.catalogue.action("edit", "Ines Tidewell", "") as action:
        for changed in described(archive, bowl, Said(views={photograph.sha256: "side"}), plugins):
            action.save(changed)

    def edit(row: dict[str, str]) -> dict[str, str]:
        return {**row, HEADINGS[Part.VIEW]: "base"} if row["File"] == "HW 1/b.jpg" else row

    back = hand_back(archive, hand_edited(done.workbook, tmp_path / "b.csv", edit), plugins)
    (question,) = back.handed.questions
    assert "'base'" in question.asks
    assert "'side'" in question.asks
    assert back.path is not None
    rewrite_proposal(back.path, answer_question(back.handed, "1=b"))
    apply_(archive, back.path)
    assert photographs_shown(archive)["HW 1/b.jpg"]["HW 1"].view is View.BASE


def test_a_workbook_that_was_edited_is_never_overwritten(archive: Archive, waiting: Path) -> None:
    first = written(archive, waiting)
    assert written(archive, waiting).aside is None, "one that nobody touched is written anew"
    first.workbook.write_bytes(first.workbook.read_bytes() + b"edited")
    again = written(archive, waiting)
    assert again.aside is not None
    assert again.aside.read_bytes().endswith(b"edited")
    assert written(archive, waiting).aside is None


def test_a_workbook_open_elsewhere_is_named_and_nothing_is_lost(
    archive: Archive, waiting: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path, target: Path) -> Path:
        raise PermissionError(13, "Permission denied")

    before = waiting.read_bytes()
    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(ArchiveError, match="cannot be written"):
        written(archive, waiting)
    assert waiting.read_bytes() == before
    assert not list(waiting.parent.glob("*.new"))
