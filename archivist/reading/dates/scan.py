"""The tokens of one text with what the grammar may ask about them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from archivist.model.base import Certainty
from archivist.reading.dates.lore import Lore
from archivist.reading.dates.tokens import COMMA, DOT, NUMBER, QUERY, TILDE, Token
from archivist.reading.dates.words import (
    CERTAINTY,
    CIRCA,
    FILLER,
    NO_SENSES,
    ORDINAL,
    Sense,
    Senses,
)
from archivist.reading.spelling import fold

_END = Token(NO_SENSES, "", 0, 0, True)
_BEYOND = [_END] * 32
"""Tokens without senses behind the last one, so that looking ahead (by far less) needs no check;
looking back before the first token finds them too."""
_QUALIFYING = frozenset({CIRCA, CERTAINTY, TILDE, QUERY})
_ADJECTIVES = {"chinese": "china", "korean": "korea", "japanese": "japan"}
MOST_QUALIFIERS = 6
"""How many words that only qualify a date are looked through before one must stand."""


@dataclass(slots=True)
class Scan:
    """One text as tokens. `permissive`: the whole text is meant to be a date.

    `context` are folded words that stand elsewhere on the record. `dated` is set while
    a date is read that follows 'dated' or 'before', where a short number is a year;
    `before_our_era` once a period of that time was read; `named` counts what all tokens name, once
    that was asked for.
    """

    text: str
    tokens: list[Token]
    lore: Lore
    permissive: bool = False
    context: frozenset[str] = frozenset()
    dated: bool = False
    before_our_era: bool = False
    named: Counter[str] | None = None
    count: int = field(init=False)

    def __post_init__(self) -> None:
        self.count = len(self.tokens)
        self.tokens = self.tokens + _BEYOND

    def at(self, index: int) -> Token:
        """The token at `index`, or one without senses beyond either end."""
        return self.tokens[index]

    def senses(self, index: int) -> Senses:
        """What the token at `index` may mean."""
        return self.tokens[index].senses

    def sense(self, index: int, kind: str) -> Sense | None:
        """The sense of `kind` of the token at `index`, if it has one."""
        return self.tokens[index].senses.get(kind)

    def is_named(self, label: str, start: int, end: int) -> bool:
        """Whether the text or its context names a period or culture (folded), directly, by a
        period of it or by its adjective, but for tokens `start` to before `end`, which are what is
        asked about."""
        if self.named is None:
            self.named = Counter(name for token in self.tokens for name in self._labels_of(token))
        wanted = {label, *(word for word, culture in _ADJECTIVES.items() if culture == label)}
        if wanted & self.context:
            return True
        asked = Counter(name for token in self.tokens[start:end] for name in self._labels_of(token))
        return any(self.named[word] > asked[word] for word in wanted)

    def _labels_of(self, token: Token) -> tuple[str, ...]:
        """What a token names: its own word, and the period and culture that it is the name of."""
        if not token.folded:
            return ()
        rows = self.lore.periods.exactly(token.folded)
        if len(rows) != 1:
            return (token.folded,)
        return (token.folded, fold(rows[0].label), fold(rows[0].culture))

    def raw(self, start: int, end: int) -> str:
        """The text from token `start` to before token `end`."""
        return self.text[self.tokens[start].start : self.tokens[end - 1].end]

    def skip(self, index: int, *kinds: str, most: int = 3) -> int:
        """The index after up to `most` tokens of any of `kinds`."""
        for _ in range(most):
            senses = self.senses(index)
            if not senses:
                break
            for kind in kinds:
                if kind in senses:
                    break
            else:
                break
            index += 1
        return index


def qualifiers(scan: Scan, index: int) -> tuple[int, bool, Certainty]:
    """Words before a date that only qualify it: where they end, 'circa', and the certainty."""
    circa = False
    certainty = Certainty.CERTAIN
    if _QUALIFYING.isdisjoint(scan.tokens[index].senses):
        return index, circa, certainty
    for _ in range(MOST_QUALIFIERS):
        senses = scan.senses(index)
        if CIRCA in senses and not is_century_shorthand(scan, index):
            circa = True
            index = scan.skip(index + 1, DOT, COMMA, most=1)
        elif (sense := senses.get(CERTAINTY)) is not None:
            certainty = Certainty(sense.value)
            index = scan.skip(index + 1, DOT, COMMA, most=1)
        elif TILDE in senses:
            circa = True
            index += 1
        elif QUERY in senses:
            certainty = Certainty.PROBABLE
            index += 1
        elif FILLER in senses and (circa or certainty is not Certainty.CERTAIN):
            index += 1
        else:
            break
    return index, circa, certainty


def is_century_shorthand(scan: Scan, index: int) -> bool:
    """'C19', 'C18th': a capital with a number close behind is the century and not 'circa'."""
    token, following = scan.at(index), scan.at(index + 1)
    if token.folded != "c" or following.spaced or scan.text[token.start] != "C":
        return False
    number = following.senses.get(NUMBER) or following.senses.get(ORDINAL)
    return number is not None and 10 <= number.number <= 21 and len(number.value) == 2
