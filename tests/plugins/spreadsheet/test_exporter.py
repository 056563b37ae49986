"""The exported spreadsheet can be edited and surveyed again: only edits are proposed."""

from __future__ import annotations

import csv
import io
import tempfile
from collections.abc import Callable, Iterator, Sequence
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import msgspec
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from archivist.catalogue.archive import Archive
from archivist.hooks import FoundRow, Piece
from archivist.intake.apply import apply
from archivist.intake.proposal import ChangeObject, CreateObject
from archivist.intake.survey import Told, survey
from archivist.model import (
    STATEMENT_FIELDS,
    Aspect,
    Attribution,
    Certainty,
    Date,
    Note,
    ObjectRecord,
    Party,
    SaleFact,
    SaleStage,
    Term,
    Title,
)
from archivist.own_sheet import CUT, HEADINGS, NOT_HELD, RECORD, VERSION, laid_out, taken_apart
from archivist.plugins import Plugins, load_plugins
from archivist.testing import BOWL, FARMHOUSE, export, sample_selection
from archivist_plugins.spreadsheet import archivist_exporters
from archivist_plugins.spreadsheet.exporter import LONGEST_CELL
from archivist_plugins.spreadsheet.reader import SpreadsheetReader

SOLD = (
    SaleFact(stage=SaleStage.SOLD, as_stated="Dr Brunnick", party="p1"),
    SaleFact(stage=SaleStage.SOLD, as_stated="2005-02-26", date=Date(edtf="2005-02-26")),
    SaleFact(stage=SaleStage.BOUGHT, amount="310", currency="GBP"),
)
RICH = msgspec.structs.replace(
    BOWL, sales=SOLD, notes=(Note(heading="Shelf", as_stated="B2", private=True),)
)
BUYER = Party(id="p1", name="Dr Casimir Brunnick")
JUG = ObjectRecord(id="6b9f9c36-6b0e-4a52-8e5e-0d0b4a4ad001", stock_number="0421")


@pytest.fixture(scope="module")
def plugins() -> Plugins:
    return load_plugins([EntryPoint("s", "archivist_plugins.spreadsheet", "archivist")])


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with Archive.create(tmp_path / "archive", owner="Ines Tidewell") as opened:
        with opened.catalogue.action("add", "Ines Tidewell") as action:
            for entity in (FARMHOUSE, BUYER, RICH, JUG):
                action.save(entity)
        yield opened


def exported(archive: Archive, folder: Path) -> Path:
    """The folder with the two files that the exporter writes for the owner."""
    parties = tuple(archive.catalogue.all(Party))
    pieces = [
        Piece(record=r, photographs=(), parties=parties, slug=f"piece-{n}", uri="urn:x")
        for n, r in enumerate(archive.catalogue.all(ObjectRecord))
    ]
    selection = sample_selection(folder / "unused", pieces, audience="owner")
    export(archivist_exporters()[0], selection, folder)
    return folder / "spreadsheet"


def table(path: Path) -> list[dict[str, str]]:
    found = SpreadsheetReader().read(path)
    return [{c.column: c.text for c in f.cells if c.text} for f in found if isinstance(f, FoundRow)]


def written(path: Path, rows: Sequence[dict[str, str]]) -> Path:
    """The rows as a sheet again, as an owner's program would save them."""
    headings = list(dict.fromkeys([*HEADINGS, *(h for row in rows for h in row)]))
    book = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False})
    sheet = book.add_worksheet("Records")
    for column, heading in enumerate(headings):
        sheet.write_string(0, column, heading)
        for number, row in enumerate(rows, start=1):
            if row.get(heading):
                sheet.write_string(number, column, row[heading])
    book.close()
    return path


Edit = Callable[[list[dict[str, str]]], None]


@pytest.fixture
def edited(archive: Archive, plugins: Plugins, tmp_path: Path) -> Callable[[Edit], Told]:
    """Exports, edits the rows, and surveys what came of it."""

    def run(edit: Edit) -> Told:
        rows = table(exported(archive, tmp_path / "out") / "records.xlsx")
        edit(rows)
        return survey(archive, [written(tmp_path / "edited.xlsx", rows)], plugins)

    return run


def changes(told: Told) -> list[ChangeObject]:
    return [i for i in told.proposal.items if isinstance(i, ChangeObject)]


def row_of(rows: list[dict[str, str]], number: str = "T 0417") -> dict[str, str]:
    return next(row for row in rows if row.get("Stock number") == number)


def held(archive: Archive, number: str = "T 0417") -> ObjectRecord:
    return archive.catalogue.object_named(number)


def do(archive: Archive, told: Told) -> None:
    assert told.path is not None
    apply(archive, told.proposal, told.path.name, "Ines")


@pytest.mark.parametrize("name", ["records.xlsx", "records.csv"])
def test_a_sheet_that_nobody_edited_proposes_no_change(
    archive: Archive, plugins: Plugins, tmp_path: Path, name: str
) -> None:
    told = survey(archive, [exported(archive, tmp_path / "out") / name], plugins)
    assert changes(told) == []
    assert told.proposal.questions == ()
    assert (told.unchanged, told.path) == (2, None)


def test_both_files_say_the_same(archive: Archive, tmp_path: Path) -> None:
    folder = exported(archive, tmp_path / "out")
    assert table(folder / "records.xlsx") == table(folder / "records.csv")
    row = row_of(table(folder / "records.xlsx"))
    assert row[RECORD] == BOWL.id
    assert row["Date made"] == "late 18th or early 19th century (probable)\nc. 1900 (possible)"
    assert row["Price paid"] == "310 GBP"
    assert row["Private notes"] == "Shelf: B2"


def test_an_edited_line_changes_its_own_statement_and_no_other(
    archive: Archive, edited: Callable[[Edit], Told]
) -> None:
    before = held(archive)

    def edit(rows: list[dict[str, str]]) -> None:
        cell = row_of(rows)
        cell["Date made"] = cell["Date made"].replace("c. 1900", "c. 1880")

    told = edited(edit)
    (change,) = changes(told)
    assert "'c. 1900 (possible)' became 'c. 1880 (possible)'" in change.reasons[0]
    do(archive, told)
    after = held(archive)
    dates = [a for a in after.attributions if a.date]
    assert [a.as_stated for a in dates] == ["late 18th or early 19th century", "c. 1880"]
    assert dates[0] == before.attributions[0]
    assert dates[1].date is not None
    assert dates[1].date.earliest == 1875
    assert [a.certainty for a in dates] == [Certainty.PROBABLE, Certainty.POSSIBLE]
    for field in STATEMENT_FIELDS:
        if field != "attributions":
            assert getattr(after, field) == getattr(before, field)


def test_an_applied_edit_is_not_proposed_again(
    archive: Archive, edited: Callable[[Edit], Told], plugins: Plugins, tmp_path: Path
) -> None:
    def edit(rows: list[dict[str, str]]) -> None:
        row_of(rows)["Condition"] = "hairline from rim; chip to the lip, old"
        row_of(rows)["Title"] = "Lotus bowl"

    do(archive, edited(edit))
    assert held(archive).title == "Lotus bowl"
    assert survey(archive, [tmp_path / "edited.xlsx"], plugins).path is None


def test_an_edit_of_what_changed_in_the_catalogue_too_is_asked_about(
    archive: Archive, plugins: Plugins, tmp_path: Path
) -> None:
    rows = table(exported(archive, tmp_path / "out") / "records.xlsx")
    row_of(rows)["Title"] = "From the sheet"
    with archive.catalogue.action("edit", "Ines") as action:
        action.save(
            msgspec.structs.replace(
                held(archive), titles=(Title(value="From the catalogue", preferred=True),)
            )
        )
    told = survey(archive, [written(tmp_path / "edited.xlsx", rows)], plugins)
    assert changes(told) == []
    (question,) = told.proposal.questions
    assert "From the sheet" in question.asks
    assert "From the catalogue" in question.asks
    sheet = msgspec.structs.replace(question, answer="the spreadsheet")
    do(archive, Told(msgspec.structs.replace(told.proposal, questions=(sheet,)), told.path, 0))
    assert held(archive).title == "From the sheet"


def test_changes_of_other_fields_in_the_catalogue_are_no_conflict(
    archive: Archive, plugins: Plugins, tmp_path: Path
) -> None:
    rows = table(exported(archive, tmp_path / "out") / "records.xlsx")
    row_of(rows)["Title"] = "From the sheet"
    with archive.catalogue.action("edit", "Ines") as action:
        action.save(msgspec.structs.replace(held(archive), marks=()))
    told = survey(archive, [written(tmp_path / "edited.xlsx", rows)], plugins)
    assert len(changes(told)) == 1, "the mark, which the old sheet still has, does not come back"
    do(archive, told)
    assert (held(archive).title, held(archive).marks) == ("From the sheet", ())


def test_an_emptied_cell_takes_its_statements_away(
    archive: Archive, edited: Callable[[Edit], Told]
) -> None:
    do(archive, edited(lambda rows: row_of(rows).update({"Condition": ""})))
    assert held(archive).observations == ()


def test_a_row_without_an_identifier_is_a_new_record(
    archive: Archive, edited: Callable[[Edit], Told], plugins: Plugins, tmp_path: Path
) -> None:
    told = edited(lambda rows: rows.append({"Stock number": "T 9", "Title": "Delft plate"}))
    (create,) = [i for i in told.proposal.items if isinstance(i, CreateObject)]
    do(archive, told)
    assert held(archive, "T 9").id == create.record.id
    assert survey(archive, [tmp_path / "edited.xlsx"], plugins).path is None


def test_a_column_that_the_owner_added_is_kept_word_for_word(
    archive: Archive, edited: Callable[[Edit], Told], plugins: Plugins, tmp_path: Path
) -> None:
    do(archive, edited(lambda rows: row_of(rows).update({"Ask Edith": "about the foot"})))
    note = held(archive).notes[-1]
    assert (note.heading, note.as_stated, note.private) == ("Ask Edith", "about the foot", True)
    assert survey(archive, [tmp_path / "edited.xlsx"], plugins).path is None


def test_zeros_and_days_that_a_program_rewrote_are_no_edits(
    edited: Callable[[Edit], Told],
) -> None:
    def rewrite(rows: list[dict[str, str]]) -> None:
        row_of(rows, "0421")["Stock number"] = "421"
        row_of(rows)["Sold on"] = "26/02/2005"

    assert changes(edited(rewrite)) == []


def test_a_changed_stock_number_is_an_edit(
    archive: Archive, edited: Callable[[Edit], Told]
) -> None:
    do(archive, edited(lambda rows: row_of(rows).update({"Stock number": "T 0900"})))
    assert held(archive, "T 0900").id == BOWL.id


def test_a_record_of_another_archive_is_named_and_nothing_is_done(
    edited: Callable[[Edit], Told],
) -> None:
    told = edited(
        lambda rows: row_of(rows).update({RECORD: "00000000-0000-4000-8000-000000000000"})
    )
    assert "not in this archive" in told.proposal.troubles[0].trouble.reason
    assert changes(told) == []


def test_an_edit_of_an_unknown_version_is_asked_about(edited: Callable[[Edit], Told]) -> None:
    told = edited(lambda rows: row_of(rows).update({VERSION: "?", "Title": "Something else"}))
    assert changes(told) == []
    assert "not known which version" in told.proposal.questions[0].asks


DANGEROUS = ["=1+1", "+44", "-5", "@x", "'=x", "=cmd|'/c calc'!A0"]


def test_nothing_in_the_csv_begins_like_a_formula(tmp_path: Path) -> None:
    record = ObjectRecord(id=BOWL.id, titles=tuple(Title(value=w) for w in DANGEROUS))
    for number, words in enumerate(DANGEROUS):
        piece = Piece(
            record=msgspec.structs.replace(record, titles=(Title(value=words),)),
            photographs=(),
            parties=(),
            slug="x",
            uri="urn:x",
        )
        selection = sample_selection(tmp_path / "unused", [piece])
        export(archivist_exporters()[0], selection, tmp_path / str(number))
        path = tmp_path / str(number) / "spreadsheet/records.csv"
        data = path.read_bytes()
        assert data.startswith(b"\xef\xbb\xbf")
        cells = [c for r in csv.reader(io.StringIO(data.decode("utf-8-sig"))) for c in r]
        assert not [c for c in cells if c.startswith(("=", "+", "-", "@"))]
        assert table(path)[0]["Title"] == words, "and it reads as it was"
        assert table(path.with_suffix(".xlsx"))[0]["Title"] == words


WORDS = st.text(
    alphabet=st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=60
)


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(WORDS, WORDS)
def test_any_words_come_back_as_they_were_so_that_no_edit_is_seen(
    tmp_path: Path, plugins: Plugins, title: str, note: str
) -> None:
    record = msgspec.structs.replace(
        BOWL, titles=(Title(value=title),), notes=(Note(as_stated=note),)
    )
    folder = Path(tempfile.mkdtemp(dir=tmp_path))
    with Archive.create(folder / "archive", owner="Ines") as archive:
        with archive.catalogue.action("add", "Ines") as action:
            action.save(record)
        out = exported(archive, folder)
        for name in ("records.xlsx", "records.csv"):
            told = survey(archive, [out / name], plugins)
            assert changes(told) == [], name
            assert told.proposal.questions == ()


def test_what_a_sheet_has_no_place_for_is_said() -> None:
    description: Any = archivist_exporters()[0]
    assert any("ground of statements" in loss for loss in description.losses)


def test_what_is_rejected_doubted_or_said_by_another_is_in_no_cell_as_a_plain_value(
    tmp_path: Path,
) -> None:
    said: list[Attribution] = [
        Attribution(
            aspect=Aspect.PERIOD,
            as_stated="Ming",
            term=Term(label="Ming"),
            certainty=certainty,
            who=who,
            part=part,
        )
        for certainty in Certainty
        for who in ("", FARMHOUSE.id)
        for part in ("", "cover")
    ]
    for one in said:
        record = msgspec.structs.replace(RICH, attributions=(one,))
        names = {FARMHOUSE.id: "private collection, Wales"}
        cell = laid_out(record, lambda id_: names.get(id_, ""))["Period"]  # noqa: B023
        plain = one.certainty is Certainty.CERTAIN and not one.who and not one.part
        assert (cell == "Ming") is plain
        assert (f"{NOT_HELD}: " in cell) is (one.certainty is Certainty.REJECTED)
        assert ("according to" in cell) is bool(one.who)
        assert ("cover: " in cell) is bool(one.part)
        whole = taken_apart(cell)
        assert whole.words == ("cover: Ming" if one.part else "Ming")
        assert (whole.certainty or Certainty.CERTAIN) is one.certainty
        assert whole.holder == names.get(one.who, "")


def test_an_edit_of_a_line_that_is_doubted_keeps_its_doubt_and_whose_it_is(
    archive: Archive, edited: Callable[[Edit], Told]
) -> None:
    doubted = Attribution(
        aspect=Aspect.DATE,
        as_stated="c. 1860",
        certainty=Certainty.REJECTED,
        who=BUYER.id,
        part="cover",
        date=Date(edtf="1860~", earliest=1855, latest=1865),
    )
    with archive.catalogue.action("edit", "Ines") as action:
        record = held(archive)
        action.save(msgspec.structs.replace(record, attributions=(*record.attributions, doubted)))

    def edit(rows: list[dict[str, str]]) -> None:
        cell = row_of(rows)
        assert f"{NOT_HELD}: cover: c. 1860 (according to {BUYER.name})" in cell["Date made"]
        cell["Date made"] = cell["Date made"].replace("c. 1860", "c. 1870")

    told = edited(edit)
    do(archive, told)
    last = held(archive).attributions[-1]
    assert (last.as_stated, last.certainty, last.who, last.part) == (
        "c. 1870",
        Certainty.REJECTED,
        BUYER.id,
        "cover",
    )


def test_a_cell_that_is_cut_says_so(archive: Archive, tmp_path: Path) -> None:
    long = msgspec.structs.replace(BOWL, descriptions=(Note(as_stated="word " * 9000),))
    with archive.catalogue.action("edit", "Ines") as action:
        action.save(long)
    folder = exported(archive, tmp_path / "out")
    cut = row_of(table(folder / "records.xlsx"))["Description"]
    assert len(cut) == LONGEST_CELL
    assert cut.endswith(CUT)
    assert len(row_of(table(folder / "records.csv"))["Description"]) > LONGEST_CELL


def test_a_cell_that_was_cut_is_no_edit_and_an_edit_of_one_is_told(
    archive: Archive, plugins: Plugins, tmp_path: Path
) -> None:
    long = msgspec.structs.replace(BOWL, descriptions=(Note(as_stated="word " * 9000),))
    with archive.catalogue.action("edit", "Ines") as action:
        action.save(long)
    rows = table(exported(archive, tmp_path / "out") / "records.xlsx")
    told = survey(archive, [written(tmp_path / "same.xlsx", rows)], plugins)
    assert changes(told) == []
    row_of(rows)["Description"] = row_of(rows)["Description"].replace("word", "other", 1)
    told = survey(archive, [written(tmp_path / "edited.xlsx", rows)], plugins)
    assert changes(told) == []
    assert any("was cut" in trouble.trouble.reason for trouble in told.proposal.troubles)
