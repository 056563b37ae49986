"""Numbers in words, in six languages: 'thirty-nine', 'dreiundzwanzig', 'mille sept cent cinquante'.

English, French and Spanish part their numbers into words; German, Dutch and Italian write them
as one. Both are read by the atoms of `numerals.csv`.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from archivist.reading.spelling import fold
from archivist.reading.tables import Tables

_WRITTEN_AS_ONE = ("de", "nl", "it")
_FEWEST_OF_A_HUNDRED, _MOST_OF_A_HUNDRED = 11, 20
"""What may stand before 'hundred', or before two more figures of a year, in 'seventeen fifty'."""
_MOST_WORDS = 8
_OH = frozenset(("oh", "o"))


class Spelled(NamedTuple):
    """A number in words: its value, and the word after it."""

    value: int
    end: int


class Numerals(NamedTuple):
    """The atoms of every language: values by word, words that join, and for languages that write
    a number as one word its pattern; `heads` begin a number in any."""

    values: Mapping[str, Mapping[str, int]]
    joins: Mapping[str, frozenset[str]]
    wholes: Mapping[str, re.Pattern[str]]
    points: frozenset[str]
    heads: frozenset[str]
    beginnings: re.Pattern[str]

    def at(self, words: Sequence[str], index: int, *, years: bool = False) -> Spelled | None:
        """The longest number that begins at `words[index]` (folded), in whichever language.

        `years`: 'seventeen fifty' is 1750.
        """
        word = words[index]
        if word not in self.heads and not self.beginnings.match(word):
            return None
        best: Spelled | None = None
        for language in self.values:
            found = self._in(language, words, index, years)
            if found is not None and (best is None or found.end > best.end):
                best = found
        return best

    def value_of(self, language: str, word: str) -> int | None:
        """What one word stands for, a compound of German, Dutch and Italian too."""
        value = self.values[language].get(word)
        if value is None and language in self.wholes:
            return _whole(self, language, word)
        return value

    def _in(self, language: str, words: Sequence[str], index: int, years: bool) -> Spelled | None:
        total = current = atoms = 0
        at, end = index, index
        while at < len(words) and at - index < _MOST_WORDS:
            word = words[at]
            if word in self.joins.get(language, ()) and atoms:
                at += 1
                if at - 1 != end:
                    break
                continue
            if years and word in _OH and language == "en" and _may_be_hundreds(current):
                current, at = current * 100, at + 1
                continue
            value = self.value_of(language, word)
            step = None if value is None else _added(total, current, value, language, years)
            if step is None:
                break
            total, current = step
            atoms += 1
            at += 1
            end = at
        return Spelled(total + current, end) if atoms else None


def _may_be_hundreds(number: int) -> bool:
    return _FEWEST_OF_A_HUNDRED <= number <= _MOST_OF_A_HUNDRED


def _added(
    total: int, current: int, value: int, language: str, years: bool
) -> tuple[int, int] | None:
    """Total and current group after one more atom; None where it does not belong to the number."""
    if value == 1000:
        return (total + max(current, 1) * 1000, 0) if total == 0 and current < 1000 else None
    if value == 100:
        return (total, max(current, 1) * 100) if current < 100 else None
    if current == 0 or (current % 100 == 0 and value < 100):
        return total, current + value
    rest = current % 100
    if language == "fr" and rest == 4 and value == 20:
        return total, current - 4 + 80
    if language == "fr" and rest == 10 and 7 <= value <= 9:
        return total, current + value
    if language == "fr" and rest in (60, 80) and value < 20:
        return total, current + value
    if rest >= 20 and rest % 10 == 0 and value < 10:
        return total, current + value
    if years and total == 0 and 10 <= value < 100 and _may_be_hundreds(current):
        return total, current * 100 + value
    return None


def _whole(numerals: Numerals, language: str, word: str) -> int | None:
    """'dreiundzwanzig', 'zeventienhonderdvijftig', 'millesettecentocinquanta' as a value."""
    match = numerals.wholes[language].fullmatch(word)
    if match is None or not word:
        return None
    values = numerals.values[language]

    def of(name: str) -> int:
        said = match.group(name) or ""
        return values.get(said) or values.get(said + "a") or values.get(said + "i") or 0

    thousands = (of("thousands") or 1) * 1000 if match["thousand"] else 0
    hundreds = (of("hundreds") or 1) * 100 if match["hundred"] else 0
    rest = of("teen") + of("tens") + of("unit")
    if language != "it":
        rest += of("only")
        hundreds = hundreds or of("century") * 100
    return thousands + hundreds + rest or None


def _pattern(language: str, values: Mapping[str, int]) -> re.Pattern[str]:
    def named(low: int, high: int) -> str:
        words = [word for word, value in values.items() if low <= value <= high]
        return "|".join(sorted(map(re.escape, words), key=len, reverse=True))

    units, teens, tens = named(1, 9), named(10, 19), named(20, 90)
    if language == "it":
        short = "|".join(f"{w}?" for w in tens.split("|"))
        return re.compile(
            rf"(?P<thousands>{units}|{teens})?(?P<thousand>mille|mila)?"
            rf"(?P<hundreds>{units})?(?P<hundred>cento)?"
            rf"(?:(?P<teen>{teens})|(?P<tens>{short})?(?P<unit>{units})?)"
        )
    join = {"de": "und", "nl": "en"}[language]
    thousand, hundred = {"de": ("tausend", "hundert"), "nl": ("duizend", "honderd")}[language]
    centuries = named(11, 19)
    return re.compile(
        rf"(?:(?P<thousands>{units})?(?P<thousand>{thousand}))?(?:{join})?"
        rf"(?:(?P<hundreds>{units}|{centuries})?(?P<hundred>{hundred})"
        rf"|(?P<century>{centuries})(?=(?:{units}){join}|{tens}|{teens}))?(?:{join})?"
        rf"(?:(?P<teen>{teens})|(?:(?P<unit>{units})(?:{join}(?P<tens>{tens}))?)|(?P<only>{tens}))?"
    )


@functools.lru_cache(maxsize=8)
def numerals_of(tables: Tables) -> Numerals:
    """The numbers in words of all languages."""
    values: dict[str, dict[str, int]] = {}
    joins: dict[str, set[str]] = {}
    for row in tables.terms("cardinal"):
        of_language = values.setdefault(row.language, {})
        of_language.update((fold(name), int(row.code)) for name in row.variants)
    for row in tables.terms("cardinal join"):
        joins.setdefault(row.language, set()).update(map(fold, row.variants))
    points = {fold(n) for row in tables.terms("decimal point") for n in row.variants}
    heads = {word for words in values.values() for word in words}
    wholes = {name: _pattern(name, values[name]) for name in _WRITTEN_AS_ONE}
    begin = sorted({w[:4] for name in _WRITTEN_AS_ONE for w in values[name] if len(w) > 2})
    return Numerals(
        values,
        {language: frozenset(words) for language, words in joins.items()},
        wholes,
        frozenset(points),
        frozenset(heads),
        re.compile("|".join(map(re.escape, begin))),
    )
