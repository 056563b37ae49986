"""Dimensions by an order, by the column, and where the other letters decide a D."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from archivist.model.measurements import Dimension
from archivist.reading.measurements.items import Item
from archivist.reading.measurements.quantities import Quantity, scale

_LENGTHS = frozenset(
    (
        Dimension.HEIGHT,
        Dimension.WIDTH,
        Dimension.DEPTH,
        Dimension.LENGTH,
        Dimension.DIAMETER,
        Dimension.THICKNESS,
        Dimension.CIRCUMFERENCE,
    )
)

_MOST_JOINED = 6
"""More sizes joined by 'x' than this are no dimensions of one thing; each keeps its own span."""


def is_labelled(quantity: Quantity) -> bool:
    """Whether the text says which dimension a size is, be it an unsettled 'D.'"""
    return quantity.dimension is not Dimension.UNSTATED or quantity.either


def carry_on(quantities: Sequence[Quantity], text: str) -> None:
    """'Diam. of mouth 12 cm, of foot 5 cm': the foot's is a diameter too."""
    for before, after in itertools.pairwise(quantities):
        goes_on = text[after.start : after.start + 3].lower() == "of "
        if goes_on and after.part and before.part and not is_labelled(after):
            after.dimension = before.dimension
            after.either = before.either


def stated_order(items: Sequence[Item], quantities: Sequence[Quantity]) -> tuple[Dimension, ...]:
    """The order that the text itself states: 'H x W x D', 'hwd'."""
    for item in items:
        if item.role == "order" and isinstance(item.value, tuple):
            return item.value
    used = bytearray(len(items))
    for quantity in quantities:
        used[quantity.first : quantity.end] = b"\x01" * (quantity.end - quantity.first)
    run: list[Dimension] = []
    for index, item in enumerate(items):
        inside = used[index]
        if not inside and item.role == "dimension" and isinstance(item.value, Dimension):
            run.append(item.value)
        elif not inside and item.role == "either dimension":
            run.append(Dimension.DEPTH if Dimension.WIDTH in run else Dimension.DIAMETER)
        elif inside or item.role not in ("times", "mark"):
            if len(run) > 1:
                break
            run = []
    return tuple(run) if len(run) > 1 else ()


def settle_dimensions(
    quantities: Sequence[Quantity],
    order: tuple[Dimension, ...],
    default_dimension: Dimension | None,
) -> None:
    """Dimensions by the order, by the column, and 'D.' where the other letters decide it."""
    groups: dict[int, list[Quantity]] = {}
    for quantity in quantities:
        groups.setdefault(quantity.group, []).append(quantity)
    for members in _runs(list(groups.values())) if order else ():
        if len(members) == 1:
            continue
        labelled = sum(is_labelled(q) for q in members)
        if len(members) <= len(order) and labelled <= len(members) - 1:
            for quantity, dimension in zip(members, order, strict=False):
                if not is_labelled(quantity) and not any(q.dimension is dimension for q in members):
                    quantity.dimension = dimension
                    quantity.rule = "order"
                    quantity.confidence = "0.9"
    stated = {q.dimension for q in quantities}
    for quantity in quantities:
        if quantity.either and (Dimension.WIDTH in stated or Dimension.DIAMETER in stated):
            quantity.either = False
            quantity.dimension = Dimension.DEPTH
            quantity.rule = "depth, by the other dimensions"
        alone = len(groups[quantity.group]) == 1 and not quantity.either
        if quantity.dimension is Dimension.UNSTATED and alone:
            measured = scale(quantity.unit)
            if measured and measured[0] == "mass":
                quantity.dimension = Dimension.WEIGHT
            elif measured is None:
                quantity.dimension = Dimension.CAPACITY
            elif default_dimension in _LENGTHS and not quantity.part:
                quantity.dimension = default_dimension or Dimension.UNSTATED
                quantity.rule = "dimension of the column"
                quantity.confidence = "0.9"


def _runs(groups: Sequence[list[Quantity]]) -> list[list[Quantity]]:
    """Groups, with a bare size that follows at a comma in the same unit: '3 x 3 in., 1/16 in.'"""
    runs: list[list[Quantity]] = []
    for group in groups:
        last = runs[-1] if runs else []
        follows = (
            last
            and len(group) == 1
            and group[0].listed
            and last[-1].unit is group[0].unit
            and not any(is_labelled(q) for q in (*group, *last))
        )
        if follows:
            last.extend(group)
        else:
            runs.append(list(group))
    return runs


def span_groups(quantities: Sequence[Quantity]) -> None:
    """Sizes joined by 'x' share one span, part and ground: the words make sense only together."""
    groups: dict[int, list[Quantity]] = {}
    for quantity in quantities:
        groups.setdefault(quantity.group, []).append(quantity)
    for members in groups.values():
        if not 1 < len(members) <= _MOST_JOINED:
            continue
        start = min(q.start for q in members)
        stop = max(q.stop for q in members)
        first, last = members[0], members[-1]
        includes = list(dict.fromkeys(first.includes + last.includes))
        for quantity in members:
            quantity.start, quantity.stop = start, stop
            quantity.part = quantity.part or first.part or last.part
            quantity.which = quantity.which or first.which or last.which
            quantity.includes = includes
            quantity.basis = last.basis if last.basis != "unstated" else first.basis
            quantity.approximate = quantity.approximate or first.approximate
