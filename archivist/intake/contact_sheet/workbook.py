"""The sheet of photographs as a workbook: a row a photograph, to be corrected and handed back."""

from __future__ import annotations

from pathlib import Path

from archivist.intake.contact_sheet.layout import (
    ALL_HEADINGS,
    CAMERA,
    CAMERA_CLOCK,
    HEADINGS,
    THOUGHT,
    WRITTEN,
    Part,
    cells_of,
)
from archivist.intake.contact_sheet.lines import Sheet
from archivist.model import View

LONGEST_CELL = 32_767
"""Characters that a cell of a workbook can hold (Office Open XML spreadsheets in practice)."""

_WIDTHS = {
    HEADINGS[Part.FILE]: 44,
    HEADINGS[Part.PIECE]: 16,
    HEADINGS[Part.VIEW]: 12,
    HEADINGS[Part.CAPTION]: 28,
    HEADINGS[Part.REGION]: 18,
    HEADINGS[Part.SHOWS]: 10,
    HEADINGS[Part.AUDIENCE]: 14,
    HEADINGS[Part.LIKE]: 14,
    HEADINGS[Part.TAKEN]: 18,
    HEADINGS[Part.CLOCK]: 14,
    HEADINGS[Part.COPY]: 28,
    CAMERA: 18,
    CAMERA_CLOCK: 18,
    THOUGHT: 60,
    HEADINGS[Part.DIGEST]: 12,
    WRITTEN: 12,
}
_LEFT_ALONE = {
    HEADINGS[Part.FILE],
    CAMERA,
    CAMERA_CLOCK,
    THOUGHT,
    HEADINGS[Part.DIGEST],
    WRITTEN,
}

HELP = (
    ("Column", "What to write there"),
    ("Piece", "The stock number; several parted by semicolons. Empty it if it shows no piece."),
    ("View", f"One of: {', '.join(View)}. Your own word will do: foot, lip, chip."),
    ("Caption", "Words for readers, as they shall stand under the picture."),
    (
        "Region (x,y,w,h)",
        "Where the piece is, in pixels from the top left: 120,80,400,600. "
        "With several pieces: HW 1=120,80,400,600; HW 2=560,90,380,590.",
    ),
    ("Shows (yes/no)", "yes: all in the row is right. no: it does not show that piece."),
    ("Who may see it", "Beyond what its view allows: buyer, public. For nobody else: owner."),
    (
        "Same in folders like this (yes)",
        "yes: the view holds for the picture at the same place in the folders beside this one, and "
        "in series such as 0421 (3), 0422 (3). folder: the piece holds for all of its folder.",
    ),
    ("Taken", "When: 2009-03-14 10:11, 2009-03-14, 2009-03 or 2009."),
    (
        "Add to its camera's clock",
        "Where a clock was wrong: +1 h, -12:30 or +1826 d, or the right time of this one. It holds "
        "for all that the camera took; another amount in another folder holds for that folder. "
        "right: the clock was right.",
    ),
    (
        "Copy of",
        "The file of which it is a copy. Empty it (or write no) if it is none, and it will not be "
        "taken for one again.",
    ),
    (
        "Other columns",
        "They are for you to read. Leave them as they are; add your own if you like.",
    ),
    (
        "When done",
        "Save it, and: archivist review --hand-back FILE. Rows that you did not touch stay as the "
        "program thought, and are not taken for your word.",
    ),
)


def write_workbook(sheet: Sheet, path: Path) -> None:
    """Writes the workbook. Every cell is text, so that no program counts with what it says."""
    import xlsxwriter

    beside = path.with_name(f"{path.name}.new")
    options = {
        "constant_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(str(beside), options)
    book.set_properties({"title": sheet.title})
    page = book.add_worksheet("Photographs")
    head = book.add_format({"bold": True, "bottom": 1, "valign": "top", "text_wrap": True})
    words = book.add_format({"text_wrap": True, "valign": "top", "num_format": "@"})
    quiet = book.add_format(
        {"text_wrap": True, "valign": "top", "num_format": "@", "font_color": "#6B6B6B"}
    )
    short = book.add_format({"valign": "top", "num_format": "@", "font_color": "#6B6B6B"})
    for column, heading in enumerate(ALL_HEADINGS):
        page.set_column(column, column, _WIDTHS[heading], words)
    page.freeze_panes(1, 1)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)
    for column, heading in enumerate(ALL_HEADINGS):
        page.write_string(0, column, heading, head)
    number = 0
    for number, line in enumerate(sheet.lines, start=1):
        cells = cells_of(line)
        for column, heading in enumerate(ALL_HEADINGS):
            style = words if heading not in _LEFT_ALONE else quiet
            if heading in (HEADINGS[Part.DIGEST], WRITTEN):
                style = short
            page.write_string(number, column, cells[heading][:LONGEST_CELL], style)
    page.autofilter(0, 0, max(number, 1), len(ALL_HEADINGS) - 1)
    for part, choices in (
        (Part.VIEW, list(View)),
        (Part.SHOWS, ["yes", "no"]),
        (Part.LIKE, ["yes", "folder"]),
    ):
        column = ALL_HEADINGS.index(HEADINGS[part])
        offered = {"validate": "list", "source": [str(c) for c in choices], "show_error": False}
        page.data_validation(1, column, max(number, 1), column, offered)
    _write_help(book, head, words)
    try:
        book.close()
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _write_help(book: object, head: object, words: object) -> None:
    from xlsxwriter import Workbook

    assert isinstance(book, Workbook)
    page = book.add_worksheet("How to fill it in")
    page.set_column(0, 0, 30)
    page.set_column(1, 1, 96)
    for number, (left, right) in enumerate(HELP):
        page.write_string(number, 0, left, head if number == 0 else words)
        page.write_string(number, 1, right, head if number == 0 else words)
