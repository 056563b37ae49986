"""Bands, repeated headings, merged headings, comments, colours, and sheets that hold no pieces."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import xlsxwriter

from archivist.catalogue.archive import Archive
from archivist.hooks import Cell, FoundRow
from archivist.intake.headings import propose, samples
from archivist.intake.mapping import Mapping, read_mapping, write_mapping
from archivist.intake.roles import Role
from archivist.intake.survey import Told
from archivist.intake.words import read
from archivist.model import ObjectRecord, Party, SaleStage
from archivist.reading.tables import load_tables

TABLES = load_tables()
Look = Callable[..., Told]
Sheet = Callable[..., Path]
HEAD = ["Stock no", "Title", "Size"]
BOWL = ["HW 0401", "Celadon bowl", "H 14 cm"]
VASE = ["HW 0402", "Plain vase", "H 20 cm"]


def record(archive: Archive, number: str) -> ObjectRecord:
    return next(r for r in archive.catalogue.all(ObjectRecord) if r.stock_number == number)


def roles(heading: str, *texts: str) -> Role:
    rows = [
        FoundRow(table="", number=n, cells=(Cell(column=heading, text=text),))
        for n, text in enumerate(texts)
    ]
    return propose(samples(rows), TABLES)[0].role


def test_headings_within_a_table_make_no_records(
    archive: Archive, sheet: Sheet, take_in: Callable[..., object], look: Look
) -> None:
    rows = [HEAD, ["2003"], BOWL, HEAD, ["2004"], VASE]
    told = look(sheet(rows))
    (reason,) = [t.trouble.reason for t in told.proposal.troubles if "heading" in t.trouble.reason]
    assert "left aside: 3 (row 2, 4, 5)" in reason
    take_in(sheet(rows))
    numbers = sorted(r.stock_number for r in archive.catalogue.all(ObjectRecord))
    assert numbers == ["HW 0401", "HW 0402"]


def test_a_row_of_one_cell_that_may_be_a_title_is_asked_and_nothing_made_of_it(
    archive: Archive, sheet: Sheet, look: Look, take_in: Callable[..., object]
) -> None:
    rows = [HEAD, ["Pieces from the Morley house"], BOWL, VASE]
    (asked,) = look(sheet(rows)).proposal.questions
    assert asked.reason == "heading"
    assert [len(choice.items) for choice in asked.choices] == [0, 1]
    take_in(sheet(rows))
    assert len(list(archive.catalogue.all(ObjectRecord))) == 2


def test_a_row_with_only_its_stock_number_is_a_piece(sheet: Sheet, look: Look) -> None:
    told = look(sheet([HEAD, BOWL, VASE, ["HW 0403"]]))
    assert told.proposal.questions == ()
    assert sum(type(i).__name__ == "CreateObject" for i in told.proposal.items) == 3


@pytest.mark.parametrize(
    "rows",
    [
        [["Name", "Address", "Phone"], ["Mrs E. Holm", "14 Quay Street", "+44 1632 960 112"]],
        [["Date", "What", "Amount"], ["12.3.2004", "petrol", "31.20"]],
        [["Firm", "Email"], ["Brand Framers", "post@brand.invalid"]],
    ],
)
def test_a_sheet_that_seems_to_hold_no_pieces_is_asked_about_as_a_whole(
    archive: Archive, sheet: Sheet, look: Look, rows: list[list[str]]
) -> None:
    proposal = look(sheet(rows)).proposal
    assert not [i for i in proposal.items if type(i).__name__ == "CreateObject"]
    (asked,) = [q for q in proposal.questions if q.reason == "no pieces"]
    assert [len(choice.items) for choice in asked.choices] == [0, 1]


def test_words_merged_above_several_headings_belong_to_each(
    tmp_path: Path, archive: Archive, take_in: Callable[..., object]
) -> None:
    path = tmp_path / "merged.xlsx"
    book = xlsxwriter.Workbook(path)
    page = book.add_worksheet("Stock")
    page.merge_range(0, 2, 0, 4, "Sold")
    for number, row in enumerate(
        [
            ["Stock no", "Title", "to", "date", "price", "Size"],
            ["HW 0401", "Celadon bowl", "A. Marr", "12.3.2004", "£350", "H 14 cm"],
            ["HW 0402", "Plain vase", "E. Holm", "14.5.2005", "£90", "H 20 cm"],
        ],
        start=1,
    ):
        page.write_row(number, 0, row)
    book.close()
    take_in(path)
    bowl = record(archive, "HW 0401")
    sales = {fact.stage for fact in bowl.sales}
    assert sales == {SaleStage.SOLD}
    assert not [a for a in bowl.attributions if a.date is not None]
    assert {fact.amount for fact in bowl.sales} >= {"350"}


def test_comments_are_kept_as_private_notes_and_colours_are_told_of(
    tmp_path: Path, archive: Archive, look: Look, take_in: Callable[..., object]
) -> None:
    path = tmp_path / "marked.xlsx"
    book = xlsxwriter.Workbook(path)
    red = book.add_format({"bg_color": "#FF0000"})
    page = book.add_worksheet("Stock")
    for number, row in enumerate([HEAD, BOWL, VASE]):
        page.write_row(number, 0, row, red if number == 2 else None)
    page.write_comment(1, 1, "reserved for Mrs Holm until May", {"author": ""})
    book.close()
    told = look(path)
    (colour,) = [t.trouble for t in told.proposal.troubles if "coloured" in t.trouble.reason]
    assert "1 of its rows have coloured cells (row 3)" in colour.reason
    take_in(path)
    notes = [n for n in record(archive, "HW 0401").notes if "reserved" in n.as_stated]
    assert [(n.as_stated, n.private) for n in notes] == [
        ("Title: reserved for Mrs Holm until May", True)
    ]
    assert not record(archive, "HW 0402").notes


@pytest.mark.parametrize(
    ("heading", "texts", "role"),
    [
        ("Email", ("e.holm@quay.invalid",), Role.BUYER_CONTACT),
        ("Email", ("green", "brown"), Role.BUYER_CONTACT),
        ("Émail", ("céladon",), Role.GLAZE),
        ("Émail", ("e.holm@quay.invalid",), Role.BUYER_CONTACT),
        ("Client e-mail", ("ask the office",), Role.BUYER_CONTACT),
        ("Mobile", ("07700 900 112",), Role.BUYER_CONTACT),
        ("Date", ("12.3.2004", "14.5.2005"), Role.KEEP),
        ("Date", ("2004", "2005"), Role.KEEP),
        ("Date", ("1740", "18th century"), Role.DATE),
        ("Date made", ("2004", "2005"), Role.DATE),
        ("Sold price", ("£350", "£90"), Role.PRICE_SOLD),
        ("Sold date", ("12.3.2004",), Role.SOLD_ON),
        ("Sold (to / date / price)", ("A. Marr / 12.3.2004 / £350",), Role.BUYER),
        ("Old nr", ("A 12",), Role.OTHER_NUMBER),
        ("old no.", ("A 12",), Role.OTHER_NUMBER),
        ("alte Nr.", ("A 12",), Role.OTHER_NUMBER),
        ("Qwzx", ("blue", "folder"), Role.KEEP),
    ],
)
def test_no_heading_is_taken_for_what_its_cells_are_not(
    heading: str, texts: tuple[str, ...], role: Role
) -> None:
    assert roles(heading, *texts) is role


def test_a_cell_of_buyer_day_and_sum_under_one_heading_is_one_sale(
    archive: Archive, sheet: Sheet, take_in: Callable[..., object]
) -> None:
    head = [*HEAD, "Sold (to / date / price)"]
    take_in(sheet([head, [*BOWL, "A. Marr / 12.3.2004 / £350"], [*VASE, "E. Holm"]]))
    (sale,) = record(archive, "HW 0401").sales
    party = archive.catalogue.get(sale.party, Party)
    assert party is not None
    assert sale.date is not None
    assert (party.name, sale.date.edtf, sale.amount) == ("A. Marr", "2004-03-12", "350")


def test_a_day_of_our_own_time_in_a_column_of_dates_is_asked_about() -> None:
    found = read(Role.DATE, "12.3.2004", TABLES)
    assert found.statements == ()
    assert [q.reason for q in found.questions] == ["day"]
    assert len(read(Role.DATE, "12 March 1832", TABLES).statements) == 1


def test_a_column_whose_role_is_changed_by_hand_is_as_private_as_its_new_role(
    tmp_path: Path, archive: Archive, sheet: Sheet, look: Look, take_in: Callable[..., object]
) -> None:
    rows = [[*HEAD, "Qwzx"], [*BOWL, "chip to the rim"], [*VASE, "hairline"]]
    (mapping,) = look(sheet(rows)).mappings
    words = mapping.read_text(encoding="utf-8")
    named = 'heading = "Qwzx"'
    assert named in words
    words = words.replace(named, f'{named}\nrole = "condition"')
    mapping.write_text(words, encoding="utf-8")
    take_in(sheet(rows))
    seen = record(archive, "HW 0401").observations
    assert seen
    assert not any(observation.private for observation in seen)


def test_a_column_once_written_down_as_private_for_want_of_a_role_is_so_no_more(
    tmp_path: Path,
) -> None:
    path = tmp_path / "columns.toml"
    path.write_text(
        'source = "s"\n[[column]]\nheading = "A"\nrole = "condition"\nprivate = true\n'
        'because = "nothing says what this column holds"\n',
        encoding="utf-8",
    )
    (column,) = read_mapping(path).column
    assert not column.private


def test_what_a_person_says_of_privacy_holds_and_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "columns.toml"
    path.write_text(
        'source = "s"\n[[column]]\nheading = "A"\nrole = "condition"\nprivate = true\n'
        '[[column]]\nheading = "B"\nrole = "keep"\nprivate = false\n'
        '[[column]]\nheading = "C"\nrole = "keep"\n',
        encoding="utf-8",
    )
    first = read_mapping(path)
    assert [column.private for column in first.column] == [True, False, True]
    write_mapping(path, Mapping(source="s", column=first.column))
    assert read_mapping(path) == first
