"""Numbers with a unit beside them that are no size of the piece: years, prices, differences."""

from __future__ import annotations

from collections.abc import Sequence

from archivist.model.measurements import Unit
from archivist.reading.measurements.items import Item, MeasurementWords
from archivist.reading.measurements.quantities import Quantity
from archivist.reading.words import fold

_MONEY = frozenset("£$€¥")
_FIRST_YEAR, _LAST_YEAR = 1000, 2100
_DETERMINERS = frozenset(("the", "a", "an", "our", "his", "her", "their", "this", "that", "its"))


def is_of_the_piece(
    items: Sequence[Item],
    quantity: Quantity,
    quantities: Sequence[Quantity],
    words: MeasurementWords,
    text: str,
) -> bool:
    """Whether nothing beside a number and its unit makes it anything but a size."""
    before = items[quantity.first - 1] if quantity.first else None
    after = items[quantity.end] if quantity.end < len(items) else None
    if before is not None and before.value in _MONEY:
        return False
    if before is not None and text[before.start : before.end].lower() == "by":
        joined = any(q is not quantity and q.group == quantity.group for q in quantities)
        if not joined or _is_a_year(quantity):
            return False  # 'ground by 1 mm', '26 cm by 1935'
    if after is None:
        return True
    following = fold(text[after.start : after.end])
    if following in words.compared:
        return False  # '1 cm taller'
    if quantity.unit is Unit.OUNCE and after.role == "number" and quantity.end + 1 < len(items):
        smaller = items[quantity.end + 1]
        if fold(text[smaller.start : smaller.end]) in words.troy:
            return False  # '26 oz 10 dwt' is troy
    last = text[items[quantity.end - 1].start : items[quantity.end - 1].end]
    return not (quantity.unit is Unit.INCH and last == "in" and following in _DETERMINERS)


def _is_a_year(quantity: Quantity) -> bool:
    whole = quantity.low == quantity.high == quantity.low.to_integral_value()
    return whole and _FIRST_YEAR <= quantity.low <= _LAST_YEAR and quantity.unit in _NEVER_SO_LARGE


_NEVER_SO_LARGE = (Unit.CENTIMETRE, Unit.INCH, Unit.METRE, Unit.FOOT)


def is_followed_by_a_noun(items: Sequence[Item], quantity: Quantity) -> bool:
    """'w. 2 figures': a number without a unit that counts what comes after it."""
    return quantity.end < len(items) and items[quantity.end].role == "word"
