"""Where a name stands among the words around it, which decides whether it names what it may.

'Bow' in 'Bow figure' is a factory and in 'the bow of the ship' none; 'cherry' between commas is a
wood; 'red' in 'Red Cross' is no colour of the piece. The words that help are in
`guarding_words.csv`.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping

from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, fold

_SEPARATORS = frozenset(",;:.\n()[]/–—|!?-")
_SHORTEST_CAPTION = 8
"""Tokens of a text that is read as a cell: items between commas."""

LONGEST_CAPTION = 60
"""Tokens of a text whose phrases between commas are still those of a caption."""


@functools.lru_cache(maxsize=8)
def guards(tables: Tables) -> Mapping[str, frozenset[str]]:
    """The guarding words by what they are."""
    found: dict[str, set[str]] = {}
    for row in tables.terms("guarding word"):
        found.setdefault(row.label, set()).update(fold(name) for name in row.variants)
    return {label: frozenset(names) for label, names in found.items()}


class Surroundings:
    """The words around a name; `known` marks the tokens that name something."""

    def __init__(self, words: Words, known: bytearray, tables: Tables) -> None:
        self.folded = words.folded
        self.words = words
        self.known = known
        self.small = fillers(tables)
        self.guards = guards(tables)
        self._head = self._end_of_head()

    def before(self, first: int) -> str:
        """The token before, '' at the beginning."""
        return self.folded[first - 1] if first else ""

    def after(self, end: int) -> str:
        """The token after, '' at the end."""
        return self.folded[end] if end < len(self.folded) else ""

    def is_alone(self, first: int, end: int) -> bool:
        """Whether a name stands by itself between marks that part phrases."""
        return self.parts(self.before(first)) and self.parts(self.after(end))

    def parts(self, token: str) -> bool:
        """Whether a token, or the end of the text, parts phrases."""
        return not token or token in _SEPARATORS

    def is_in_its_place(self, first: int, end: int, noun: bool) -> bool:
        """Whether a word that is read only in its place stands there: the whole of a cell or of
        an item in it, the head of a caption, or, of a material, between the commas of one."""
        size = len(self.folded)
        if end - first == size or (size <= _SHORTEST_CAPTION and self.is_alone(first, end)):
            return True
        if noun:
            return first == self._head and not self._goes_on(end)
        return first > 0 and size <= LONGEST_CAPTION and self.is_alone(first, end)

    def _goes_on(self, end: int) -> bool:
        """Whether a word of its own follows, to which the name belongs: 'ring stand', 'bed is'."""
        token = self.after(end)
        return token.isalpha() and token not in self.guards["preposition after a noun"]

    def _end_of_head(self) -> int:
        """The first token that nothing is known of, after the known ones with which a text
        begins: 'Gold ring' -> 'ring'."""
        at = 0
        while at < len(self.folded) and (self.known[at] or self.folded[at] in self.small):
            at += 1
        return at

    def is_of_the_piece(self, first: int, end: int) -> bool:
        """Whether a form with another meaning names the piece: 'a walnut cabinet', 'Cabinet on
        stand', and not 'the Ferrers cabinet', 'Kan iemand', 'in my head', 'it stands'."""
        before, after = self.before(first), self.after(end)
        if self._goes_on(end) and not self.known[end]:
            return False
        if self.parts(before):
            return after != "of" and before not in ("'", '"')
        return bool(self.known[first - 1]) or before in self.guards["article of the piece"]

    def is_a_colour_of_it(self, first: int, end: int) -> bool:
        """Whether a colour is that of a glaze, a ground or the piece: no other noun follows it,
        and nothing turned to it."""
        after = self.after(end)
        if after in self.guards["bearer of a colour"]:
            return True
        if self.before(first) in self.guards["turn to a colour"]:
            return False
        named = end < len(self.folded) and bool(self.known[end])
        return not after.isalpha() or named or after in self.small or after in self.guards["joint"]
