"""Sizes in words: 'thirty-nine and a half', 'siebzehn Komma acht', 'six and five-eighths'."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from archivist.reading.measurements.numbers import Number, fraction
from archivist.reading.numerals import Numerals, Spelled, numerals_of
from archivist.reading.spelling import fold
from archivist.reading.tables import Tables

Raw = tuple[str, str, int, int]
"""A token of a text of sizes: its kind, its words and its bounds."""
_MOST_TOKENS = 12
_HALF_BEHIND = "einhalb"
"""'dreieinhalb' is three and a half."""
_ONE = frozenset(("a", "an", "one"))


class SpelledSizes(NamedTuple):
    """What is needed to read numbers in words: those of all languages, and parts in English."""

    numerals: Numerals
    fractions: Mapping[str, int]

    def at(self, raw: Sequence[Raw], index: int) -> tuple[Number, int] | None:
        """The number in words that begins at token `index`, and the token after it."""
        head = fold(raw[index][1])
        numerals = self.numerals
        if head not in numerals.heads and not numerals.beginnings.match(head):
            return None
        words, places = _words(raw, index)
        if head.endswith(_HALF_BEHIND) and (whole := numerals.value_of("de", head[:-7])):
            value = Decimal(whole) + Decimal("0.5")
            return Number(value, value, Decimal("0.5")), index + 1
        found = numerals.at(words, 0)
        if found is None:
            return None
        number, end = self._with_its_part(words, found)
        return number, places[end - 1] + 1

    def _with_its_part(self, words: list[str], found: Spelled) -> tuple[Number, int]:
        value, end = found.value, found.end
        if end + 1 < len(words) and words[end] in self.numerals.points:
            digits, after = self._digits(words, end + 1)
            if digits:
                number = Decimal(f"{value}.{digits}")
                return Number(number, number, Decimal(1).scaleb(-len(digits))), after
        if end < len(words) and words[end] in self.fractions:
            part = fraction(0, value, self.fractions[words[end]])
            if part is not None:
                return part, end + 1
        if words[end : end + 1] == ["and"] and end + 2 < len(words):
            above = Spelled(1, end + 2) if words[end + 1] in _ONE else None
            above = above or self.numerals.at(words, end + 1)
            if above is not None and above.end < len(words):
                parts = self.fractions.get(words[above.end])
                mixed = fraction(value, above.value, parts) if parts else None
                if mixed is not None:
                    return mixed, above.end + 1
        whole = Decimal(value)
        return Number(whole, whole, Decimal(1)), end

    def _digits(self, words: list[str], index: int) -> tuple[str, int]:
        """The figures behind the point: 'acht', 'fünf fünf', 'seventy-five'."""
        digits = ""
        while index < len(words) and len(digits) < _MOST_DECIMALS:
            found = self.numerals.at(words, index)
            if found is None or found.value >= 100:
                break
            digits += str(found.value)
            index = found.end
        return digits, index


_MOST_DECIMALS = 3


def _words(raw: Sequence[Raw], index: int) -> tuple[list[str], list[int]]:
    words: list[str] = []
    places: list[int] = []
    for at in range(index, min(len(raw), index + _MOST_TOKENS)):
        kind, word, start, _ = raw[at]
        if kind == "word":
            words.append(fold(word))
            places.append(at)
        elif word not in "-‐‑" or start != raw[at - 1][3]:
            break
    return words, places


@functools.lru_cache(maxsize=8)
def spelled_sizes(tables: Tables) -> SpelledSizes:
    """The numbers and parts in words of `tables`."""
    parts = {
        fold(name): int(row.more["value"])
        for row in tables.terms("fraction word")
        for name in row.variants
    }
    return SpelledSizes(numerals_of(tables), parts)
