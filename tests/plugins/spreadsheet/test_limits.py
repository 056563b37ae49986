"""A spreadsheet costs at most what it may, whatever it claims, and that is said."""

from __future__ import annotations

import os
import zipfile
from pathlib import Path

import pytest
import xlsxwriter

from archivist.hooks import Found, FoundRow, Trouble
from archivist_plugins.spreadsheet import apart, child, delimited
from archivist_plugins.spreadsheet.reader import SpreadsheetReader

pytestmark = pytest.mark.skipif(os.name == "nt", reason="limits of a process are set on POSIX")


def read(path: Path) -> list[Found]:
    return list(SpreadsheetReader().read(path))


def test_a_stray_cell_in_the_last_row_and_column_ends_in_a_word_about_it(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(tmp_path / "a.xlsx") as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["Number", "Title"])
        sheet.write_row(1, 0, ["T 1", "Bowl"])
        sheet.write(1048575, 16383, "x")
    (trouble,) = read(tmp_path / "a.xlsx")
    assert isinstance(trouble, Trouble)
    assert "XFD1048576" in trouble.reason
    assert "450 MB" in trouble.reason
    assert "Delete what stands far outside" in trouble.remedy


def test_a_cell_of_half_a_gigabyte_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path) as book:
        book.add_worksheet().write_row(0, 0, ["Number", "Title"])
    with zipfile.ZipFile(path) as whole:
        parts = {name: whole.read(name) for name in whole.namelist()}
    head, row = parts.pop("xl/worksheets/sheet1.xml").split(b"</row>", 1)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as bomb:
        for name, content in parts.items():
            bomb.writestr(name, content)
        with bomb.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as member:
            member.write(head + b'</row><row r="2"><c r="A2" t="inlineStr"><is><t>')
            for _ in range(512):
                member.write(b"x" * (1 << 20))
            member.write(b"</t></is></c></row>" + row)
    (trouble,) = [found for found in read(path) if isinstance(found, Trouble)]
    assert "MB of memory" in trouble.reason


def test_a_reader_that_ends_in_the_middle_is_told_and_leaves_no_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with xlsxwriter.Workbook(tmp_path / "a.xlsx") as book:
        sheet = book.add_worksheet()
        for number in range(3000):
            sheet.write_row(number, 0, ["Number", f"Title {number}"])
    with apart.Workbook(tmp_path / "a.xlsx") as opened:
        (sheet_read,) = [grid for grid in opened.sheets() if next(iter(grid.rows))]
        assert sheet_read.name == "Sheet1"
        process = opened._process
    assert process.poll() is not None


def test_a_long_cell_is_told_by_its_length() -> None:
    assert child._cell("x" * (1 << 20)) == "x" * (1 << 20)
    assert "1048577 characters" in child._cell("x" * ((1 << 20) + 1))


def test_what_the_other_process_reads_is_what_would_be_read_in_this_one(tmp_path: Path) -> None:
    from archivist_plugins.spreadsheet import workbook
    from archivist_plugins.spreadsheet.grid import found_in

    with xlsxwriter.Workbook(tmp_path / "a.xlsx") as book:
        for name in ("One", "Two"):
            sheet = book.add_worksheet(name)
            sheet.merge_range("A1:C1", "Stock")
            sheet.write_row(1, 0, ["Number", "Title", "Größe 箱"])
            for number in range(450):
                sheet.write_row(2 + number, 0, [f"T {number}", "Bowl", number / 3])
            sheet.write_formula(3, 2, "=1/0", None, "#DIV/0!")
    here = [f for grid in workbook.grids(tmp_path / "a.xlsx") for f in found_in(grid, False)]
    assert read(tmp_path / "a.xlsx") == here
    assert sum(isinstance(found, FoundRow) for found in here) == 900


def test_a_text_file_above_the_limit_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(delimited, "LARGEST_TEXT", 100)
    (tmp_path / "a.csv").write_text("Number,Title\n" + "T 1,Bowl\n" * 20, encoding="utf-8")
    (trouble,) = read(tmp_path / "a.csv")
    assert isinstance(trouble, Trouble)
    assert "at most 100 is read" in trouble.reason
