"""How many pieces a text is of, out of how many, and which parts are there, missing or replaced.

What is here is counted: 'one of a pair' is one piece whose companion is elsewhere, 'four of a set
of six' are four, 'not a pair' are two pieces. 'Pair of handles' counts nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from archivist.model.base import Reading
from archivist.model.records import Composition, CompositionKind, Part, Presentness
from archivist.reading.composition_words import (
    CompositionWords,
    composition_words,
    form_within,
    is_lone,
)
from archivist.reading.tables import Tables
from archivist.reading.words import Words

_BACK = 8
"""Tokens before 'pair' or 'set' in which a number of it stands: 'three vases of what was a'."""
_NOUN_WITHIN = 4
_LOST_WITHIN = 6
_ADJECTIVES = 2
_STATE_WITHIN = 2


class CompositionReading(NamedTuple):
    """What a caption says of its pieces and parts, and the spans of the parts' words."""

    composition: Composition | None = None
    spans: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Count:
    """How many pieces, of which kind, out of how many."""

    kind: CompositionKind
    count: int = 0
    of: int = 0


_NOTHING = Count(CompositionKind.UNSTATED)


def composition_in(
    words: Words, tables: Tables, taken: bytearray | None = None
) -> CompositionReading:
    """Pair or set, of how many, and the parts that are there or missing.

    Tokens marked in `taken` have been read by others ('33 cm without lid').
    """
    known = composition_words(tables)
    if known.telling.isdisjoint(words.folded):
        return CompositionReading()
    count = _Counting(words, known, tables).count()
    parts = _parts(words, known, taken or bytearray(len(words)))
    if count == _NOTHING and not parts:
        return CompositionReading()
    spans = tuple((p.reading.start, p.reading.end) for p in parts if p.reading is not None)
    composition = Composition(kind=count.kind, count=count.count, of=count.of, parts=parts)
    return CompositionReading(composition, spans)


class _Counting:
    def __init__(self, words: Words, known: CompositionWords, tables: Tables) -> None:
        self.words = words
        self.folded = words.folded
        self.known = known
        self.tables = tables

    def count(self) -> Count:
        """The first count that the text gives; a number before a form at its beginning else."""
        for index, token in enumerate(self.folded):
            whole = self.known.wholes.get(token)
            if whole is None:
                continue
            found = self._of_whole(index, whole)
            if found is not None:
                return found
        return self._of_an_original() or self._at_the_beginning() or _NOTHING

    def _is(self, index: int, label: str) -> bool:
        return 0 <= index < len(self.folded) and self.folded[index] in self.known.words[label]

    def _number(self, index: int) -> int:
        if not 0 <= index < len(self.folded):
            return 0
        token = self.folded[index]
        if token.isdigit() and len(token) < 4:
            return int(token)
        return self.known.numbers.get(token, 0)

    def _of_whole(self, index: int, whole: str) -> Count | None:
        """What 'pair' or 'set' at token `index` says; None where it says nothing of the piece."""
        if self._is(index + 1, "with or to") or self._names_a_part(index + 1):
            return None
        if self._is(index - 1, "its"):
            return Count(CompositionKind.SINGLE, 1, 2) if whole == "pair" else None
        at, denied = index - 1, False
        while self._is(at, "passed over after not") and not self._is(at, "of"):
            at -= 1
        if self._is(at, "not"):
            denied = True
        size = 2 if whole == "pair" else self._size_after(index)
        here, before = self._number_before(index)
        if here and self._is(before - 1, "as"):
            return None
        if here and (of_them := self._pairs(index, here)):
            return of_them
        if denied:
            return Count(CompositionKind.UNSTATED, 2) if whole == "pair" else None
        if here and here < max(size, here + (not size)):
            kind = CompositionKind.SINGLE if here == 1 else CompositionKind.SET
            return Count(kind, here, size)
        if whole == "pair":
            return Count(CompositionKind.PAIR, 2)
        return self._of_set(index, whole, size)

    def _pairs(self, index: int, here: int) -> Count | None:
        """'Two pairs of candlesticks' are four."""
        plural = self.folded[index] in ("pairs", "paires", "coppie", "parejas", "paare", "pares")
        if plural or (here > 1 and self._number(index - 1) == here):
            return Count(CompositionKind.SET, 2 * here)
        return None

    def _of_set(self, index: int, whole: str, size: int) -> Count | None:
        lost = self._lost_after(index) if size else 0
        if lost and lost < size:
            return Count(CompositionKind.SET, size - lost, size)
        if whole == "group":
            return Count(CompositionKind.SET, size) if size else None
        if size:
            return Count(CompositionKind.SET, size)
        joined = self._is(index + 1, "between a set and its number") or self.folded[index] in (
            "garniture",
            "garnitur",
        )
        return Count(CompositionKind.SET) if joined and not self._participle(index) else None

    def _participle(self, index: int) -> bool:
        """'Set with garnets', 'set in gold'."""
        return self.folded[index + 1 : index + 2] == ["with"]

    def _size_after(self, index: int) -> int:
        at = index + 1
        if not self._number(at) and self._is(at, "between a set and its number"):
            at += 1
        return self._number(at) if self._number(at) > 1 else 0

    def _names_a_part(self, first: int) -> bool:
        """'Pair of scroll handles', 'paar Fische': a part or a motif is named and no form."""
        if not self._is(first, "of"):
            return False
        if form_within(self.words, first + 1, _NOUN_WITHIN, self.tables):
            return False
        for index in range(first + 1, min(first + 1 + _NOUN_WITHIN, len(self.folded))):
            if not self.folded[index][0].isalnum():
                return False
            if self.known.inner.match(self.folded, index) is not None:
                return True
        return False

    def _number_before(self, index: int) -> tuple[int, int]:
        """The number out of a pair or set at `index`, and where it stands; 0 where none does."""
        joins, nouns = False, 0
        for at in range(index - 1, max(-1, index - 1 - _BACK), -1):
            number = self._number(at)
            if number and not (number == 1 and not self._is(at + 1, "of") and not nouns):
                plural = number > 1 and at == index - 1
                return (number, at) if joins or plural else (0, at)
            if self._is(at, "joins a number and its whole"):
                joins = joins or self._is(at, "of")
            elif joins and nouns < _ADJECTIVES and self.folded[at].isalpha():
                nouns += 1
            else:
                break
        return 0, index

    def _lost_after(self, index: int) -> int:
        """'Set of six (one missing)', 'set of six, two lost'."""
        missing = self.known.states["after"]
        for at in range(index + 2, min(index + 2 + _LOST_WITHIN, len(self.folded))):
            match = missing.match(self.folded, at)
            if match is not None and match.entry is Presentness.MISSING:
                return self._number(at - 1) or self._number(match.end)
        return 0

    def _of_an_original(self) -> Count | None:
        """'Six tiles of an original twelve', 'vier von ursprünglich sechs Stühlen'."""
        for index in range(len(self.folded)):
            if not self._is(index, "original number"):
                continue
            size = self._number(index + 1)
            here, _ = self._number_before(index)
            if size > here > 0:
                kind = CompositionKind.SINGLE if here == 1 else CompositionKind.SET
                return Count(kind, here, size)
        return None

    def _at_the_beginning(self) -> Count | None:
        """'Two celadon bowls': a number, and a form after it, where the text begins and no other
        number counts more of them."""
        number = self._number(0)
        if number < 2 or self.words.text[self.words.ends[0] : self.words.ends[0] + 1] == "-":
            return None
        end = form_within(self.words, 1, _NOUN_WITHIN, self.tables)
        if not end or self.folded[end - 1].endswith("ss") or self._counts_again(end):
            return None
        return Count(CompositionKind.UNSTATED, number)

    def _counts_again(self, first: int) -> bool:
        return any(
            self._number(index) and form_within(self.words, index + 1, _ADJECTIVES + 1, self.tables)
            for index in range(first, len(self.folded))
        )


def _parts(words: Words, known: CompositionWords, taken: bytearray) -> tuple[Part, ...]:
    """The parts that are named with what tells that they are there, missing or replaced; of one
    that is named again the state that is not 'there'."""
    found: dict[str, Part] = {}
    for index, token in enumerate(words.folded):
        name = known.parts.get(token)
        if name is None or taken[index]:
            continue
        part = _part(words, known, index, name)
        held = found.get(name)
        if part is not None and (held is None or held.state is Presentness.PRESENT):
            found[name] = part
    return tuple(found.values())


def _part(words: Words, known: CompositionWords, index: int, name: str) -> Part | None:
    if is_lone(words.folded[index], known):
        return _named(words, index, index + 1, name, Presentness.MISSING)
    first, state = _before(words, known, index)
    end, after = _after(words, known, index)
    if after is not None:
        return _named(words, index, end, name, after)
    return None if state is None else _named(words, first, index + 1, name, state)


def _before(words: Words, known: CompositionWords, index: int) -> tuple[int, Presentness | None]:
    """From which token on the words before a part tell its state."""
    folded, articles = words.folded, known.words["article of a part"]
    lexicon, adjectives = known.states["before"], 0
    for at in range(index - 1, max(-1, index - 3 - _ADJECTIVES), -1):
        match = lexicon.match(folded, at)
        if match is not None and match.end <= index:
            return at, match.entry
        if folded[at] in known.with_it and folded[at] not in articles:
            return at, Presentness.PRESENT
        adjectives += folded[at] not in articles
        if not folded[at].isalpha() or adjectives > _ADJECTIVES:
            break
    return index, None


def _after(words: Words, known: CompositionWords, index: int) -> tuple[int, Presentness | None]:
    """To which token the words after a part tell its state: 'cover missing', 'lid is later'."""
    lexicon, copulas = known.states["after"], known.words["is"]
    at = index + 1
    while at <= index + _STATE_WITHIN and at < len(words) and words.folded[at] in copulas:
        at += 1
    match = lexicon.match(words.folded, at) if at < len(words) else None
    return (index, None) if match is None else (match.end, match.entry)


def _named(words: Words, first: int, end: int, name: str, state: Presentness) -> Part:
    start, stop = words.starts[first], words.ends[end - 1]
    return Part(
        as_stated=words.text[start:stop],
        reading=Reading(rule="part", confidence="0.9", start=start, end=stop),
        name=name,
        state=state,
    )
