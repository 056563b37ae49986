"""Amounts of money as they are written in stock books."""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.reading.tables import Tables

_NUMBER = re.compile(r"\d[\d.,'’\u00a0\u202f ]*\d|\d")
_SIGN = re.compile(r"[A-Z][A-Za-z]{0,2}\.?|\W")
"""What may be the sign of a currency that nobody told us: 'F', 'DM', 'Kr.'."""

_GROUPS = re.compile(r"[.,'’\u00a0\u202f ](?=\d{3}(?!\d))")


class Amount(NamedTuple):
    """An exact decimal string, and the currency: ISO 4217, or as written where unknown."""

    amount: str
    currency: str


@functools.lru_cache(maxsize=1)
def _currencies(tables: Tables) -> dict[str, str]:
    return {
        name.casefold(): row.label for row in tables.terms("currency") for name in row.names if name
    }


def currency_in(words: str, tables: Tables) -> str:
    """The currency that `words` name by sign, code or name; '' where they name none or several."""
    known = _currencies(tables)
    whole = words.casefold().strip()
    if whole in known:
        return known[whole]
    pieces = re.findall(r"[^\W\d_]+\.?|[^\w\s.,'()]+\S?", words.casefold())
    found = {known[p] for p in pieces if p in known} | {
        known[p.rstrip(".")] for p in pieces if p.rstrip(".") in known
    }
    found |= {known[sign] for sign in ("£", "€", "₩") if sign in words}
    return found.pop() if len(found) == 1 else ""


def read_amount(words: str, tables: Tables, currency: str = "") -> Amount | None:
    """The amount in `words`, or None where they hold none or more than one.

    A sign of currency beside the number wins over the column's. A comma or point before the last
    two digits is the decimal mark; before three digits it groups thousands (common practice).
    """
    numbers = _NUMBER.findall(words)
    if len(numbers) != 1:
        return None
    number = numbers[0].strip()
    rest = words.replace(number, " ", 1).strip(" .:;-–=~")
    stated = currency_in(rest, tables)
    if not stated and rest and not _SIGN.fullmatch(rest):
        return None
    if re.match(r"0\d", number):
        return None
    plain = _GROUPS.sub("", number)
    plain = plain.replace(",", ".").replace(" ", "")
    if not re.fullmatch(r"\d+(\.\d{1,2})?", plain):
        return None
    return Amount(plain, stated or rest or currency)
