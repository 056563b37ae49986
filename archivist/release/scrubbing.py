"""Names and prices that stand in running words, taken out before the words reach others."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TypeVar

import msgspec

from archivist.model import Party, PartyKind, Value

NAME_WITHHELD = "[name withheld]"
PRICE_WITHHELD = "[price withheld]"

ValueType = TypeVar("ValueType", bound=Value)

_WORD = re.compile(r"\w+")
_SIGN = (
    r"(?:[£$€¥₩]|(?:US|AU|NZ|HK|CA?)\$|\b(?:GBP|USD|EUR|JPY|KRW|CHF|DM|DEM|FRF|NLG|fl\.?|hfl\.?))"
)
_NUMBER = r"\d[\d.,'\u2009\u00a0]*(?:\s?(?:k|m|million|thousand)\b)?(?:[-–/]\d[\d.,]*)?"
_PRICE = re.compile(
    rf"{_SIGN}\s?{_NUMBER}(?:\s?[-–]\s?{_SIGN}?\s?{_NUMBER})?"
    rf"|{_NUMBER}\s?(?:[£€¥₩]|\b(?:GBP|USD|EUR|JPY|KRW|CHF|pounds?\s+sterling|guineas?|gns|dollars?"
    r"|euros?|yen|won|francs?|guilders?|marks?\s+\(?DM\)?)\b)",
    re.IGNORECASE,
)
"""An amount with a currency beside it. A number alone is never taken for a price."""

_IDENTIFIERS = frozenset({"id", "who", "object", "giver", "receiver", "agent", "party"})


class Scrubber:
    """Takes the names of private parties, and amounts of money, out of words.

    A name is found whatever its case and white space, and only as whole words; names of a single
    short word are too common in other senses and count only where they are written with a capital.
    """

    def __init__(self, private: Iterable[Party]) -> None:
        self._by_first_word: dict[str, list[tuple[str, ...]]] = {}
        for party in private:
            for words in _spellings(party):
                if len("".join(words)) > 2:
                    self._by_first_word.setdefault(words[0], []).append(words)
        for names in self._by_first_word.values():
            names.sort(key=len, reverse=True)

    def words(self, text: str) -> str:
        """`text` without names of private parties and without prices."""
        return _PRICE.sub(PRICE_WITHHELD, self._without_names(text))

    def value(self, value: ValueType) -> ValueType:
        """`value` with all its words scrubbed; identifiers, enumerations and numbers are left."""
        changes = {}
        for field in msgspec.structs.fields(value):
            if field.name in _IDENTIFIERS:
                continue
            before = getattr(value, field.name)
            after = self._scrubbed(before)
            if after is not before:
                changes[field.name] = after
        return msgspec.structs.replace(value, **changes) if changes else value

    def _scrubbed(self, value: object) -> object:
        """The value itself where nothing had to go, so that callers can tell."""
        if type(value) is str:
            cleaned = self.words(value)
            return value if cleaned == value else cleaned
        if isinstance(value, Value):
            return self.value(value)
        if isinstance(value, tuple):
            items = tuple(self._scrubbed(item) for item in value)
            return value if all(a is b for a, b in zip(items, value, strict=True)) else items
        return value

    def _without_names(self, text: str) -> str:
        if not self._by_first_word or not text:
            return text
        found = list(_WORD.finditer(text))
        folded = [match.group().casefold() for match in found]
        spans: list[tuple[int, int]] = []
        at = 0
        while at < len(found):
            length = self._name_at(text, found, folded, at)
            if length:
                spans.append((found[at].start(), found[at + length - 1].end()))
            at += length or 1
        for start, end in reversed(spans):
            text = text[:start] + NAME_WITHHELD + text[end:]
        return text

    def _name_at(self, text: str, found: list[re.Match[str]], folded: list[str], at: int) -> int:
        """How many words from `at` on are a private name; 0 if none."""
        for name in self._by_first_word.get(folded[at], ()):
            if tuple(folded[at : at + len(name)]) != name:
                continue
            if len(name) > 1 or not text[found[at].start()].islower():
                return len(name)
        return 0


_TITLES = ("mr", "mrs", "ms", "miss", "dr", "prof", "professor", "sir", "lady", "lord", "dame")


def _spellings(party: Party) -> Iterator[tuple[str, ...]]:
    """The words by which a text may name a party: its names, and a person's title and surname."""
    for name in (party.name, *party.also_known_as, party.address, party.contact):
        words = tuple(word.casefold() for word in _WORD.findall(name))
        if words:
            yield words
        if len(words) > 1 and name != party.address and party.kind in _PEOPLE:
            yield from ((title, words[-1]) for title in _TITLES)
            yield from ((word, words[-1]) for word in words[:-1])
            yield (words[0][0], words[-1])


_PEOPLE = frozenset({PartyKind.PERSON, PartyKind.UNKNOWN, PartyKind.HOUSEHOLD})
