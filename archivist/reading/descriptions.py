"""A description -> what it says of the piece, and nothing that it says of anything else.

A description is longer than a caption and goes on to other pieces: 'compare a vase dated 1712 in
the Tolling collection'. From such a word to the end of its sentence nothing is read.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable

from archivist.reading.result import Understood
from archivist.reading.standing import Position
from archivist.reading.tables import Tables
from archivist.reading.titles import read_title
from archivist.reading.words import Lexicon, Words

_ENDS_OF_SENTENCES = frozenset(".;\n")


def read_description(text: str, tables: Tables) -> Understood:
    """What free text of any length says of its piece."""
    return read_title(text, tables, position=Position.DESCRIPTION)


def of_other_pieces(words: Words, tables: Tables) -> list[tuple[int, int]]:
    """From each word of comparison to the end of its sentence, as spans of characters."""
    spans = []
    last = -1
    for found in lexicon_of(tables, "comparison word").find(words.folded):
        if found.first <= last:
            continue
        last = found.end - 1
        while last + 1 < len(words) and not _ends_a_sentence(words, last + 1):
            last += 1
        spans.append((words.starts[found.first], words.ends[last]))
    return spans


def _ends_a_sentence(words: Words, index: int) -> bool:
    """Whether a sentence ends at a token; the point of 'no. 4' and 'p.12' ends none."""
    if words.folded[index] not in _ENDS_OF_SENTENCES:
        return False
    if words.folded[index] != "." or index + 1 == len(words):
        return True
    return words.text[words.starts[index + 1]].isupper()


@functools.lru_cache(maxsize=8)
def lexicon_of(tables: Tables, kind: str) -> Lexicon[str]:
    """The words of one kind of table rows, each to its row's label."""
    return Lexicon((name, row.label) for row in tables.terms(kind) for name in row.names)


def blanked(text: str, spans: Iterable[tuple[int, int]]) -> str:
    """The text, of the same length, with the spans blanked but for a mark that parts clauses."""
    pieces = []
    at = 0
    for start, end in sorted(spans):
        start = max(start, at)
        if start < end:
            pieces += [text[at:start], ";".ljust(end - start)]
            at = end
    return "".join((*pieces, text[at:]))
