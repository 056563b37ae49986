"""Sizes as people write them, as exact decimals: '13 1/2', '13-1/2', '13½', '8,2', '1,149'."""

from __future__ import annotations

import functools
import re
import unicodedata
from decimal import Decimal
from typing import NamedTuple

FRACTIONS = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"

NUMBER = (
    r"(?<![\d/⁄])(?:"
    r"\d{1,4}(?:\s?[-‐‑–]\s?|\s(?:and|&|et|und)\s|[ \u00a0\u2009])"
    r"\d{1,2}\s?[/⁄]\s?\d{1,3}(?![\d/⁄])"
    r"|\d{1,3}\s?[/⁄]\s?\d{1,3}(?![\d/⁄])"
    rf"|\d{{1,4}}[-\u00a0 ]?[{FRACTIONS}]"
    rf"|[{FRACTIONS}]"
    r"|\d+(?:[.,·]\d+)*|(?<![\w.])\.\d+)"
)
"""A number as the inside of a regular expression."""

_MIXED = re.compile(r"(?:(\d+)\D+)?(\d+)\s?[/⁄]\s?(\d+)$")
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?$")
_ONE_COMMA_THREE = re.compile(r"[1-9]\d{0,2},\d{3}$")


class Number(NamedTuple):
    """A number as stated: its bounds (apart only where it is no finite decimal), the step it was
    stated to, whether a vulgar fraction said so, and whether its comma may be either kind."""

    low: Decimal
    high: Decimal
    step: Decimal
    is_fraction: bool = False
    either_comma: Decimal | None = None


@functools.lru_cache(maxsize=4096)
def parse_number(words: str) -> Number | None:
    """The number that `words` (matched by `NUMBER`) state, or None where they state none.

    '1/3' has no finite decimal: its bounds are the decimals on either side of it.
    """
    last = words[-1]
    if last in FRACTIONS:
        numerator, denominator = unicodedata.normalize("NFKD", last).split("\u2044")
        whole = words[:-1].strip(" \u00a0-")
        return fraction(int(whole or 0), int(numerator), int(denominator))
    if mixed := _MIXED.match(words):
        whole, numerator, denominator = mixed.groups()
        return fraction(int(whole or 0), int(numerator), int(denominator))
    return _decimal(words)


def fraction(whole: int, numerator: int, denominator: int) -> Number | None:
    """A vulgar fraction with a whole before it, None where it is none."""
    if denominator == 0 or (whole and numerator >= denominator):
        return None
    rest = denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    total = whole * denominator + numerator
    step = Decimal(1) / Decimal(denominator)
    if rest == 1:
        value = Decimal(total) / Decimal(denominator)
        return Number(value, value, step, True)
    thousandths = total * 1000 // denominator
    return Number(Decimal(thousandths) / 1000, Decimal(thousandths + 1) / 1000, step, True)


def _decimal(words: str) -> Number | None:
    text = words.replace("·", ".")
    other: Decimal | None = None
    if _THOUSANDS.match(text):
        if _ONE_COMMA_THREE.match(text):
            other = Decimal(text.replace(",", "."))
        text = text.replace(",", "")
    elif text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    if text.count(".") > 1 or "," in text or len(text) > 12:
        return None
    value = Decimal(text)
    exponent = value.as_tuple().exponent
    step = Decimal(1).scaleb(exponent) if isinstance(exponent, int) else Decimal(1)
    return Number(value, value, step, False, other)


def plain(value: Decimal) -> str:
    """`value` as a decimal string without exponent, to the places it was stated to."""
    return format(value, "f")
