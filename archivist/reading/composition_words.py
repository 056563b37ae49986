"""The words that count pieces and tell of parts, from `composition_words.csv`."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import NamedTuple

from archivist.model.records import Presentness
from archivist.reading.feature_names import FORM, feature_lexicon
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, Words, fold, plurals

_STATES = {
    "composition part missing": Presentness.MISSING,
    "composition part replaced": Presentness.REPLACED,
}
_NAMED_AFTER_OF = ("part", "subject")
"""Kinds of rows of whose names 'pair of' says nothing of the piece: 'pair of handles'."""


class CompositionWords(NamedTuple):
    """All of them, folded. `wholes` are 'pair' and 'set', `states` the words of a part's state by
    where they stand, `inner` nouns of parts and motifs, `numbers` words for numbers."""

    wholes: Mapping[str, str]
    words: Mapping[str, frozenset[str]]
    parts: Mapping[str, str]
    with_it: frozenset[str]
    states: Mapping[str, Lexicon[Presentness]]
    numbers: Mapping[str, int]
    inner: Lexicon[str]
    telling: frozenset[str]


@functools.lru_cache(maxsize=8)
def composition_words(tables: Tables) -> CompositionWords:
    """The words of `tables`."""
    wholes = {fold(n): row.label for row in tables.terms("composition") for n in row.variants}
    words: dict[str, set[str]] = {}
    for row in tables.terms("composition word"):
        words.setdefault(row.label, set()).update(fold(n) for n in row.variants)
    parts = {fold(n): row.label for row in tables.terms("composition part") for n in row.variants}
    states: dict[str, list[tuple[str, Presentness]]] = {}
    alone: dict[str, str] = {}
    for row in tables.terms(*_STATES):
        where, _, part = row.label.partition(" ")
        if where == "alone":
            alone.update((fold(n), part) for n in row.variants)
            continue
        names = states.setdefault(where, [])
        names.extend((name, _STATES[row.kind]) for name in row.variants)
    counted = tables.terms("count word", "composition number")
    numbers = {fold(n): int(row.label) for row in counted for n in row.variants}
    return CompositionWords(
        wholes,
        {label: frozenset(names) for label, names in words.items()},
        parts | alone,
        frozenset(fold(n) for row in tables.terms("composition part with") for n in row.variants),
        {where: Lexicon(names) for where, names in states.items()},
        numbers,
        Lexicon(
            (one, row.kind)
            for row in tables.terms(*_NAMED_AFTER_OF)
            for name in row.names
            for one in plurals(fold(name))
        ),
        frozenset((*wholes, *parts, *alone, *numbers)),
    )


def is_lone(token: str, found: CompositionWords) -> bool:
    """Whether a word for a part says by itself that it is missing: 'lidless'."""
    return token in found.parts and token.endswith(("less", "los"))


def form_within(words: Words, first: int, reach: int, tables: Tables) -> int:
    """Where the first form named in `reach` tokens from `first` on ends, 0 where there is none;
    nothing is looked for beyond a mark that parts phrases."""
    lexicon = feature_lexicon(tables)
    for index in range(first, min(first + reach, len(words))):
        if not words.folded[index][0].isalnum():
            return 0
        match = lexicon.match(words.folded, index)
        if match is not None and match.entry.kind == FORM and match.entry.term is not None:
            return match.end
    return 0
