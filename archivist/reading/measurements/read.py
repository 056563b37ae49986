"""From a text to measurements: dimensions in order, pairs in two units, and what must be asked."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from archivist.model.base import Certainty, Reading
from archivist.model.measurements import Dimension, Measurement, Unit
from archivist.reading.measurements.attach import attach
from archivist.reading.measurements.items import Item, items_of, measurement_words, order_of
from archivist.reading.measurements.numbers import plain
from archivist.reading.measurements.others import is_followed_by_a_noun, is_of_the_piece
from archivist.reading.measurements.pairs import agree, find_pairs
from archivist.reading.measurements.quantities import Quantity, quantities_of, scale
from archivist.reading.measurements.settle import (
    carry_on,
    is_labelled,
    settle_dimensions,
    span_groups,
    stated_order,
)
from archivist.reading.result import Question, Span, Understood
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, unread_spans

_DIGIT = re.compile(r"\d")
_MOST_PARTS = 12
"""How many parts between commas a list of sizes with one unit at its end may have."""


class MeasurementReading(NamedTuple):
    """The measurements and questions of a text, without the account of what was not read."""

    statements: tuple[Measurement, ...] = ()
    questions: tuple[Question, ...] = ()


def read_measurements(
    text: str,
    tables: Tables,
    *,
    order: str = "",
    default_unit: Unit | None = None,
    default_dimension: Dimension | None = None,
) -> Understood:
    """The measurements that `text` states.

    `order` ('HWD', 'H x W x D') says what sizes joined by 'x' are where the text does not;
    `default_unit` and `default_dimension` are what a bare number or a single size is, as the
    heading of a column may say ('Height (cm)'). A pair in two units gives both, the second by
    rule 'converted pair'. Where a Question stands over the same words, its readings are the
    choices, and the statements only what was said.
    """
    found = measurements_in(
        text,
        tables,
        order=order,
        default_unit=default_unit,
        default_dimension=default_dimension,
    )
    words = Words(text)
    spans = [(s.reading.start, s.reading.end) for s in found.statements if s.reading is not None]
    return Understood(
        text=text,
        statements=found.statements,
        unread=unread_spans(words, spans, fillers(tables)),
        questions=found.questions,
    )


def measurements_in(
    text: str,
    tables: Tables,
    *,
    order: str = "",
    default_unit: Unit | None = None,
    default_dimension: Dimension | None = None,
) -> MeasurementReading:
    """As `read_measurements`, for readers that keep account of the words themselves."""
    known = measurement_words(tables)
    start, stop = 0, len(text)
    if default_unit is None:
        hints = known.sizes(text)
        if not hints:
            return MeasurementReading()
        start, stop = _window(text, hints[0][0], hints[-1][1])
    items = items_of(text[:stop] if stop < len(text) else text, known, start)
    quantities = quantities_of(items)
    if not quantities:
        return MeasurementReading()
    attach(items, quantities, text)
    _number_groups(items, quantities)
    quantities = _with_units(items, quantities, default_unit)
    members = Counter(q.group for q in quantities)
    quantities = [q for q in quantities if _in_company(items, q, members[q.group] > 1, text)]
    quantities = [q for q in quantities if is_of_the_piece(items, q, quantities, known, text)]
    carry_on(quantities, text)
    stated = stated_order(items, quantities)
    settle_dimensions(quantities, stated or order_of(order), default_dimension)
    find_pairs(items, quantities)
    span_groups(quantities)
    statements = tuple(_measurement(q, text) for q in quantities)
    questions = _questions(quantities, statements)
    return MeasurementReading(statements, questions)


def _window(text: str, first: int, last: int) -> tuple[int, int]:
    """The part of a text that can bear on the sizes between `first` and `last`.

    From the comma, semicolon or line before them, further back over parts that hold digits ('H.
    10, W. 5, D. 3 cm'), to the end of the part after them ('..., from memory').
    """
    start = first
    for _ in range(_MOST_PARTS):
        before = _part_before(text, start)
        if start < first and _DIGIT.search(text, before, start) is None:
            break
        start = before
        if start <= 1:
            break
        start -= 1
    stop = _part_after(text, last)
    if stop < len(text):
        stop = _part_after(text, stop + 1)
    return min(start + (start > 0), first), stop


def _part_before(text: str, end: int) -> int:
    """Where the part between commas, semicolons or lines begins that ends at `end`."""
    return max(text.rfind(mark, 0, end) for mark in ",;\n") + 1


def _part_after(text: str, start: int) -> int:
    ends = [text.find(mark, start) for mark in ",;\n"]
    return min((end for end in ends if end >= 0), default=len(text))


def _number_groups(items: Sequence[Item], quantities: Sequence[Quantity]) -> None:
    """Sizes joined by 'x' are one group."""
    group = 0
    for number, quantity in enumerate(quantities):
        gap = items[quantities[number - 1].end : quantity.first] if number else ()
        joined = any(i.role == "times" for i in gap) and not any(i.role == "word" for i in gap)
        group += not joined
        quantity.group = group
        quantity.listed = [i.value for i in gap] == [","]


def _with_units(
    items: Sequence[Item], quantities: Sequence[Quantity], default_unit: Unit | None
) -> list[Quantity]:
    """The sizes that have a unit, get one from their neighbours, or from the column."""
    _units_before(items, quantities)
    units = {q.unit for q in quantities if q.unit is not None and scale(q.unit)}
    lengths = {unit for unit in units if (scale(unit) or ("",))[0] == "length"}
    only = next(iter(lengths)) if len(lengths) == 1 else None
    if len(units) == 1:
        only = next(iter(units))
    if not units and default_unit is None:
        only = _unit_not_said(quantities)
    members = Counter(q.group for q in quantities)
    following: Quantity | None = None
    for quantity in reversed(quantities):
        if quantity.unit is None:
            same_group = following is not None and following.group == quantity.group
            listed = (
                following is not None
                and is_labelled(quantity)
                and is_labelled(following)
                and not is_followed_by_a_noun(items, quantity)
                and not any(i.role == "line" for i in items[quantity.end : following.first])
            )
            if following is not None and (same_group or listed):
                quantity.unit, quantity.weak = following.unit, following.weak
                quantity.rule = quantity.rule if same_group else "unit of the next size"
            elif is_labelled(quantity) or quantity.is_fraction or members[quantity.group] > 1:
                if not is_followed_by_a_noun(items, quantity):
                    _borrow(quantity, only, default_unit)
            elif quantity.spelled and (quantity.includes or quantity.step < 1):
                _borrow(quantity, only, default_unit)
            elif not units:
                _borrow(quantity, None, default_unit)
        following = quantity
    return [q for q in quantities if q.unit is not None]


def _units_before(items: Sequence[Item], quantities: Sequence[Quantity]) -> None:
    """'cm 31 x 22', 'kg 1,2': a unit that goes before its numbers."""
    used = {index for q in quantities for index in range(q.first, q.end)}
    units: dict[int, Unit] = {}
    for quantity in quantities:
        before = quantity.first - 1
        if quantity.unit is None and quantity.group in units:
            quantity.unit = units[quantity.group]
        elif quantity.unit is None and before >= 0 and before not in used:
            item = items[before]
            if item.role == "unit" and isinstance(item.value, Unit) and item.value in _SYMBOLS:
                quantity.unit = units[quantity.group] = item.value
                quantity.first = before
                quantity.start = min(quantity.start, item.start)


_SYMBOLS = frozenset({Unit.CENTIMETRE, Unit.MILLIMETRE, Unit.GRAM, Unit.KILOGRAM})


def _unit_not_said(quantities: Sequence[Quantity]) -> Unit | None:
    """'H 14,2': a size with decimals and its dimension is in centimetres where no unit is said.

    Inches are written with fractions. Common practice, no source.
    """
    said = any(
        is_labelled(q) and q.step < 1 and not q.is_fraction and 1 <= q.low <= _LARGEST
        for q in quantities
    )
    if not said:
        return None
    for quantity in quantities:
        quantity.certainty = Certainty.PROBABLE
    return Unit.CENTIMETRE


_LARGEST = 400
"""Centimetres of the largest size that is believed without its unit."""


def _borrow(quantity: Quantity, only: Unit | None, default_unit: Unit | None) -> None:
    unit = only or default_unit
    if unit is None or (quantity.is_fraction and unit is not Unit.INCH and only is not None):
        return
    quantity.unit = unit
    quantity.rule = "unit of the text" if only else "unit of the column"
    quantity.confidence = "0.8"


def _in_company(items: Sequence[Item], quantity: Quantity, grouped: bool, text: str) -> bool:
    """Whether a unit that is a word or letter of other uses too ('in', 'feet') is one here."""
    if not quantity.weak or quantity.is_fraction or is_labelled(quantity):
        return True
    if quantity.approximate or quantity.part or grouped:
        return True
    if quantity.unit is Unit.FOOT or quantity.spelled:
        return False
    rest = text[items[quantity.end - 1].end :].lstrip(" ")
    return not rest or rest[0] in ",;()|/=\n" or (quantity.unit is Unit.METRE and rest[0] == ".")


def _measurement(quantity: Quantity, text: str) -> Measurement:
    assert quantity.unit is not None
    return Measurement(
        as_stated=text[quantity.start : quantity.stop],
        certainty=quantity.certainty,
        reading=Reading(
            rule=quantity.rule,
            confidence=quantity.confidence,
            start=quantity.start,
            end=quantity.stop,
        ),
        dimension=quantity.dimension,
        low=plain(quantity.low),
        high=plain(quantity.high),
        unit=quantity.unit,
        part=quantity.part,
        which=quantity.which,
        approximate=quantity.approximate,
        basis=quantity.basis,
        includes=tuple(quantity.includes),
    )


def _questions(
    quantities: Sequence[Quantity], statements: tuple[Measurement, ...]
) -> tuple[Question, ...]:
    questions: list[Question] = []
    numbers = {id(quantity): number for number, quantity in enumerate(quantities)}
    for quantity, statement in zip(quantities, statements, strict=True):
        span = Span(start=quantity.start, end=quantity.stop)
        if quantity.either and quantity.pair is None:
            depth, diameter = (
                _changed(statement, dimension=d) for d in (Dimension.DEPTH, Dimension.DIAMETER)
            )
            questions.append(
                Question(
                    span=span, asks="Is D. depth or diameter?", readings=((depth,), (diameter,))
                )
            )
        if quantity.other is not None and quantity.unit not in (Unit.MILLIMETRE, Unit.GRAM):
            other = plain(quantity.other)
            questions.append(
                Question(
                    span=span,
                    asks="Does the comma part thousands or decimals?",
                    readings=((statement,), (_changed(statement, low=other, high=other),)),
                )
            )
        if quantity.pair is not None and not agree(quantity.pair, quantity):
            first = statements[numbers[id(quantity.pair)]]
            start = min(quantity.start, quantity.pair.start)
            questions.append(
                Question(
                    span=Span(start=start, end=max(quantity.stop, quantity.pair.stop)),
                    asks="The two sizes of this pair disagree. Which one is right?",
                    readings=((first,), (statement,)),
                )
            )
    return tuple(questions)


def _changed(statement: Measurement, **changes: Dimension | str) -> Measurement:
    fields = {name: getattr(statement, name) for name in statement.__struct_fields__}
    return Measurement(**{**fields, **changes})


__all__ = ["MeasurementReading", "measurements_in", "read_measurements"]
