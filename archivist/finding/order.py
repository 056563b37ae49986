"""The order in which pieces found are shown: that of the reference library's `js/order.js`.

There the browser's own order of English words decides, in which numbers count by their size. Here
it is made of what is simple of it: spaces, then signs, then numbers, then letters, whatever their
marks and case; these tell only what would be equal apart, small letters first.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from archivist.finding.entry import Entry
from archivist.finding.query import Order

_PART = re.compile(r"([0-9]+)")

Key = Callable[[Entry], tuple[Any, ...]]


def in_order(entries: Mapping[int, Entry], order: Order) -> list[int]:
    """The keys of `entries` in that order."""
    key = _KEYS[order]
    return sorted(entries, key=lambda place: key(entries[place]))


def natural(text: str) -> tuple[Any, ...]:
    """What `text` is put in order by: 'HW 9' before 'HW 10'."""
    plain = unicodedata.normalize("NFKD", text)
    places: list[tuple[int, int]] = []
    for part in filter(None, _PART.split(plain.casefold())):
        places.extend([(2, int(part))] if _PART.fullmatch(part) else _letters(part))
    return tuple(places), plain.swapcase()


def _letters(part: str) -> Iterator[tuple[int, int]]:
    """Each character's class and place; marks do not count."""
    for character in part:
        kind = unicodedata.category(character)[0]
        if kind != "M":
            yield 0 if kind == "Z" else 3 if kind in "LN" else 1, ord(character)


def _begins(entry: Entry) -> float:
    return next((year for year in (entry.earliest, entry.latest) if year is not None), math.inf)


def _ends(entry: Entry) -> float:
    return next((year for year in (entry.latest, entry.earliest) if year is not None), math.inf)


def _by_number(entry: Entry) -> tuple[Any, ...]:
    return natural(entry.number), entry.id


_KEYS: dict[Order, Key] = {
    Order.DATE: lambda e: (_begins(e), _ends(e), _by_number(e)),
    Order.LATEST: lambda e: (
        _begins(e) == math.inf,
        -_begins(e),
        -_ends(e),
        _by_number(e),
    ),
    Order.NUMBER: lambda e: (_by_number(e),),
    Order.TITLE: lambda e: (natural(e.title), _by_number(e)),
}
