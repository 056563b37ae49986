"""Writes the two sheets: the stock book (XLSX) and an older list (CSV, Windows-1252)."""

from datetime import UTC, date, datetime
from pathlib import Path

import xlsxwriter
from stock import COLUMNS, OLD_COLUMNS, OLD_ROWS, ROWS, Day, Row, Serial

TITLE = "H. Wenderholt, Works of Art, 3 Pump Lane, Ostringham. Stock book (continued from the red)"
COST, ASKED = COLUMNS.index("Cost £"), COLUMNS.index("Asked £")
FIRST_ROW = 3
WIDTHS = (10, 40, 20, 24, 22, 38, 24, 30, 26, 12, 9, 9, 12, 22, 30, 9, 32, 9)


def serial_number(day: date) -> int:
    """Days since 30 December 1899, as spreadsheets count them for dates after February 1900."""
    return (day - date(1899, 12, 30)).days


def write_stock_book(path: Path) -> None:
    """Write the stock book: a merged title, an empty row, the header, then the pieces."""
    book = xlsxwriter.Workbook(path)
    made = datetime(2018, 1, 6, 10, 0, tzinfo=UTC)
    book.set_properties({"title": "Stock book", "author": "H. Wenderholt", "created": made})
    sheet = book.add_worksheet("Stock")
    title = book.add_format({"bold": True, "font_size": 14})
    header = book.add_format({"bold": True, "bottom": 1, "text_wrap": True})
    words = book.add_format({"text_wrap": True, "valign": "top"})
    plain = book.add_format({"valign": "top"})
    day_format = book.add_format({"num_format": "dd/mm/yyyy", "valign": "top", "align": "left"})
    sheet.merge_range(0, 0, 0, len(COLUMNS), TITLE, title)
    for column, name in enumerate((*COLUMNS, "Margin")):
        sheet.write_string(2, column, name, header)
        sheet.set_column(column, column, WIDTHS[column])
    for line, row in enumerate(ROWS, start=FIRST_ROW):
        for column, cell in enumerate(row):
            match cell:
                case None:
                    continue
                case Day(when):
                    sheet.write_number(line, column, serial_number(when), day_format)
                case Serial(when):
                    sheet.write_number(line, column, serial_number(when), plain)
                case int() | float():
                    sheet.write_number(line, column, cell, plain)
                case _:
                    sheet.write_string(line, column, str(cell), words)
        _write_margin(sheet, line, row)
    sheet.freeze_panes(FIRST_ROW, 1)
    book.close()


def _write_margin(sheet: "xlsxwriter.worksheet.Worksheet", line: int, row: Row) -> None:
    """Price asked less cost; where one of them is words the cell holds the error a sheet shows."""
    cost, asked = row[COST], row[ASKED]
    if asked is None:
        return
    value = asked - cost if isinstance(cost, int) and isinstance(asked, int) else "#VALUE!"
    formula = f"=L{line + 1}-K{line + 1}"
    sheet.write_formula(line, len(COLUMNS), formula, None, value)


def write_old_list(path: Path) -> None:
    """Write the older list with semicolons, Windows-1252 letters and Windows line ends."""
    lines = [";".join(_quoted(cell) for cell in row) for row in (OLD_COLUMNS, *OLD_ROWS)]
    path.write_bytes(("\r\n".join(lines) + "\r\n").encode("cp1252"))


def _quoted(cell: str) -> str:
    return f'"{cell}"' if any(mark in cell for mark in ';"') else cell
