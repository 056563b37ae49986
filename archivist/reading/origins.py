"""Towns and makers: names that say where and by whom a piece was made only where something says so.

A town stands in every history; it is a place of making beside a word of making, right before what
was made there, or alone between the commas of a caption ('London, 1695'). A maker's name stands
after 'by' or 'maker', or where makers stand; 'Chippendale' by itself is a style.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from archivist.model.base import Term
from archivist.reading.feature_names import MAKER, TOWN, Entry
from archivist.reading.surroundings import LONGEST_CAPTION, Surroundings
from archivist.reading.words import Found, Words

_MADE_THERE = frozenset(("form", "ware", "material", "glaze", "decoration", "technique", "subject"))
_STUFF = frozenset(("form", "ware", "material"))
_OF = frozenset(("de", "di", "da", "aus", "van", "uit"))
"""Words between what is made and the town of its making; 'from' may be a dealer's."""
_BEFORE_WHAT_IS_MADE = 3
"""Tokens between a town and what was made there: 'Berlin cabinet plate'."""
_MAKING_REACH = 3
_LONGEST_NAME = 5
_PARTICLES = frozenset(("de", "van", "von", "der", "den", "di", "da", "du", "le", "la", "the", "&"))
_POINT = "."


class Maker(NamedTuple):
    """A maker whom no table names, and the tokens of the name, with 'maker' before it."""

    term: Term
    first: int
    end: int


class Origins:
    """What may license a town or a maker, among the names `found` in a text."""

    def __init__(
        self, words: Words, around: Surroundings, found: Iterable[Found[Entry]], taken: bytearray
    ) -> None:
        self.words = words
        self.folded = words.folded
        self.around = around
        self.taken = taken
        self.made = {m.first for m in found if m.entry.kind in _MADE_THERE and not m.entry.limit}
        self.stuff = {m.end for m in found if m.entry.kind in _STUFF and not m.entry.limit}
        self.ends = {m.end for m in found if m.entry.kind in _MADE_THERE and not m.entry.limit}

    def licenses(self, match: Found[Entry]) -> bool:
        """Whether a town or maker of the tables is one of the piece's making here."""
        entry = match.entry
        if entry.kind == MAKER:
            return self._is_a_maker(match)
        return entry.limit != TOWN or self._is_of_making(match.first, match.end)

    def _is_of_making(self, first: int, end: int) -> bool:
        return (
            self._is_before_what_is_made(end)
            or self._is_after_making(first)
            or self._is_of_what_is_made(first)
            or self._is_alone(first, end)
        )

    def _is_before_what_is_made(self, end: int) -> bool:
        for index in range(end, min(end + _BEFORE_WHAT_IS_MADE, len(self.folded))):
            if index in self.made:
                return True
            if not self.folded[index].isalpha() or self.folded[index] in self.around.small:
                return False
            if (
                not self.around.known[index]
                and not self.words.text[self.words.starts[index]].islower()
            ):
                return False
        return False

    def _is_after_making(self, first: int) -> bool:
        guards = self.around.guards
        between = guards["word between making and place"]
        at = first - 1
        while at >= max(0, first - _MAKING_REACH) and self.folded[at] in between:
            at -= 1
        return at >= 0 and self.folded[at] in guards["word of making"]

    def _is_of_what_is_made(self, first: int) -> bool:
        """'Porcellana di Doccia', 'tapisserie d'Aubusson'."""
        if self.folded[first][:2] in ("d'", "l'"):
            return first in self.stuff
        return self.around.before(first) in _OF and first - 1 in self.stuff

    def _is_alone(self, first: int, end: int) -> bool:
        """Between the marks that part a caption's phrases, with something else in the text."""
        guards, before, after = (
            self.around.guards,
            self.around.before(first),
            self.around.after(end),
        )
        opens = self.around.parts(before) or before in guards["word before a place alone"]
        if (before == ";" and len(self.folded) > LONGEST_CAPTION) or self._is_after_a_name(first):
            return False
        ends = (
            self.around.parts(after)
            or after[:1].isdigit()
            or after in guards["word after a place alone"]
        )
        return opens and ends and end - first < len(self.folded) - 1

    def _is_after_a_name(self, first: int) -> bool:
        """'Ann Onslow, Bath': the town of a person, where a comma and a name stand before."""
        if self.around.before(first) != ",":
            return False
        at = first - 2
        while at >= 0 and not self.around.parts(self.folded[at]):
            capital = self.words.text[self.words.starts[at]].isupper()
            if not capital or self.around.known[at] or not self.folded[at].isalpha():
                return False
            at -= 1
        return at < first - 3

    def _is_a_maker(self, match: Found[Entry]) -> bool:
        before, after = self.around.before(match.first), self.around.after(match.end)
        if before in self.around.guards["maker before a name"]:
            return True
        if match.entry.limit == "style":
            return False
        return self.around.parts(before) and (self.around.parts(after) or after in ("for", "made"))

    def makers(self) -> Iterator[Maker]:
        """Makers after a word that says so: 'made by', 'maker KHC', 'jug by Ann Onslow'."""
        cues = self.around.guards["maker before a name"]
        for index, token in enumerate(self.folded):
            if token not in cues or self.taken[index]:
                continue
            first, end = index + 1, self._end_of_name(index + 1)
            if end == first or not self._makes(index, token, end - first):
                continue
            begins = index if token.startswith("maker") else first
            yield Maker(Term(label=self.words.between(first, end)), begins, end)

    def _makes(self, index: int, token: str, length: int) -> bool:
        if token.startswith("maker"):
            return True
        if length < 2 or not index:
            return False
        before = self.folded[index - 1]
        return before in self.around.guards["word of making"] or (
            index in self.ends and token in ("by", "par", "por")
        )

    def _end_of_name(self, first: int) -> int:
        """Where a name in capitals that begins at token `first` ends."""
        end = at = first
        while at < min(first + _LONGEST_NAME, len(self.folded)):
            token = self.folded[at]
            capital = self.words.text[self.words.starts[at]].isupper() and not self.taken[at]
            if capital and token.isalpha():
                end = at + 1
            elif not (end > first and (token in _PARTICLES or self._is_initial(at))):
                break
            at += 1
        return end

    def _is_initial(self, at: int) -> bool:
        """The point of 'J.' and 'Thos.' within a name."""
        if self.folded[at] != _POINT or at + 1 >= len(self.folded):
            return False
        return self.words.text[self.words.starts[at + 1]].isupper() and len(self.folded[at - 1]) < 5
