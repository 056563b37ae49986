"""A sheet as a grid of texts, and what of it is the heading and what are the rows."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice

from archivist.hooks import Cell, Found, FoundRow, Trouble

Range = tuple[tuple[int, int], tuple[int, int]]
"""The first and last (row, column) of merged cells, counted from 0, both inclusive."""

COMMENTS = "comments on cells"
"""The column that holds the comments of a row's cells."""

LOOKED_AT = 60
"""Rows that are looked at to find the headings."""

_NUMERIC = re.compile(r"[\W\d]*\d[\W\d]*")


@dataclass(frozen=True)
class Grid:
    """One sheet: its name ('' in a text file), its rows of texts, and what is odd about it.

    `comments` are those on cells (row, column, words), `coloured` the rows with coloured cells.
    """

    name: str
    rows: Iterable[list[str]]
    merged: tuple[Range, ...] = ()
    troubles: tuple[Trouble, ...] = field(default=())
    comments: tuple[tuple[int, int, str], ...] = ()
    coloured: tuple[int, ...] = ()


def letters(column: int) -> str:
    """The name of a column counted from 0: 0 is A, 25 Z, 26 AA."""
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def found_in(grid: Grid, single: bool) -> Iterator[Found]:
    """The rows below the headings of `grid`, each cell with its heading and place.

    A sheet's rows begin below its headings; titles above them are left in the file. Cells merged
    downwards give their words to every row they span. The first row also has a cell without words
    for each column that is empty there, so that emptied columns are known. `single` says that the
    file has no other sheet, so that places need not name it.
    """
    yield from grid.troubles
    sheet = f"sheet {grid.name}, " if grid.name else ""
    table = "" if single else grid.name
    rows = iter(grid.rows)
    head = list(islice(rows, LOOKED_AT))
    if not any(any(cell.strip() for cell in row) for row in head):
        rest = next((row for row in rows if any(cell.strip() for cell in row)), None)
        if rest is None:
            yield Trouble(
                place=f"sheet {grid.name}" if grid.name else "the file",
                reason="it is empty",
                harmless=bool(grid.name) and not single,
            )
            return
    start, headings = _headings(head, grid.merged)
    unnamed = {f"column {letters(column)}" for column in range(len(headings))}
    spans = _downward(grid.merged, start)
    above: dict[int, str] = {}
    noted = _noted(grid.comments, headings)
    yield from _colours(grid, start, sheet or "the file, ")
    count = 0
    for number, row in enumerate(chain(head, rows)):
        if number < start:
            continue
        if number in spans or above:
            row = _filled(row, number, spans, above)
        if not any(text and not text.isspace() for text in row):
            continue
        if not count:
            row = row + [""] * (len(headings) - len(row))
        cells = tuple(
            Cell(
                column=headings[column] if column < len(headings) else f"column {letters(column)}",
                text=text,
                place=f"{sheet}row {number + 1}, column {letters(column)}",
            )
            for column, text in enumerate(row)
            if (text and not text.isspace()) or (not count and headings[column] not in unnamed)
        )
        if number in noted:
            place = f"{sheet}row {number + 1}, comments"
            cells = (*cells, Cell(column=COMMENTS, text=noted[number], place=place))
        count += 1
        yield FoundRow(table=table, number=number + 1, cells=cells)
    if not count:
        yield Trouble(
            place=f"sheet {grid.name}" if grid.name else "the file",
            reason="it has headings and no rows below them",
        )


def _noted(comments: Iterable[tuple[int, int, str]], headings: Sequence[str]) -> dict[int, str]:
    """The comments on the cells of each row as one text, each after the heading of its column."""
    found: dict[int, str] = {}
    for row, column, words in comments:
        name = headings[column] if column < len(headings) else f"column {letters(column)}"
        line = f"{name}: {words}"
        found[row] = f"{found[row]}\n{line}" if row in found else line
    return found


def _colours(grid: Grid, start: int, sheet: str) -> Iterator[Trouble]:
    """That rows are coloured, as nobody but their owner knows what that means."""
    coloured = [row for row in grid.coloured if row >= start]
    if coloured:
        rows = ", ".join(str(row + 1) for row in coloured[:8])
        yield Trouble(
            place=sheet.rstrip(", "),
            reason=(
                f"{len(coloured)} of its rows have coloured cells (row {rows}"
                f"{' ...' if coloured[8:] else ''}); what a colour means is not read"
            ),
            remedy="Where it means something, say it in a column of words, and survey it again.",
            harmless=True,
        )


def _headings(head: Sequence[list[str]], merged: Sequence[Range]) -> tuple[int, list[str]]:
    """The first row of data, and a heading for each column, all different."""
    at = _heading_row(head)
    width = max((len(row) for row in head), default=0)
    if at is None:
        first = next((n for n, row in enumerate(head) if any(cell.strip() for cell in row)), 0)
        return first, [f"column {letters(column)}" for column in range(width)]
    names = [_plain(cell) for cell in head[at]] + [""] * (width - len(head[at]))
    names = _under_groups(names, head, merged, at)
    below = at + 1
    across = [
        (left, right)
        for (top, left), (bottom, right) in merged
        if top == bottom == at and right > left and right - left + 1 < width
    ]
    if across and below < len(head):
        for left, right in across:
            names[left : right + 1] = [names[left]] * (right - left + 1)
        second = [_plain(cell) for cell in head[below]] + [""] * width
        names = [f"{name} {second[n]}".strip() for n, name in enumerate(names)]
        below += 1
    return below, _distinct(names)


def _under_groups(
    names: list[str], head: Sequence[list[str]], merged: Sequence[Range], at: int
) -> list[str]:
    """The headings with the words merged across several of them right above: 'Sold', 'date' is
    'Sold date'. A title over the whole table is none."""
    if not at:
        return names
    above = head[at - 1]
    for (top, left), (bottom, right) in merged:
        across = top == bottom == at - 1 and left < right < len(names)
        group = _plain(above[left]) if across and left < len(above) else ""
        if group and right - left + 1 < sum(bool(name) for name in names):
            for column in range(left, right + 1):
                names[column] = f"{group} {names[column]}".strip()
    return names


def _heading_row(head: Sequence[list[str]]) -> int | None:
    """The row that looks like headings: words in most columns, no number, others below it."""
    filled = [sum(1 for cell in row if cell.strip()) for row in head]
    widest = max(filled, default=0)
    for number, row in enumerate(head):
        words = [cell.strip() for cell in row if cell.strip()]
        if not words or filled[number] < max(1, min(2, widest)) or filled[number] * 2 < widest:
            continue
        wordy = [w for w in words if not _NUMERIC.fullmatch(w) and len(w) <= 60]
        if len(wordy) < 0.8 * len(words) or len({w.casefold() for w in words}) * 2 < len(words):
            return None
        return number
    return None


def _plain(cell: str) -> str:
    return " ".join(cell.split())


def _distinct(names: Sequence[str]) -> list[str]:
    """Headings told apart: empty ones named by their column, repeated ones numbered."""
    taken: set[str] = set()
    result = []
    for column, name in enumerate(names):
        base = name or f"column {letters(column)}"
        chosen, number = base, 2
        while chosen.casefold() in taken:
            chosen = f"{base} ({number})"
            number += 1
        taken.add(chosen.casefold())
        result.append(chosen)
    return result


def _downward(merged: Sequence[Range], start: int) -> dict[int, list[tuple[int, int]]]:
    """For each row where cells are merged downwards: the column and the last row they reach."""
    spans: dict[int, list[tuple[int, int]]] = {}
    for (top, left), (bottom, _) in merged:
        if top >= start and bottom > top:
            for row in range(top, bottom + 1):
                spans.setdefault(row, []).append((left, top))
    return spans


def _filled(
    row: list[str], number: int, spans: dict[int, list[tuple[int, int]]], above: dict[int, str]
) -> list[str]:
    """The row with the words of cells that are merged with ones above it."""
    filled = list(row)
    for column, top in spans.get(number, ()):
        filled += [""] * (column + 1 - len(filled))
        if number == top:
            above[column] = filled[column]
        elif not filled[column]:
            filled[column] = above.get(column, "")
    if number not in spans:
        above.clear()
    return filled
