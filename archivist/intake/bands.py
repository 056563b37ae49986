"""Rows and sheets of a stock book that tell of no piece: headings repeated, bands, other lists."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from statistics import median

from archivist.catalogue.entities import folded
from archivist.hooks import FoundRow, Trouble
from archivist.intake.days import looks_like_day
from archivist.intake.mapping import Column
from archivist.intake.roles import ATTRIBUTIONS, FEATURES, TRADE, Role

NARROW = 3
"""Cells that a row of a table has at least, on the whole, where a row of one cell is a band."""

_YEARS = re.compile(r"[^\W\d_]*\.?\s*(?:18|19|20)\d\d(?:\s*[-/–]\s*\d{2,4})?\s*:?", re.IGNORECASE)
_NUMBER = re.compile(r"(?=.*\d)[^\W_]{0,6}[\s./#-]?[\w./-]*", re.IGNORECASE)

_SUM = re.compile(r"[£€$]?\s?\d[\d.,']*[.,]\d\d(?:\s?[£€$])?|[£€$]\s?\d[\d.,']*")

_OF_PIECES = frozenset(
    {
        *FEATURES,
        *ATTRIBUTIONS,
        *(Role.DESCRIPTION, Role.DATE, Role.PERIOD, Role.SIZE, Role.HEIGHT, Role.WIDTH),
        *(Role.DEPTH, Role.LENGTH, Role.DIAMETER, Role.WEIGHT, Role.CAPACITY, Role.MARK),
        *(Role.CONDITION, Role.OPINION, Role.PROVENANCE, Role.PHOTOGRAPHS),
    }
)
"""Roles of columns that only a list of pieces has."""

_OF_PERSONS = frozenset({Role.BUYER_ADDRESS, Role.BUYER_CONTACT, Role.SELLER_ADDRESS})


class Band(StrEnum):
    """What a row is that tells of no piece, or perhaps of none."""

    NONE = "a row"
    HEADING = "a heading within the table"
    PERHAPS = "perhaps a heading"


class Bands:
    """Tells rows of pieces from headings within a table."""

    def __init__(self, rows: Sequence[FoundRow], columns: Mapping[tuple[str, str], Column]) -> None:
        self._columns = columns
        filled: dict[str, list[int]] = {}
        for row in rows:
            filled.setdefault(row.table, []).append(sum(bool(c.text.strip()) for c in row.cells))
        self._wide = {table for table, counts in filled.items() if median(counts) >= NARROW}

    def of(self, row: FoundRow) -> Band:
        """What a row is.

        It is a heading where it repeats those of its columns, or is a year by itself; perhaps one
        where its only cell is no stock number, in a table whose rows have several cells.
        """
        cells = [cell for cell in row.cells if cell.text.strip()]
        same = sum(folded(cell.text) == folded(cell.column) for cell in cells)
        if len(cells) > 1:
            return Band.HEADING if same * 3 >= len(cells) * 2 else Band.NONE
        if not cells or row.table not in self._wide:
            return Band.NONE
        cell = cells[0]
        text = cell.text.strip()
        if same or _YEARS.fullmatch(text) or folded(text) == folded(row.table):
            return Band.HEADING
        column = self._columns.get((row.table, cell.column)) or self._columns.get(("", cell.column))
        is_number = column is not None and column.role is Role.STOCK_NUMBER
        return Band.NONE if is_number and _NUMBER.fullmatch(text) else Band.PERHAPS


def left_aside(rows: Iterable[FoundRow]) -> list[Trouble]:
    """What is told of headings within tables: where they stand, a line for each table."""
    places: dict[str, list[int]] = {}
    for row in rows:
        places.setdefault(row.table, []).append(row.number)
    return [
        Trouble(
            place=f"sheet {table}" if table else "the table",
            reason=(
                f"rows that are headings within the table were left aside: {len(numbers)} "
                f"(row {', '.join(map(str, numbers[:12]))}{' ...' if numbers[12:] else ''})"
            ),
            harmless=True,
        )
        for table, numbers in places.items()
    ]


def tables_without_pieces(columns: Iterable[Column]) -> frozenset[str]:
    """The tables that perhaps hold no pieces: addresses, expenses, lists of other things.

    They have no column that only pieces have, and beside a name addresses, or sums and days
    without a stock number.
    """
    by_table: dict[str, list[Column]] = {}
    for column in columns:
        by_table.setdefault(column.table, []).append(column)
    return frozenset(table for table, held in by_table.items() if _may_hold_none(held))


def _may_hold_none(columns: Sequence[Column]) -> bool:
    roles = {column.role for column in columns}
    if roles & _OF_PIECES:
        return False
    dealings = roles & (TRADE - _OF_PERSONS)
    if Role.STOCK_NUMBER in roles and (Role.TITLE in roles or dealings):
        return bool(roles & _OF_PERSONS) and not dealings
    return bool(roles & TRADE) or Role.TITLE not in roles or any(map(_is_of_business, columns))


def _is_of_business(column: Column) -> bool:
    """Whether a column of which nothing is known holds days or sums."""
    example = column.example.strip()
    return column.role is Role.KEEP and (
        looks_like_day(example) or _SUM.fullmatch(example) is not None
    )
