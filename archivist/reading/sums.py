"""Sums of money among words of provenance: found, so that they become no name, place or date."""

from __future__ import annotations

import functools
import re

from archivist.reading.level import either, unaccented
from archivist.reading.tables import Tables

_NUMBER = r"\d+(?:[.,'’ \u00a0\u202f]\d{3})*(?:[.,](?:\d{1,2}|[-–—]))?(?:\s?[km](?![^\W_]))?"
_NO_YEAR = r"(?!(?:1[4-9]|20)\d\d(?!\d))"
_PENCE = r"(?:\s*/-|\s?\d+\s?s\.?(?:\s?\d+\s?d\.?)?(?![^\W_])|-\d+-\d+)?"


@functools.lru_cache(maxsize=8)
def _sum(tables: Tables) -> re.Pattern[str]:
    """A sum: a number with its currency before or after it, or after a word of price.

    Signs of money in letters are told from words by being in capitals ('DM 1200', 'seit dem
    1200'), so they are compared as they are written.
    """
    names: dict[str, list[str]] = {}
    for row in tables.terms("sum"):
        names.setdefault(row.label, []).extend(row.variants)
    written = sorted(names["before"], key=len, reverse=True)
    before = "|".join(re.escape(unaccented(sign)) for sign in written if sign)
    after, lead, price = (either(names[label]) for label in ("after", "lead", "price"))
    many = rf"{_NUMBER}{_PENCE}(?:\s?[-–]\s?{_NUMBER})?"
    with_sign = rf"(?<![^\W\d_])(?:{before})\s?{many}"
    with_name = rf"(?<![\w.,]){many}\s?(?i:{after})(?![^\W_])\.?"
    shillings = r"(?<![\w.])\d+\s?s\.?\s?\d+\s?d\.?(?![^\W_])"
    money = rf"(?:{with_sign}(?:\s?(?i:{after})(?![^\W_]))?|{with_name}|{shillings})"
    ends = r"(?=\s*(?:[,;.)]|$|by\b|from\b|in\b))"
    bare = rf"(?<![^\W_])(?i:{price})[\s:]+(?:the sum of\s+)?{_NO_YEAR}{_NUMBER}{ends}"
    led = rf"(?:(?<![^\W_])(?i:{price}|{lead})[\s:]+(?:about |only |c\. ?)?)?{money}"
    return re.compile(rf"{led}(?:\s(?:the pair|the lot|the set|each|plus premium))?|{bare}")


_DIGITS = re.compile(r"\d")


def without_sums(text: str, tables: Tables) -> str:
    """`text` of the same length with all sums of money blanked."""
    if not _DIGITS.search(text):
        return text
    pieces: list[str] = []
    at = 0
    for match in _sum(tables).finditer(unaccented(text)):
        pieces += [text[at : match.start()], " " * len(match.group())]
        at = match.end()
    return "".join((*pieces, text[at:]))


def sums_in(text: str, tables: Tables) -> list[str]:
    """The sums of money in `text`, as they are written."""
    if not _DIGITS.search(text):
        return []
    found = _sum(tables).finditer(unaccented(text))
    return [text[match.start() : match.end()].strip() for match in found]
