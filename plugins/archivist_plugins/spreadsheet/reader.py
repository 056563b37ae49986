"""Reads a spreadsheet row by row."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from archivist.errors import SourceError
from archivist.hooks import Found, Trouble

WORKBOOKS = frozenset({".xlsx", ".xlsm", ".xlsb", ".xls", ".ods"})
DELIMITED = frozenset({".csv", ".tsv", ".tab"})
_MAGIC = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
"""How zip packages (xlsx, ods) and compound files (xls) begin."""


class SpreadsheetReader:
    """Reads workbooks and delimited text; headings are found below titles."""

    def sure(self, source: Path) -> float:
        """By its name, and by how its bytes begin."""
        suffix = source.suffix.lower()
        if suffix not in WORKBOOKS | DELIMITED | {".txt"} or not source.is_file():
            return 0.0
        try:
            with source.open("rb") as file:
                head = file.read(1 << 14)
        except OSError:
            return 0.7 if suffix != ".txt" else 0.0
        if suffix in WORKBOOKS:
            return 0.95 if head.startswith(_MAGIC) else 0.6
        if suffix in DELIMITED:
            return 0.9
        from archivist_plugins.encodings import decode
        from archivist_plugins.spreadsheet.delimited import looks_delimited

        return 0.3 if b"\t" in head and looks_delimited(decode(head).text) else 0.0

    def read(self, source: Path) -> Iterator[Found]:
        """Yields every row with a cell in it, and what could not be read."""
        from archivist_plugins.spreadsheet import delimited
        from archivist_plugins.spreadsheet.apart import Workbook
        from archivist_plugins.spreadsheet.grid import found_in

        try:
            if source.suffix.lower() not in WORKBOOKS:
                yield from found_in(delimited.grid(source), single=True)
                return
            with Workbook(source) as book:
                for sheet in book.sheets():
                    yield from found_in(sheet, single=book.count == 1)
        except SourceError as problem:
            yield Trouble(place=source.name, reason=problem.message, remedy=problem.remedy)
