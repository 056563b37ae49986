"""Text files of rows (csv, tsv) as grids: their encoding and what parts their cells found out."""

from __future__ import annotations

import csv
import io
from collections import Counter
from pathlib import Path
from typing import Literal

from archivist.errors import SourceError
from archivist.guard import unguarded
from archivist.hooks import Trouble
from archivist.own_sheet import RECORD
from archivist_plugins.encodings import decode
from archivist_plugins.spreadsheet.grid import Grid
from archivist_plugins.spreadsheet.limits import LARGEST_TEXT

DELIMITERS = ",;\t|"
SAMPLE = 1 << 16
"""Characters that are looked at to find the delimiter."""

LONGEST_CELL = 1 << 24


def grid(path: Path) -> Grid:
    """The one sheet of the text file at `path`.

    Raises:
        SourceError: where it cannot be read, or is no text.
    """
    try:
        if (size := path.stat().st_size) > LARGEST_TEXT:
            raise SourceError(
                f"{path.name} has {size:,} bytes; a table of at most {LARGEST_TEXT:,} is read.",
                "It is kept as it is, and nothing of it was read. Cut it into several files, and "
                "survey those.",
            )
        data = path.read_bytes()
    except OSError as problem:
        raise SourceError(
            f"{path.name} cannot be read: {problem.strerror}.",
            "The rest goes on. Mend its permissions or its disk, and survey again.",
        ) from problem
    decoded = decode(data)
    troubles: list[Trouble] = []
    if decoded.guessed:
        troubles.append(
            Trouble(
                place=path.name,
                reason=f"its letters were taken to be {decoded.encoding}, which is a guess",
                remedy="If names look wrong, save it as UTF-8 and survey it again.",
            )
        )
    delimiter = _delimiter(decoded.text[:SAMPLE])
    rows = _parsed(decoded.text, delimiter, quoted=True)
    open_quote = _unclosed(rows, delimiter)
    if open_quote:
        rows = _parsed(decoded.text, delimiter, quoted=False)
        troubles.append(
            Trouble(
                place=f"row {open_quote}",
                reason="a quotation mark is opened there and never closed",
                remedy="All quotation marks of the file were taken as they stand.",
            )
        )
    if rows and rows[0][:1] == [RECORD]:
        rows = [[unguarded(cell) for cell in row] for row in rows]
    return Grid("", rows, (), tuple(troubles))


def looks_delimited(sample: str) -> bool:
    """Whether most lines of `sample` have the same number of cells, and more than one."""
    _, quality = _best(sample)
    return quality >= 0.8


def _delimiter(sample: str) -> str:
    return _best(sample)[0]


def _best(sample: str) -> tuple[str, float]:
    """The delimiter by which most rows have the same number of cells, and how many have."""
    best = (",", 0.0, 0)
    for delimiter in DELIMITERS:
        rows = [row for row in _parsed(sample, delimiter, quoted=True) if any(row)]
        if not rows:
            continue
        width, often = Counter(len(row) for row in rows).most_common(1)[0]
        quality = often / len(rows) if width > 1 else 0.0
        if (round(quality, 2), width) > (round(best[1], 2), best[2]):
            best = (delimiter, quality, width)
    return best[0], best[1]


def _parsed(text: str, delimiter: str, *, quoted: bool) -> list[list[str]]:
    """The rows of `text`; an empty line is a row without cells, so that numbers keep counting."""
    csv.field_size_limit(LONGEST_CELL)
    source = io.StringIO(text, newline="")
    quoting: Literal[0, 3] = csv.QUOTE_MINIMAL if quoted else csv.QUOTE_NONE
    return list(csv.reader(source, delimiter=delimiter, quoting=quoting))


def _unclosed(rows: list[list[str]], delimiter: str) -> int:
    """The row in which a cell swallowed lines that are rows themselves, else 0."""
    for number, row in enumerate(rows, start=1):
        for cell in row:
            lines = cell.split("\n")
            if len(lines) > 3 and sum(delimiter in line for line in lines[1:]) > len(lines) * 0.8:
                return number
    return 0
