"""Numbers with their units: single, in ranges, in feet and inches, in pounds and ounces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from archivist.model.base import Certainty
from archivist.model.measurements import MILLIMETRES, Basis, Dimension, Unit
from archivist.reading.measurements.items import Item, number_of
from archivist.reading.measurements.numbers import Number

GRAMS = {
    Unit.GRAM: Decimal(1),
    Unit.KILOGRAM: Decimal(1000),
    Unit.OUNCE: Decimal("28.349523125"),
    Unit.POUND: Decimal("453.59237"),
}
"""Avoirdupois pound and ounce, exact (NIST SP 811, B.8)."""

MOST_INCHES = 1000
"""From here on a number before 'in' is a year or a price: 25 m. A choice of ours."""
_NEAREST = 2
"""Characters between a number and its unit, or between the ends of a range."""
_SMALLER = {Unit.FOOT: (Unit.INCH, 12), Unit.POUND: (Unit.OUNCE, 16)}


@dataclass(slots=True)
class Quantity:
    """A size being read: items `first` to before `end`, and what is found around it.

    `either` is an unsettled 'D.', `listed` a size that follows another at a bare comma, `other`
    the value if its comma is a decimal one, `pair` the size that this one says again.
    """

    first: int
    end: int
    low: Decimal
    high: Decimal
    step: Decimal
    unit: Unit | None
    weak: bool = False
    is_fraction: bool = False
    other: Decimal | None = None
    dimension: Dimension = Dimension.UNSTATED
    either: bool = False
    part: str = ""
    which: str = ""
    approximate: bool = False
    basis: Basis = Basis.UNSTATED
    includes: list[str] = field(default_factory=list)
    certainty: Certainty = Certainty.CERTAIN
    spelled: bool = False
    group: int = 0
    listed: bool = False
    pair: Quantity | None = None
    start: int = 0
    stop: int = 0
    rule: str = "size"
    confidence: str = "1"

    @property
    def metric(self) -> bool:
        """Whether the unit is of the metric system."""
        return self.unit not in (Unit.INCH, Unit.FOOT, Unit.OUNCE, Unit.POUND)


def scale(unit: Unit | None) -> tuple[str, Decimal] | None:
    """What `unit` measures, and its worth in millimetres or grams; None for volumes."""
    if unit in MILLIMETRES:
        return "length", MILLIMETRES[unit]
    if unit in GRAMS:
        return "mass", GRAMS[unit]
    return None


def quantities_of(items: Sequence[Item]) -> list[Quantity]:
    """All quantities among `items`, those without a unit too, from left to right."""
    found: list[Quantity] = []
    index = 0
    while index < len(items):
        quantity = (
            _quantity(items, index) if items[index].role in ("number", "number word") else None
        )
        if quantity is None:
            index += 1
        else:
            found.append(quantity)
            index = quantity.end
    return found


def _quantity(items: Sequence[Item], index: int) -> Quantity | None:
    first = _simple(items, index)
    if first is None:
        return None
    between = index > 0 and items[index - 1].role == "between"
    end = first.end
    if end < len(items) and (
        items[end].role == "range" or (between and items[end].role == "joins")
    ):
        second = _simple(items, end + 1)
        near = _adjoins(items, end) and _adjoins(items, end + 1)
        if second is not None and near and _spans(first, second):
            first.high = second.high
            first.unit = second.unit or first.unit
            first.weak = second.weak
            first.step = min(first.step, second.step)
            first.is_fraction = first.is_fraction or second.is_fraction
            first.end = second.end
            first.first = index - between
            first.rule = "range"
            first.other = None
    if first.spelled and first.unit is None and not _is_a_size(items, first):
        return None
    return first


def _is_a_size(items: Sequence[Item], quantity: Quantity) -> bool:
    """Whether a number in words without a unit is a size: with decimals, or with what says so."""
    if quantity.step < 1 and not quantity.is_fraction:
        return True
    if quantity.end >= len(items) or not _adjoins(items, quantity.end):
        return False
    following = items[quantity.end]
    return following.role in ("includes", "excludes") or following.style == "after"


def _adjoins(items: Sequence[Item], index: int) -> bool:
    """Whether nothing but a blank or a sign stands before an item: words that are no item of any
    size may lie between two that are."""
    if index >= len(items):
        return False
    return items[index].start - items[index - 1].end <= _NEAREST


def _spans(first: Quantity, second: Quantity) -> bool:
    same_unit = first.unit in (None, second.unit)
    return same_unit and second.unit is not None and first.low < second.high


def _simple(items: Sequence[Item], index: int) -> Quantity | None:
    """One number with its unit, if it has one: '8 in.', 'two and a half inches', '5 ft 3 in'."""
    if index >= len(items):
        return None
    item = items[index]
    if item.role not in ("number", "number word"):
        return None
    number, end = number_of(item), index + 1
    if item.role == "number word" and item.style not in ("a", "an"):
        number, end = _and_a_part(items, end, number)
    unit_at = _past_dimension(items, end)
    unit = _unit(items, unit_at) if _adjoins(items, unit_at) else None
    if unit is Unit.INCH and items[unit_at].weak and number.low >= MOST_INCHES:
        unit = None  # 'in 1702 in London'
    if item.role == "number word" and unit is None:
        return None if item.style in ("a", "an") else _made(index, end, number, None, True)
    if unit is None:
        return _made(index, end, number, None, False)
    glued = unit is Unit.INCH and items[unit_at].start == items[unit_at - 1].end
    weak = items[unit_at].weak and not number.is_fraction and not glued
    passed = items[end:unit_at]
    end = unit_at + 1
    if item.role == "number word":
        number, end = _and_a_part(items, end, number)
    quantity = _made(index, end, number, unit, item.role == "number word")
    quantity.weak = weak
    for item in passed:
        if item.role == "dimension" and isinstance(item.value, Dimension):
            quantity.dimension = item.value
        quantity.either = quantity.either or item.role == "either dimension"
    _add_smaller(items, quantity)
    return quantity


def _made(first: int, end: int, number: Number, unit: Unit | None, spelled: bool) -> Quantity:
    return Quantity(
        first=first,
        end=end,
        low=number.low,
        high=number.high,
        step=number.step,
        unit=unit,
        is_fraction=number.is_fraction,
        other=number.either_comma,
        spelled=spelled,
    )


def _and_a_part(items: Sequence[Item], end: int, number: Number) -> tuple[Number, int]:
    """'... and a half': the half added."""
    if (
        end + 1 < len(items)
        and items[end].role == "joins"
        and items[end + 1].role == "number word"
        and (part := number_of(items[end + 1])).high < 1
    ):
        value = number.low + part.low
        return Number(value, value, part.low), end + 2
    return number, end


def _past_dimension(items: Sequence[Item], end: int) -> int:
    """Past what may stand between a number and its unit: '7 (diam.) in.', '12-inch'."""
    index = end
    if _hyphen(items, index) and _unit(items, index + 1) is not None:
        return index + 1
    if index + 2 < len(items) and items[index].value == "(":
        if items[index + 1].role in ("dimension", "either dimension"):
            index += 2
            while (
                index < len(items)
                and items[index].role == "mark"
                and items[index].value in (")", ".")
            ):
                index += 1
            if _unit(items, index) is not None:
                return index
    elif (
        index + 1 < len(items)
        and items[index].role in ("dimension", "either dimension")
        and items[index + 1].role == "unit"
        and not items[index + 1].weak
    ):
        return index + 1
    return end


def _unit(items: Sequence[Item], index: int) -> Unit | None:
    if index < len(items) and items[index].role == "unit":
        unit = items[index].value
        return unit if isinstance(unit, Unit) else None
    return None


def _hyphen(items: Sequence[Item], index: int) -> bool:
    """Whether a hyphen joins a number to its unit, as in 'a 12-inch dish'."""
    if index + 1 >= len(items) or items[index].role != "range":
        return False
    item = items[index]
    return item.end - item.start == 1 and items[index + 1].start == item.end


def _add_smaller(items: Sequence[Item], quantity: Quantity) -> None:
    """'5 ft 3 in' is 63 inches, '2 lb 3 oz' 35 ounces: one size said in two units."""
    if quantity.unit not in (Unit.FOOT, Unit.POUND):
        return
    smaller, worth = _SMALLER[quantity.unit]
    second = _simple(items, quantity.end)
    if second is None or second.unit is not smaller or second.high >= worth:
        return
    quantity.low = quantity.low * worth + second.low
    quantity.high = quantity.high * worth + second.high
    quantity.step = second.step
    quantity.unit = second.unit
    quantity.is_fraction = second.is_fraction
    quantity.end = second.end
    quantity.weak = False
    quantity.rule = "size in two units"
