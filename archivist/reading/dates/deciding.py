"""One date of a text may decide what another leaves open.

'Jin dynasty, 12th century' is the later Jin; 'jiazi year, 18th century' is 1744. Nothing is
decided where more than one reading, or none, agrees with what else is said.
"""

from __future__ import annotations

from archivist.reading.dates.pieces import Found
from archivist.reading.tables import PeriodRow

MOST_DATES = 24
"""Dates of one text beyond which it is of many pieces, and none decides another."""

NEAR = 100
"""Years that may lie between two periods named together ('Han/Jin'). A choice of ours."""


def decide(found: list[Found]) -> None:
    """Settle each date that has several readings of which the text's other dates allow one."""
    if not 1 < len(found) <= MOST_DATES:
        return
    for one in found:
        if len(one.alternatives) < 2 or not one.asks:
            continue
        others = [f for f in found if f is not one and not f.asks and f.first is not None]
        allowed = [
            number
            for number, (_, first, last) in enumerate(one.alternatives)
            if any(_meet(other, first, last) for other in others)
        ]
        if len(allowed) == 1:
            _settle(one, allowed[0])


def _meet(other: Found, first: int, last: int) -> bool:
    begins = other.first if other.first is not None else first
    return begins <= last and (other.last is None or first <= other.last)


def _settle(one: Found, number: int) -> None:
    one.edtf, one.first, one.last = one.alternatives[number]
    if one.open_rows:
        one.rows = (one.open_rows[number],)
    one.asks, one.alternatives, one.open_rows = "", (), ()
    one.read = True
    one.rule = one.rule or "settled by another date"
    one.confidence = "0.9"


def nearest_to(
    rows: tuple[PeriodRow, ...], neighbours: tuple[PeriodRow, ...]
) -> tuple[PeriodRow, ...]:
    """Of periods of one name the only one near in time to those named beside it, else all."""
    near = tuple(row for row in rows if any(_gap(row, other) <= NEAR for other in neighbours))
    return near if len(near) == 1 else rows


def _gap(one: PeriodRow, other: PeriodRow) -> int:
    """The years between two periods, 0 where they meet."""
    one_last = one.last if one.last is not None else one.first
    other_last = other.last if other.last is not None else other.first
    return max(other.first - one_last, one.first - other_last, 0)
