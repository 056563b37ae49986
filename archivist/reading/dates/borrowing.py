"""How items that are joined settle what each left open.

In 'late 18th or early 19th century' the first borrows 'century' from the second; in '1736-95' the
second borrows its hundreds from the first; in '100-50 BC' the era is the second's and holds for
both.
"""

from __future__ import annotations

import itertools

from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.tokens import CLOSE, COMMA, DOT, OPEN, QUERY, ROMAN, SEMICOLON

_CENTURIES_LEFT_OUT = (13, 20)
"""The centuries that the trade names by an ordinal alone. Common practice, no source."""
_ENDS = frozenset({COMMA, SEMICOLON, OPEN, CLOSE, DOT, QUERY})
BORROWS_UNIT = frozenset({Unit.CENTURY, Unit.MILLENNIUM, Unit.DYNASTY})
"""Units of which an ordinal beside them takes its own."""
_FIGURES = {Unit.YEAR, Unit.NUMBER}
_SHORTENED = ((4, 2), (4, 1), (3, 2))
_COUNTED = frozenset({Unit.YEAR, Unit.NUMBER, Unit.CENTURY, Unit.MILLENNIUM, Unit.DECADE})


def settle_together(scan: Scan, items: list[Item]) -> None:
    """Let each of `items` take from its neighbours what it left open."""
    if len(items) > 1:
        _borrow_backwards(items)
        _borrow_forwards(items)
        _eras(items)
        _backwards_in_antiquity(scan, items)
        _short_numbers(items)
        _kinds(items)
    if scan.permissive:
        _ordinals_alone(items)
    for one in items:
        if one.unit is Unit.ORDINAL and _is_a_century(scan, one, alone=len(items) == 1):
            one.unit, one.confidence = Unit.CENTURY, "0.8"


def _is_a_century(scan: Scan, one: Item, *, alone: bool) -> bool:
    """'Last third of the XVIII', 'late 18th', ', XVIII,': an ordinal that leaves 'century' out.

    Behind a part of it, or as a Roman number that stands between commas.
    """
    first, last = _CENTURIES_LEFT_OUT
    if not first <= one.number <= last:
        return False
    following = scan.at(one.end)
    ends = one.end >= scan.count or not _ENDS.isdisjoint(following.senses)
    if one.part:
        return ends
    before = scan.at(one.start - 1)
    return (
        alone
        and ends
        and ROMAN in scan.senses(one.start)
        and scan.text[scan.at(one.start).start] == "X"
        and one.end - one.start == 1
        and (one.start == 0 or not _ENDS.isdisjoint(before.senses))
        and DOT not in before.senses
    )


def _borrow_backwards(items: list[Item]) -> None:
    for one, following in zip(reversed(items[:-1]), reversed(items[1:]), strict=True):
        if one.unit is Unit.ORDINAL and following.unit in BORROWS_UNIT:
            one.unit = following.unit
            one.era = one.era or following.era
        elif one.unit is Unit.NUMBER and one.digits <= 2 and following.unit is Unit.CENTURY:
            if 0 < one.number < following.number or following.era == "bce":
                one.unit = Unit.CENTURY
        elif one.unit is Unit.PART and following.unit not in (Unit.PART, Unit.ORDINAL):
            one.unit, one.number = following.unit, following.number
            one.era, one.rows = following.era, following.rows
            one.kind_said = following.kind_said
        elif (
            one.unit is Unit.YEAR
            and following.unit in (Unit.DECADE, Unit.SHORT_DECADE)
            and one.number % 10 == 0
            and one.part == ""
        ):
            one.unit = Unit.DECADE


def _borrow_forwards(items: list[Item]) -> None:
    for one, following in itertools.pairwise(items):
        if following.unit is Unit.ORDINAL and one.unit in BORROWS_UNIT:
            following.unit = one.unit
            following.era = following.era or one.era
        elif following.unit is Unit.SHORT_DECADE and one.unit is Unit.DECADE:
            following.unit = Unit.DECADE
            following.number += one.number // 100 * 100


def _eras(items: list[Item]) -> None:
    """An era said once holds for its neighbours, unless the numbers run the other way."""
    for one, following in zip(reversed(items[:-1]), reversed(items[1:]), strict=True):
        if not one.era and following.era and one.unit in _COUNTED:
            if following.era == "bce" or (
                one.number > following.number
                and (following.unit is one.unit or {one.unit, following.unit} == _FIGURES)
                and not _is_shortened(one, following)
            ):
                one.era = "bce"
            else:
                one.era = following.era
    for one, following in itertools.pairwise(items):
        if one.era and not following.era and following.unit in _COUNTED:
            if one.era != "bce":
                following.era = one.era
            elif following.number < one.number:
                following.era = "bce"
                following.confidence = "0.8"
            else:
                following.era = "ce"


def _backwards_in_antiquity(scan: Scan, items: list[Item]) -> None:
    """'18th Dynasty, c. 1570-1200': years that run backwards are BCE beside a period that is."""
    if len(items) != 2 or any(i.unit is not Unit.YEAR or i.era for i in items):
        return
    if items[0].number > items[1].number and scan.before_our_era:
        for one in items:
            one.era = "bce"
            one.confidence = "0.9"


def _is_shortened(one: Item, following: Item) -> bool:
    """Whether '5' in '1834-5 AD' is 1835, and '79' in '960-79 AD' 979. '206-9 AD' runs from
    before our era."""
    return (
        one.era != "bce"
        and following.era == "ce"
        and (one.digits, following.digits) in _SHORTENED
        and following.number > one.number % 10**following.digits
    )


def _short_numbers(items: list[Item]) -> None:
    """'95' in '1736-95', '5' in '1830-5', '60' in '907-60', '8' in 'AH 1297/8'."""
    for one, following in itertools.pairwise(items):
        shortened = following.unit is Unit.NUMBER and not following.era
        if not (shortened or _is_shortened(one, following)) or following.digits > 2:
            continue
        if one.unit not in (Unit.YEAR, Unit.NUMBER) or one.digits < 3:
            continue
        scale = 10**following.digits
        if following.number > one.number % scale:
            following.number += one.number // scale * scale
            following.unit, following.digits = one.unit, one.digits


def _ordinals_alone(items: list[Item]) -> None:
    """'late 19th' in a column of dates is a century."""
    for one in items:
        if one.unit is Unit.ORDINAL and 5 <= one.number <= 21:
            one.unit, one.confidence = Unit.CENTURY, "0.8"


def _kinds(items: list[Item]) -> None:
    """'Sui or Tang dynasty': the word said once is said of all."""
    if any(one.kind_said for one in items if one.unit is Unit.PERIOD):
        for one in items:
            one.kind_said = True
