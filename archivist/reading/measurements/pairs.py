"""Sizes said twice in two units, '13 1/2 in. (34.3 cm)', checked against each other."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from archivist.model.measurements import Dimension
from archivist.reading.measurements.items import Item
from archivist.reading.measurements.quantities import Quantity, scale

_BY_DEFAULT = ("order", "dimension of the column")
_MOST = 12
"""The most sizes that are said again together."""

_JOINERS = ("|", "/", "=")


def find_pairs(items: Sequence[Item], quantities: Sequence[Quantity]) -> None:
    """Mark the second of each pair: it takes over what was said of the first."""
    index = 1
    while index < len(quantities):
        block = _block(items, quantities, index)
        count = len(block)
        firsts = quantities[index - count : index] if index >= count else []
        if count and len(firsts) == count and _may_pair(items, firsts, block):
            for first, second in zip(firsts, block, strict=True):
                _pair(first, second)
            index += count
        else:
            index += 1


def _block(items: Sequence[Item], quantities: Sequence[Quantity], index: int) -> Sequence[Quantity]:
    """The sizes from `index` that stand together as the second half of a pair may."""
    before, first = quantities[index - 1], quantities[index]
    between = items[before.end : first.first]
    opened = any(i.role == "mark" and i.value in ("(", "[") for i in between)
    if any(i.role == "line" for i in between) or any(i.value == ")" for i in between[-1:]):
        return ()
    end = index + 1
    while end < len(quantities) and end - index < _MOST:
        gap = items[quantities[end - 1].end : quantities[end].first]
        together = quantities[end].group == quantities[end - 1].group or (
            opened and not any(i.role == "line" or i.value in (")", "]", ";") for i in gap)
        )
        if not together:
            break
        end += 1
    return quantities[index:end]


def _may_pair(
    items: Sequence[Item], firsts: Sequence[Quantity], seconds: Sequence[Quantity]
) -> bool:
    """Whether two runs of sizes say the same in the two systems."""
    for first, second in zip(firsts, seconds, strict=True):
        one, two = scale(first.unit), scale(second.unit)
        if one is None or two is None or one[0] != two[0] or first.metric == second.metric:
            return False
        unsaid = (Dimension.UNSTATED, first.dimension)
        other = second.dimension not in unsaid and first.dimension is not Dimension.UNSTATED
        if first.pair is not None or (other and second.rule not in _BY_DEFAULT):
            return False
    between = items[firsts[-1].end : seconds[0].first]
    marks = [i.value for i in between if i.role == "mark"]
    if any(i.role == "word" for i in between) and "(" not in marks[-1:]:
        return all(agree(*p) for p in zip(firsts, seconds, strict=True)) and not marks
    if "(" in marks or "[" in marks or any(joiner in marks for joiner in _JOINERS):
        return True
    return all(agree(*pair) for pair in zip(firsts, seconds, strict=True))


def _pair(first: Quantity, second: Quantity) -> None:
    second.pair = first
    if first.dimension is Dimension.UNSTATED and not first.either:
        first.dimension = second.dimension
    second.dimension, second.either = first.dimension, first.either
    second.part = second.part or first.part
    first.part = first.part or second.part
    first.includes = first.includes or second.includes
    second.which = second.which or first.which
    second.basis = first.basis if second.basis == "unstated" else second.basis
    second.includes = second.includes or first.includes
    second.approximate = second.approximate or first.approximate
    second.certainty = first.certainty
    second.rule = "converted pair"
    if not agree(first, second):
        second.rule = "converted pair that disagrees"
        second.confidence = first.confidence = "0.5"


def agree(first: Quantity, second: Quantity) -> bool:
    """Whether two sizes may be the same to the precision that each was stated to.

    Each lies within half a step of what was stated. '13 1/2' may have been measured to sixteenths
    (vulgar fractions are written in their lowest terms), and whole inches beside them too, so
    that inches count as stated to an eighth at the coarsest.
    """
    one, two = scale(first.unit), scale(second.unit)
    if one is None or two is None:
        return True
    slack = _half_step(first) * one[1] + _half_step(second) * two[1]
    low = abs(first.low * one[1] - second.low * two[1])
    high = abs(first.high * one[1] - second.high * two[1])
    return max(low, high) <= slack


def _half_step(quantity: Quantity) -> Decimal:
    if quantity.metric or (quantity.step < 1 and not quantity.is_fraction):
        return quantity.step / 2
    return min(quantity.step, Decimal(1) / 8) / 2
