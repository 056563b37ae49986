"""Which words around a size belong to it: 'H.', 'high', 'of mouth', 'about', 'each', 'with stand'.

Words between two sizes belong to the one they are not parted from by a comma, semicolon, bar or
line; where nothing parts them, nouns and letters ('H.', 'diameter') go the way the text began,
and words that can only follow ('high', 'in diameter') go to the size before.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from archivist.model.base import Certainty
from archivist.model.measurements import Basis, Dimension
from archivist.reading.measurements.items import Item
from archivist.reading.measurements.quantities import Quantity

_MODIFIERS = frozenset(
    (
        "dimension",
        "either dimension",
        "whole",
        "measured part",
        "approximate",
        "basis",
        "which",
        "includes",
        "excludes",
        "between",
    )
)
_BOUNDARIES = frozenset(",;|\n")
_GLUE = frozenset(("of", "the", "is", "are", "was", "at", "across", "its", "their", "and", "en"))
_MAY_BRACKET = frozenset("()[]")
_LABEL_WORDS = 5
_LISTED = 12
_LIST_LETTER = re.compile(r"^\w(?:-\w)?\) ?")


def attach(items: Sequence[Item], quantities: Sequence[Quantity], text: str) -> None:
    """Give each of `quantities` the words around it, and its span in the text."""
    first_is_prefixed = _prefixed(items, quantities[0]) if quantities else False
    pairs = itertools.pairwise(quantities)
    bounds = [0, *(_divide(items, *pair, first_is_prefixed) for pair in pairs), len(items)]
    for number, quantity in enumerate(quantities):
        start = _before(items, quantity, bounds[number], text)
        stop = _after(items, quantity, bounds[number + 1], text)
        quantity.start = items[start].start
        quantity.stop = items[stop - 1].end
    _trailing(items, quantities)


def _is_boundary(item: Item) -> bool:
    return item.role == "line" or (item.role == "mark" and item.value in _BOUNDARIES)


def _prefixed(items: Sequence[Item], quantity: Quantity) -> bool:
    index = quantity.first - 1
    while index >= 0 and items[index].role in ("mark", "approximate", "measured part"):
        if _is_boundary(items[index]):
            return False
        index -= 1
    if index < 0 or items[index].style == "after":
        return False
    return items[index].role in ("dimension", "either dimension")


def _divide(items: Sequence[Item], before: Quantity, after: Quantity, prefixed: bool) -> int:
    """The item between two quantities from which words belong to the second."""
    between = range(before.end, after.first)
    for index in between:
        if items[index].role == "times":
            return index + 1
    boundaries = [index for index in between if _is_boundary(items[index])]
    if boundaries:
        return boundaries[0] + 1
    if before.unit is None and after.unit is not None:
        return before.end
    opened = 0
    for index in between:
        item = items[index]
        if item.role == "mark" and item.value in ("(", "["):
            opened = index
        elif item.role == "mark" and item.value in (")", "]"):
            opened = 0
            if index + 1 < after.first and items[index + 1].value != ".":
                return index + 1
        elif item.role == "mark" and item.value == ":":
            return opened or _label_start(items, index, before.end)
    if opened:
        return opened
    last = before.end
    for index in between:
        item = items[index]
        following = item.style == "after" or item.role in ("basis", "which", "includes")
        if following or (
            not prefixed and item.role in ("dimension", "either dimension", "measured part")
        ):
            last = index + 1
        elif item.role not in ("mark", "word"):
            break
    return last


def _label_start(items: Sequence[Item], colon: int, lowest: int) -> int:
    """Where the words before a colon begin, as far as they are no measuring words of the last."""
    index = colon
    while index > lowest and items[index - 1].style != "after":
        if items[index - 1].role == "mark" and items[index - 1].value in (")", "]", "."):
            break
        index -= 1
    return index


def _before(items: Sequence[Item], quantity: Quantity, lowest: int, text: str) -> int:
    """Take the words before a quantity; return the first item that belongs to it."""
    index = start = quantity.first
    while index > lowest:
        item = items[index - 1]
        if _is_boundary(item) or item.style == "after":
            break
        if item.role == "mark" and item.value == ":":
            label = _label(items, index - 1, lowest)
            if label < index - 1 and not _all_modifiers(items, label, index - 1):
                _take_label(items, label, index - 1, quantity, text)
                return label
        elif item.role in _MODIFIERS or item.role == "hedge":
            if item.role == "approximate" and _after_ordinal(items, index - 1):
                break
            _take(item, quantity)
            start = index - 1
        elif item.role == "mark" and item.value in (".", "=", "("):
            pass
        elif item.role == "mark" and item.value == ")":
            letter = _list_letter(items, index - 1, lowest)
            if letter is not None:
                quantity.part = quantity.part or str(items[letter].value).lower()
                return letter
            break
        elif not (item.role in ("word", "joins") and str(text[item.start : item.end]) in _GLUE):
            break
        index -= 1
    return start


def _list_letter(items: Sequence[Item], closing: int, lowest: int) -> int | None:
    """Where a letter that counts the pieces stands at the head of a line: 'B) length 49 in.'"""
    index = closing - 1
    if index < lowest or items[index].role != "word" or len(str(items[index].value)) > 1:
        return None
    at_head = index == 0 or _is_boundary(items[index - 1])
    return index if at_head else None


def _after_ordinal(items: Sequence[Item], index: int) -> bool:
    """'18th c. 12 in. high': that 'c.' is the century's."""
    if index == 0:
        return False
    before = items[index - 1]
    return before.end + 1 >= items[index].start and before.value in ("th", "st", "nd", "rd")


def _label(items: Sequence[Item], colon: int, lowest: int) -> int:
    """Where the label that ends at `colon` begins: up to five words back on its line."""
    index = colon
    while index > lowest and colon - index < _LABEL_WORDS:
        item = items[index - 1]
        if _is_boundary(item) or (item.role == "mark" and item.value in (".", ":", "(")):
            break
        index -= 1
    return index


def _all_modifiers(items: Sequence[Item], first: int, end: int) -> bool:
    return all(
        i.role in _MODIFIERS or (i.role == "word" and i.value in _GLUE) for i in items[first:end]
    )


def _take_label(
    items: Sequence[Item], first: int, colon: int, quantity: Quantity, text: str
) -> None:
    """A label of free words names the part; measuring words in it keep their meaning."""
    if any(i.role in ("order", "times") for i in items[first:colon]):
        return
    kept: list[Item] = []
    for item in items[first:colon]:
        if item.role in _MODIFIERS:
            _take(item, quantity)
        if item.role not in ("dimension", "either dimension", "whole"):
            kept.append(item)
    if not quantity.part and kept:
        words = text[kept[0].start : kept[-1].end]
        name = " ".join(words.split()).lower()
        quantity.part = _LIST_LETTER.sub("", name).strip(" )") or name.strip(" )")


def _after(items: Sequence[Item], quantity: Quantity, highest: int, text: str) -> int:
    """Take the words after a quantity; return the end of the items that belong to it."""
    index = stop = quantity.end
    while index < highest:
        item = items[index]
        if _is_boundary(item) or item.role == "times":
            break
        if item.role in _MODIFIERS:
            _take(item, quantity)
            stop = index + 1
        elif item.role == "mark" and item.value in (")", "]") and stop == index:
            opened = any(
                i.role == "mark" and i.value in ("(", "[") for i in items[quantity.end : index]
            )
            stop = index + 1 if opened else stop
        elif item.role == "mark" and item.value == "?":
            quantity.certainty = Certainty.POSSIBLE
            stop = index + 1
        elif item.role == "mark" and item.value == "." and index + 1 < len(items):
            following = items[index + 1]
            capital = text[following.start].isupper()
            if following.start > item.end and (following.role == "word" or capital):
                break
        elif not (item.role == "mark" and item.value in _MAY_BRACKET) and not (
            item.role in ("word", "joins") and item.value in _GLUE
        ):
            break
        index += 1
    return stop


def _take(item: Item, quantity: Quantity) -> None:
    """Let one measuring word say what it says of the quantity; the nearest word wins."""
    value = item.value
    if item.role == "dimension" and isinstance(value, Dimension):
        if quantity.dimension is Dimension.UNSTATED and not quantity.either:
            quantity.dimension = value
    elif item.role == "either dimension":
        quantity.either = quantity.dimension is Dimension.UNSTATED
    elif item.role == "measured part":
        quantity.part = quantity.part or str(value)
    elif item.role == "approximate":
        quantity.approximate = True
    elif item.role == "basis":
        quantity.basis = Basis(str(value))
    elif item.role == "which":
        quantity.which = quantity.which or str(value)
    elif item.role == "hedge" and isinstance(value, Certainty):
        quantity.certainty = value
    elif item.role == "includes" and str(value) not in quantity.includes:
        quantity.includes.append(str(value))


def _trailing(items: Sequence[Item], quantities: Sequence[Quantity]) -> None:
    """'H. 8 cm, W. 10 cm, from memory': what follows the last comma is said of them all."""
    for number, quantity in enumerate(quantities):
        index = quantity.end
        while index < len(items) and items[index].start < quantity.stop:
            index += 1
        if index + 1 >= len(items) or items[index].value not in (",", "("):
            continue
        end = index + 1
        while end < len(items) and items[end].role in ("basis", "which", "includes", "approximate"):
            end += 1
        if end == index + 1 or not _ends(items, end):
            continue
        for item in items[index + 1 : end]:
            for earlier in reversed(quantities[max(0, number - _LISTED) : number + 1]):
                if earlier is not quantity and not _one_line(items, earlier, quantity):
                    break
                _take(item, earlier)
        quantity.stop = items[end - 1].end


def _ends(items: Sequence[Item], index: int) -> bool:
    return index >= len(items) or items[index].role in ("mark", "line")


def _one_line(items: Sequence[Item], earlier: Quantity, later: Quantity) -> bool:
    return not any(
        i.role == "line" or (i.role == "mark" and i.value in (";", "."))
        for i in items[earlier.end : later.first]
    )
