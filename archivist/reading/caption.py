"""A caption while it is being taken apart: what was found, and which words are taken."""

from __future__ import annotations

from collections.abc import Sequence

from archivist.model.parties import Party
from archivist.reading.result import Question, ReadStatement
from archivist.reading.tables import Tables
from archivist.reading.words import Words

CLAUSE_ENDS = frozenset(",;:.\n")
_PARTS = frozenset(",;:\n")


class Caption:
    """A caption being taken apart: what was found, and which tokens are taken."""

    def __init__(self, text: str, tables: Tables) -> None:
        self.text = text
        self.tables = tables
        self.words = Words(text)
        self.taken = bytearray(len(self.words))
        self.spans: list[tuple[int, int]] = []
        self.statements: list[ReadStatement] = []
        self.questions: list[Question] = []
        self.parties: tuple[Party, ...] = ()

    def take(self, statements: tuple[ReadStatement, ...]) -> None:
        """Keep statements, and mark their words as taken."""
        for statement in statements:
            self.statements.append(statement)
            if statement.reading is not None:
                self.mark(statement.reading.start, statement.reading.end)

    def mark(self, start: int, end: int) -> None:
        """Mark the words from `start` to `end` as taken."""
        self.spans.append((start, end))
        first, stop = self.words.at(start), self.words.at(end)
        self.taken[first:stop] = b"\x01" * (stop - first)

    def left(self, also: Sequence[tuple[int, int]] = ()) -> str:
        """The text, of the same length, with what is taken blanked, and the spans `also`."""
        if not self.spans and not also:
            return self.text
        pieces: list[str] = []
        at = 0
        for start, end in sorted((*self.spans, *also)):
            if end <= at:
                continue
            start = max(start, at)
            pieces.append(self.text[at:start])
            before = start
            while before and self.text[before - 1].isspace() and self.text[before - 1] != "\n":
                before -= 1
            parted = not before or self.text[before - 1] in _PARTS
            pieces.append(("" if parted else ";").ljust(end - start))
            at = end
        pieces.append(self.text[at:])
        return "".join(pieces)
