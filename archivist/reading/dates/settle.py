"""An item on its own becomes years: centuries, decades, parts of them, eras, millennia."""

from __future__ import annotations

from archivist.model import edtf
from archivist.model.base import Certainty
from archivist.reading.conventions import Conventions
from archivist.reading.dates.pieces import Item, Unit

_MONARCHS = frozenset({"Britain", "France"})
_WORSE = {certainty: rank for rank, certainty in enumerate(Certainty)}


def weaker(one: Certainty, other: Certainty) -> Certainty:
    """The less sure of two certainties."""
    return one if _WORSE[one] >= _WORSE[other] else other


def settle(item: Item, conventions: Conventions) -> bool:
    """Give `item` its first and last year and its notation; False where it has none."""
    unit = item.unit
    if unit is Unit.YEAR or unit is Unit.NUMBER:
        return _settle_year(item)
    if unit is Unit.CENTURY:
        return _settle_century(item, conventions)
    if unit is Unit.DECADE:
        return _settle_decade(item, conventions)
    if unit is Unit.MILLENNIUM:
        return _settle_millennium(item, conventions)
    if unit is Unit.TURN:
        earlier, later = conventions.turn_of_century
        year = (item.number - 1) * 100
        _set(item, year - earlier, year + later)
        item.rule = "turn of century"
        item.convention = f"turn of century: {earlier} years before, {later} after"
        return True
    if unit is Unit.PERIOD or unit is Unit.DYNASTY:
        return _settle_period(item, conventions)
    return unit in (Unit.MONTH, Unit.DAY, Unit.SEASON, Unit.HIJRI, Unit.CALENDAR)


def _set(item: Item, first: int, last: int) -> None:
    item.first, item.last = first, last
    item.edtf = edtf.year(first)
    item.edtf_last = "" if first == last else edtf.year(last)


def _settle_year(item: Item) -> bool:
    if item.era == "bce":
        year = 1 - item.number
    elif item.era == "bp":
        year = 1950 - item.number
    else:
        year = max(item.number, 1)
    _set(item, year, year)
    item.rule = item.rule or ("year BCE" if item.era == "bce" else "year")
    return True


def _part(item: Item, first: int, last: int, parts: dict[str, tuple[int, int]], of: str) -> None:
    """Narrow `item`, which runs from `first` to `last`, to its part.

    `parts` are counted in hundredths for a century or a period and in years for a decade.
    """
    low, high = parts[item.part]
    span = last - first + 1
    if of == "period":
        _set(item, first + span * low // 100, max(first, first + span * high // 100 - 1))
    else:
        scale = span / (10 if of == "decade" else 100)
        _set(item, first + round(low * scale), first + round((high + 1) * scale) - 1)
    item.convention = f"{item.part}: {low} to {high} of the {of}"


def _settle_century(item: Item, conventions: Conventions) -> bool:
    number = item.number
    if not 1 <= number <= 60 or (number > 21 and item.era != "bce"):
        return False
    shift = conventions.century_first
    if item.era == "bce":
        first, last = 1 - number * 100, -(number - 1) * 100
    else:
        first = (number - 1) * 100 + shift
        last = first + 99
    item.rule = "century"
    if item.part:
        if item.part not in conventions.parts:
            return False
        _part(item, first, last, dict(conventions.parts), "century")
        item.rule = "part of century"
    else:
        _set(item, first, last)
        if item.era != "bce" and shift == 0 and number > 1:
            item.edtf, item.edtf_last = f"{number - 1:02d}XX", ""
    if item.era != "bce" and item.first < 1:
        _set(item, 1, item.last or 1)
    return True


def _settle_decade(item: Item, conventions: Conventions) -> bool:
    number = item.number
    if item.era == "bce":
        first, last = 1 - number - 9, 1 - number
    else:
        first, last = max(number, 1), number + 9
    if number % 100 == 0 and item.era != "bce":
        as_century = conventions.hundreds == "century" or item.part
        other = (edtf.interval(f"{number:04d}", f"{number + 9:04d}"), number, number + 9)
        if as_century:
            item.asks = "" if item.part else f"Is '{number}s' the century or its first decade?"
            item.unit, item.number = Unit.CENTURY, number // 100 + 1
            settled = _settle_century(item, conventions)
            item.rule = "part of century" if item.part else "century of hundreds"
            if item.asks:
                item.alternatives = ((item.edtf, item.first, item.last or item.first), other)
            return settled
    item.rule = "decade"
    if item.part:
        if item.part not in conventions.decade_parts:
            return False
        _part(item, first, last, dict(conventions.decade_parts), "decade")
        item.rule = "part of decade"
        return True
    _set(item, first, last)
    if item.era != "bce" and number >= 10:
        item.edtf, item.edtf_last = f"{number // 10:03d}X", ""
    return True


def _settle_millennium(item: Item, conventions: Conventions) -> bool:
    number = item.number
    if not 1 <= number <= 12 or (item.era != "bce" and number > 3):
        return False
    if item.era == "bce":
        first, last = 1 - number * 1000, -(number - 1) * 1000
    else:
        first = max((number - 1) * 1000 + conventions.century_first, 1)
        last = (number - 1) * 1000 + conventions.century_first + 999
    item.rule = "millennium"
    if item.part:
        if item.part not in conventions.parts:
            return False
        _part(item, first, last, dict(conventions.parts), "century")
        item.convention = item.convention.replace("century", "millennium (hundredths)")
        item.rule = "part of millennium"
        return True
    _set(item, first, last)
    return True


def _settle_period(item: Item, conventions: Conventions) -> bool:
    if item.years_stated:
        item.rule = "period with stated years"
        return True
    row = item.rows[0]
    item.rule = row.kind
    if row.kind == "reign" and row.culture in _MONARCHS and not item.kind_said:
        item.confidence = min(item.confidence, "0.7")  # 'George II' may be the sitter
    if row.last is None:
        item.first, item.last, item.edtf, item.edtf_last = row.first, None, edtf.year(row.first), ""
        return True
    if item.part and item.part in conventions.period_parts:
        _part(item, row.first, row.last, dict(conventions.period_parts), "period")
        item.rule = f"part of {row.kind}"
        item.convention = f"{row.label}: {item.convention}"
    else:
        _set(item, row.first, row.last)
    return True


def reach(item: Item, conventions: Conventions, *, in_range: bool) -> tuple[int, int]:
    """How many years 'circa' reaches before the first and after the last year of `item`."""
    if not item.circa:
        return 0, 0
    if item.unit is Unit.DECADE:
        return conventions.circa_decade
    if item.unit in (Unit.CENTURY, Unit.MILLENNIUM, Unit.PERIOD, Unit.DYNASTY, Unit.TURN):
        return conventions.circa_part if item.part else conventions.circa_century
    if item.last is None:
        return 0, 0
    return (
        conventions.circa_of(item.first, in_range=in_range)[0],
        conventions.circa_of(item.last, in_range=in_range)[1],
    )
