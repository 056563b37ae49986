"""The reader of spreadsheets: every cell with its heading and its place, whatever the file is."""

from __future__ import annotations

import datetime
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from archivist.hooks import Found, FoundRow, Trouble
from archivist_plugins.spreadsheet.grid import letters
from archivist_plugins.spreadsheet.reader import SpreadsheetReader
from archivist_plugins.spreadsheet.workbook import number


def read(path: Path) -> list[Found]:
    assert SpreadsheetReader().sure(path) > 0.5
    return list(SpreadsheetReader().read(path))


def rows(found: list[Found]) -> list[dict[str, str]]:
    return [{c.column: c.text for c in f.cells if c.text} for f in found if isinstance(f, FoundRow)]


def troubles(found: list[Found]) -> list[Trouble]:
    return [f for f in found if isinstance(f, Trouble)]


def workbook(path: Path) -> xlsxwriter.Workbook:
    return xlsxwriter.Workbook(path, {"strings_to_formulas": False})


def test_headings_are_found_below_a_merged_title_and_an_empty_row(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    sheet = book.add_worksheet("Stock")
    sheet.merge_range(0, 0, 0, 2, "The stock book of nobody in particular")
    sheet.write_row(2, 0, ["No", "What", "Size"])
    sheet.write_row(3, 0, ["T 1", "bowl", "9 cm"])
    book.close()
    found = read(tmp_path / "a.xlsx")
    assert rows(found) == [{"No": "T 1", "What": "bowl", "Size": "9 cm"}]
    assert isinstance(found[0], FoundRow)
    assert (found[0].number, found[0].cells[2].place) == (4, "sheet Stock, row 4, column C")


def test_cells_merged_downwards_give_their_words_to_every_row(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["No", "From"])
    sheet.write_column(1, 0, ["1a", "2a", "3a", "4a"])
    sheet.merge_range(1, 1, 3, 1, "Salzgate fair")
    book.close()
    assert [r.get("From", "") for r in rows(read(tmp_path / "a.xlsx"))] == [
        "Salzgate fair",
        "Salzgate fair",
        "Salzgate fair",
        "",
    ]


def test_headings_merged_across_are_joined_with_those_below_them(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["No"])
    sheet.merge_range(0, 1, 0, 2, "Size")
    sheet.write_row(1, 1, ["height", "width"])
    sheet.write_row(2, 0, ["T 1", "9 cm", "4 cm"])
    book.close()
    assert rows(read(tmp_path / "a.xlsx")) == [
        {"No": "T 1", "Size height": "9 cm", "Size width": "4 cm"}
    ]


def test_days_and_numbers_read_as_they_would_be_typed(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    sheet = book.add_worksheet()
    day = book.add_format({"num_format": "dd/mm/yyyy"})
    sheet.write_row(0, 0, ["day", "serial", "whole", "part", "yes"])
    sheet.write_datetime(1, 0, datetime.date(2004, 5, 8), day)
    sheet.write_number(1, 1, 38808)
    sheet.write_number(1, 2, 310)
    sheet.write_number(1, 3, 0.1 + 0.2)
    sheet.write_boolean(1, 4, True)
    book.close()
    assert rows(read(tmp_path / "a.xlsx")) == [
        {"day": "2004-05-08", "serial": "38808", "whole": "310", "part": "0.3", "yes": "TRUE"}
    ]


def test_a_formula_error_is_named_with_its_place_and_kept_as_words(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    sheet = book.add_worksheet("Stock")
    sheet.write_row(0, 0, ["No", "Margin"])
    sheet.write_row(1, 0, ["T 1"])
    sheet.write_formula(1, 1, "=A2*2", None, "#VALUE!")
    sheet.write_row(2, 0, ["T 2"])
    sheet.write_formula(2, 1, "=1/4", None, 0.25)
    book.close()
    found = read(tmp_path / "a.xlsx")
    assert rows(found) == [{"No": "T 1", "Margin": "#VALUE!"}, {"No": "T 2", "Margin": "0.25"}]
    (trouble,) = troubles(found)
    assert trouble.place == "sheet Stock, row 2, column B"
    assert "#VALUE!" in trouble.reason


def test_a_sheet_with_headings_and_no_rows_is_named(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    book.add_worksheet("Empty")
    sheet = book.add_worksheet("Stock")
    sheet.write_row(0, 0, ["No", "What"])
    book.close()
    empty, no_rows = troubles(read(tmp_path / "a.xlsx"))
    assert empty.harmless
    assert not no_rows.harmless
    assert "no rows" in no_rows.reason


def test_three_hundred_columns_keep_their_headings_apart(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["Notes"] * 50 + [f"Photo no {n}" for n in range(100)] + [""] * 150)
    sheet.write_row(1, 0, [f"word {n}" for n in range(300)])
    book.close()
    (row,) = rows(read(tmp_path / "a.xlsx"))
    assert len(row) == 300
    assert row["Notes"] == "word 0"
    assert row["Notes (2)"] == "word 1"
    assert row[f"column {letters(299)}"] == "word 299"


def test_every_sheet_of_a_workbook_is_read_and_named(tmp_path: Path) -> None:
    book = workbook(tmp_path / "a.xlsx")
    for name in ("Stock", "Sold"):
        sheet = book.add_worksheet(name)
        sheet.write_row(0, 0, ["No", "What"])
        sheet.write_row(1, 0, [f"{name} 1", "bowl"])
    book.close()
    found = read(tmp_path / "a.xlsx")
    assert [(f.table, f.cells[0].text) for f in found if isinstance(f, FoundRow)] == [
        ("Stock", "Stock 1"),
        ("Sold", "Sold 1"),
    ]


def test_a_sheet_without_headings_names_columns_by_their_letters(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("101,12,3\n102,13,4\n", encoding="utf-8")
    assert rows(read(tmp_path / "a.csv"))[0] == {
        "column A": "101",
        "column B": "12",
        "column C": "3",
    }


WORDS = "No;Piece;From\nHW 1;café stain – 20½ cm;Castagnac père\n"


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "utf-32"]
)
def test_text_is_read_in_whatever_encoding_it_is(tmp_path: Path, encoding: str) -> None:
    (tmp_path / "a.csv").write_bytes(WORDS.encode(encoding))
    found = read(tmp_path / "a.csv")
    assert rows(found) == [{"No": "HW 1", "Piece": "café stain – 20½ cm", "From": "Castagnac père"}]
    assert not troubles(found)


def test_an_encoding_that_is_guessed_is_said_to_be(tmp_path: Path) -> None:
    text = "番号,品名,産地\n1,茶碗 黒釉,瀬戸 日本の焼き物です\n2,皿 青磁の大きな皿,有田\n" * 4
    (tmp_path / "a.csv").write_bytes(text.encode("shift_jis"))
    found = read(tmp_path / "a.csv")
    assert rows(found)[0]["品名"] == "茶碗 黒釉"
    assert "guess" in troubles(found)[0].reason


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_what_parts_the_cells_is_found_out(tmp_path: Path, delimiter: str) -> None:
    lines = [["No", "What", "Price"], ["1a", '"cup, with saucer; blue | white"', "3,50"]]
    if delimiter == ",":
        lines[1][2] = '"3,50"'
    text = "\n".join(delimiter.join(line) for line in lines) + "\n"
    (tmp_path / "a.csv").write_text(text, encoding="utf-8")
    assert rows(read(tmp_path / "a.csv")) == [
        {"No": "1a", "What": "cup, with saucer; blue | white", "Price": "3,50"}
    ]


def test_a_quotation_mark_that_is_never_closed_swallows_no_rows(tmp_path: Path) -> None:
    body = "\n".join(f"{n}a;bowl {n};9 cm" for n in range(2, 20))
    (tmp_path / "a.csv").write_text(f'No;What;Size\n1a;"9 in bowl;x\n{body}\n', encoding="utf-8")
    found = read(tmp_path / "a.csv")
    assert len(rows(found)) == 19
    assert rows(found)[0]["What"] == '"9 in bowl'
    assert "never closed" in troubles(found)[0].reason


def test_line_breaks_within_a_cell_stay_in_it(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text('No,Notes\n1a,"one\ntwo"\n2a,three\n', encoding="utf-8")
    assert rows(read(tmp_path / "a.csv"))[0]["Notes"] == "one\ntwo"


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.xlsx", b""),
        ("a.xlsx", b"this is no workbook at all"),
        ("a.xlsx", b"PK\x03\x04 cut short"),
        ("a.ods", b"PK\x03\x04"),
        ("a.xls", b"<html><table><tr><td>No</td></tr></table></html>"),
    ],
)
def test_a_workbook_that_is_none_is_named_with_what_to_do(
    tmp_path: Path, name: str, content: bytes
) -> None:
    (tmp_path / name).write_bytes(content)
    (trouble,) = read(tmp_path / name)
    assert isinstance(trouble, Trouble)
    assert name in trouble.reason
    assert "save it as" in trouble.remedy


def test_an_ods_sheet_is_read(tmp_path: Path) -> None:
    """The parts that OpenDocument 1.3 (part 2, 2.2; part 3, 9.1) asks of a spreadsheet."""
    content = (
        '<?xml version="1.0" encoding="UTF-8"?><office:document-content '
        'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.3">'
        '<office:body><office:spreadsheet><table:table table:name="Stock">'
        + "".join(
            "<table:table-row>"
            + "".join(
                '<table:table-cell office:value-type="string">'
                f"<text:p>{cell}</text:p></table:table-cell>"
                for cell in row
            )
            + "</table:table-row>"
            for row in (("No", "What"), ("T 1", "bowl"))
        )
        + "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(tmp_path / "a.ods", "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr(
            "META-INF/manifest.xml",
            '<?xml version="1.0"?><manifest:manifest '
            'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
        package.writestr("content.xml", content)
    assert rows(read(tmp_path / "a.ods")) == [{"No": "T 1", "What": "bowl"}]


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e20, max_value=1e20))
def test_numbers_keep_the_fifteen_digits_a_sheet_keeps_and_have_no_exponent(value: float) -> None:
    shown = number(value)
    assert "e" not in shown
    assert float(shown) == pytest.approx(value, rel=1e-14, abs=1e-300)


@given(st.integers(min_value=0, max_value=16383))
def test_column_letters_are_those_of_spreadsheets(column: int) -> None:
    from xlsxwriter.utility import xl_col_to_name

    assert letters(column) == xl_col_to_name(column)
