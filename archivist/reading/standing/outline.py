"""A text as sentences, clauses and phrases of tokens.

A sentence ends at a full stop, but not at that of 'c.', 'no.' or 'Dr.'; a clause at a semicolon, a
colon, a bracket, a dash, a word of contrast or a relative, and before 'and' with a verb of its own;
a phrase at a comma besides.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from archivist.reading.standing.signals import Sign
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fold

_NO_VERB = frozenset("àÀ")
_UNITS = frozenset(("cm", "mm", "kg", "ft", "oz", "lb"))
_PARTICIPLES = frozenset(("made", "found", "bought", "sold", "held", "used", "formed", "called"))
_STOPS = frozenset(".!?\n")
_CLAUSE_ENDS = frozenset(";:()[]—–")
_JOINS = frozenset(("and", "und", "et", "en", "e", "y", "&"))
_VERB_REACH = 6
"""Tokens after 'and' within which a verb makes a clause of its own."""
_LONGEST_HEADING = 4
"""Words that a heading before a colon may have."""
_OPENERS = frozenset(("contrast", "relative"))


class Span(NamedTuple):
    """Tokens `first` to before `end`."""

    first: int
    end: int


class Sentence(NamedTuple):
    """A sentence: its bounds, its first finite verb (-1: none), and the heading over it."""

    first: int
    end: int
    verb: int
    heading: str = ""


class Outline:
    """For every token the phrase, the clause and the sentence in which it stands."""

    def __init__(
        self,
        words: Words,
        signs: Sequence[Sign],
        verbs: frozenset[str],
        closed: bytearray,
        tables: Tables,
    ) -> None:
        """`closed` marks tokens within values that were read: no point or comma in one ends
        anything."""
        self.words = words
        count = len(words)
        self.verb_at = bytearray(count)
        fixed = {i for s in signs if s.signal.effect == "neutral" for i in range(s.first, s.end)}
        for index, token in enumerate(words.folded):
            if token in verbs and not closed[index] and index not in fixed:
                # 'à' is folded as the verb 'a' is
                self.verb_at[index] = words.text[words.starts[index]] not in _NO_VERB
        openers = {s.first for s in signs if s.signal.effect in _OPENERS and not closed[s.first]}
        self.openers = frozenset(openers)
        self.sentences = [self._without_participle(s) for s in self._sentences(closed, tables)]
        self.phrases = [Span(0, 0)] * count
        self.clauses = [Span(0, 0)] * count
        self.sentence_of = [0] * count
        for number, sentence in enumerate(self.sentences):
            for index in range(sentence.first, sentence.end):
                self.sentence_of[index] = number
            clause_bounds = self._clause_bounds(sentence, openers, closed)
            _fill(self.clauses, sentence, clause_bounds)
            commas = {
                i + 1
                for i in range(sentence.first, sentence.end)
                if words.folded[i] in (",", "“", "”", '"') and not closed[i]
            }
            _fill(self.phrases, sentence, sorted({*clause_bounds, *commas}))

    def _sentences(self, closed: bytearray, tables: Tables) -> list[Sentence]:
        sentences: list[Sentence] = []
        first, count = 0, len(self.words)
        heading = ""
        for index in range(count):
            if self._ends_sentence(index, closed, tables) or index == count - 1:
                found = self._heading(first, index + 1)
                blank = index + 1 < count and self.words.folded[index] == "\n"
                if found:
                    heading = found
                sentences.append(Sentence(first, index + 1, self._verb(first, index + 1), heading))
                if blank:
                    heading = ""
                first = index + 1
        return sentences

    def _without_participle(self, sentence: Sentence) -> Sentence:
        """'Made at Arita': a verb form that begins a sentence is no finite verb."""
        if self.words.folded[sentence.first] not in _PARTICIPLES:
            return sentence
        self.verb_at[sentence.first] = 0
        return sentence._replace(verb=self._verb(sentence.first, sentence.end))

    def _verb(self, first: int, end: int) -> int:
        return self.verb_at.find(1, first, end)

    def _heading(self, first: int, end: int) -> str:
        """What heads the sentence: 'Provenance:', 'Related literature:'."""
        folded = self.words.folded
        for index in range(first, min(end, first + _LONGEST_HEADING + 1)):
            if folded[index] == ":" and index > first:
                return " ".join(folded[first:index])
        return ""

    def _ends_sentence(self, index: int, closed: bytearray, tables: Tables) -> bool:
        words = self.words
        token = words.folded[index]
        if token not in _STOPS:
            return False
        if token == "\n":
            return not (
                closed[index] and closed[index : index + 2] == closed[index : index + 1] * 2
            )
        if index + 1 >= len(words):
            return True
        following = words.starts[index + 1]
        inside = bool(closed[index]) and closed[index] == closed[index + 1]
        if token != ".":
            return not inside
        if following == words.ends[index]:
            return words.folded[index + 1] in ('"', "”", "'", "’", "\n", ")")
        if words.folded[index + 1] == "\n":
            return True
        capital = words.text[following].isupper() or not words.text[following].isalnum()
        if not capital and not words.text[following].isdigit():
            return False
        before = words.folded[index - 1] if index else ""
        never, sometimes = _abbreviations(tables)
        if (len(before) == 1 and before.isalpha() and before not in sometimes) or before in never:
            return False
        if before in _UNITS:
            return not inside and words.text[following].isupper()
        if before in sometimes:
            return not inside and words.folded[index + 1] in _starters(tables)
        return not inside

    def _clause_bounds(self, sentence: Sentence, openers: set[int], closed: bytearray) -> list[int]:
        """Where a new clause begins within the sentence."""
        folded = self.words.folded
        bounds = []
        for index in range(sentence.first, sentence.end):
            if closed[index]:
                continue
            if folded[index] in _CLAUSE_ENDS or (folded[index] in "-" and self._is_dash(index)):
                bounds.append(index + 1)
            elif (index in openers and index > sentence.first) or (
                folded[index] in _JOINS and self._has_verbs_around(index, sentence)
            ):
                bounds.append(index)
        return bounds

    def _is_dash(self, index: int) -> bool:
        words = self.words
        return 0 < index < len(words) - 1 and words.text[words.starts[index] - 1].isspace()

    def _has_verbs_around(self, index: int, sentence: Sentence) -> bool:
        stop = index + 1
        while stop < sentence.end and stop - index <= _VERB_REACH:
            if self.words.folded[stop] in (",", ";", "."):
                return False
            if self.verb_at[stop]:
                return self.verb_at.find(1, sentence.first, index) >= 0
            stop += 1
        return False


def _fill(spans: list[Span], sentence: Sentence, bounds: Iterable[int]) -> None:
    first = sentence.first
    for bound in (*bounds, sentence.end):
        if bound > first:
            span = Span(first, bound)
            for index in range(first, bound):
                spans[index] = span
            first = bound


@functools.lru_cache(maxsize=8)
def _abbreviations(tables: Tables) -> tuple[frozenset[str], frozenset[str]]:
    """Words whose full stop never ends a sentence, and those where it depends on what follows."""
    never = {fold(n) for row in tables.terms("abbreviation in a sentence") for n in row.variants}
    sometimes = {fold(n) for row in tables.terms("abbreviation at an end") for n in row.variants}
    return frozenset(never), frozenset(sometimes)


@functools.lru_cache(maxsize=8)
def _starters(tables: Tables) -> frozenset[str]:
    """Words with which sentences begin."""
    return frozenset(fold(n) for row in tables.terms("sentence starter") for n in row.variants)


def quotations(words: Words) -> list[Span]:
    """What stands between double quotation marks, without them."""
    found: list[Span] = []
    opened = -1
    for index, token in enumerate(words.folded):
        inches = token == '"' and index and words.folded[index - 1][-1].isalnum()
        inches = inches and words.starts[index] == words.ends[index - 1] and opened < 0
        if token not in _QUOTES or inches:
            continue
        if opened < 0:
            opened = index
        else:
            found.append(Span(opened + 1, index))
            opened = -1
    return found


_QUOTES = frozenset('"“”„«»')
