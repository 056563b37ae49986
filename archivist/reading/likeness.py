"""Names of wares and kilns as a recogniser hears them and a tired typist spells them.

They are looked for only where such a name must stand: right before 'ware', 'kiln' or 'yao', or, in
capitals, right before what is made of it ('Lonquan bowl'). What is found carries its nearness as
the confidence of the reading, and never wins over a name that stands as it is.
"""

from __future__ import annotations

import functools
from collections.abc import Collection
from typing import NamedTuple

from archivist.model.base import Term
from archivist.reading.names import NameIndex
from archivist.reading.tables import Tables, TermRow
from archivist.reading.words import Words, fillers

KINDS = ("ware", "kiln")
AFTER_NAMES = frozenset(("ware", "wares", "yao", "kiln", "kilns", "type"))
"""Words right before which a name of a ware or kiln stands."""
SHORTEST = 6
"""Letters of the shortest name that is looked for: shorter ones are near to ordinary words."""
MOST_WORDS = 2


class Like(NamedTuple):
    """A name that stands near to tokens `first` to before `end`."""

    kind: str
    term: Term
    first: int
    end: int
    nearness: float


@functools.lru_cache(maxsize=8)
def _names(tables: Tables) -> NameIndex[TermRow]:
    return NameIndex(
        (name.removesuffix(" ware").removesuffix(" kilns"), row)
        for row in tables.terms(*KINDS)
        for name in row.names
        if name[:1].isupper()
    )


@functools.lru_cache(maxsize=4096)
def _nearest(words: str, tables: Tables) -> tuple[TermRow, float] | None:
    if len(words.replace(" ", "").replace("-", "")) < SHORTEST:
        return None
    near = _names(tables).approximately(words)
    if near is None or len(near.spelling) < SHORTEST:
        return None
    return near.entries[0], near.nearness


def likely_names(
    words: Words,
    anchors: Collection[int],
    known: bytearray,
    tables: Tables,
) -> list[Like]:
    """Names that are near to words nobody knows, right before one of the `anchors`.

    `anchors` are the tokens at which a form, a material or the like begins, `known` marks the
    tokens that were read.
    """
    found: list[Like] = []
    filler = fillers(tables)
    folded, text, starts = words.folded, words.text, words.starts
    if not AFTER_NAMES.isdisjoint(folded):
        anchors = sorted({*anchors, *(i for i, word in enumerate(folded) if word in AFTER_NAMES)})
    for end in anchors:
        if not end or known[end - 1] or folded[end - 1] in filler:
            continue
        certain = folded[end] in AFTER_NAMES
        for first in range(max(0, end - MOST_WORDS), end):
            tokens = range(first, end)
            if any(known[i] or folded[i] in filler or not folded[i].isalpha() for i in tokens):
                continue
            if not certain and not text[starts[first]].isupper():
                continue
            near = _nearest(words.between(first, end), tables)
            if near is not None:
                row, nearness = near
                stop = end + certain
                found.append(Like(row.kind, row.term, first, stop, nearness))
                break
    return found
