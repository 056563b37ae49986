"""Writes records as a spreadsheet that can be edited and surveyed again: xlsx and csv, alike."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Any

from archivist.guard import guarded
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist.own_sheet import CUT, HEADINGS, LEAVE_AS_IT_IS, RECORD, VERSION, laid_out

SHEET = "Records"
LONGEST_CELL = 32_767
"""Characters that a cell of a workbook can hold (Office Open XML spreadsheets in practice)."""

_WIDTHS = {RECORD: 10, VERSION: 10, "Stock number": 14, "Title": 40, "Description": 50}
USUAL_WIDTH = 24


class SpreadsheetExporter(Exporter):
    """One row a record, one line in a cell for each statement."""

    def export_selection(self, selection: Selection, package: Package) -> None:
        """Writes `records.xlsx` and `records.csv`."""
        with package.open("records.xlsx") as target:
            target.write(_workbook(_rows(selection), selection.title))
        text = io.StringIO(newline="")
        writer = csv.writer(text)
        writer.writerow(HEADINGS)
        for row in _rows(selection):
            writer.writerow([guarded(row[heading]) for heading in HEADINGS])
        package.write("records.csv", "\ufeff" + text.getvalue())


def _rows(selection: Selection) -> Iterator[dict[str, str]]:
    """The cells of each piece by heading."""
    for piece in selection.pieces():
        yield laid_out(piece.record, _names(piece))


def _names(piece: Piece) -> Any:
    def name(party_id: str) -> str:
        party = piece.party(party_id) if party_id else None
        return (party.name or party.as_published) if party else ""

    return name


def _fitting(text: str) -> str:
    """`text` as a cell of a workbook holds it; where it is cut, the cell says so at its end."""
    if len(text) <= LONGEST_CELL:
        return text
    return text[: LONGEST_CELL - len(CUT)] + CUT


def _workbook(rows: Iterator[dict[str, str]], title: str) -> bytes:
    """The workbook; every cell is text, so that no program counts with or runs what it says."""
    import xlsxwriter

    content = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(content, options)
    book.set_properties({"title": title})
    sheet = book.add_worksheet(SHEET)
    bold = book.add_format({"bold": True, "bottom": 1, "valign": "top", "text_wrap": True})
    words = book.add_format({"text_wrap": True, "valign": "top", "num_format": "@"})
    locked = book.add_format({"valign": "top", "num_format": "@", "font_color": "#888888"})
    for column, heading in enumerate(HEADINGS):
        sheet.write_string(0, column, heading, bold)
        sheet.set_column(column, column, _WIDTHS.get(heading, USUAL_WIDTH), words)
    for number, row in enumerate(rows, start=1):
        for column, heading in enumerate(HEADINGS):
            if row[heading]:
                style = locked if heading in LEAVE_AS_IT_IS else words
                sheet.write_string(number, column, _fitting(row[heading]), style)
    sheet.freeze_panes(1, 4)
    book.close()
    return content.getvalue()
