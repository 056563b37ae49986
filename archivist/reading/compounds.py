"""Words inside other words: what a compound silences, and what the last part of one names.

'Foot ring' is no ring and 'Red Cross' no colour; a 'Walzenkrug' is a jug, as German and Dutch put
the thing itself last. Both stand in `compounds.csv` and `compound_parts.csv`.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import NamedTuple

from archivist.model.base import Term
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, Words, fold

PARTS = "as last part"
"""The end of the kind of the rows whose names end compounds: 'form as last part'."""

_SHORTEST_BEFORE = 3
"""Letters before the last part: 'Teekrug'."""


class Named(NamedTuple):
    """What a compound names: its kind and term."""

    kind: str
    term: Term


@functools.lru_cache(maxsize=8)
def _lexicon(tables: Tables) -> Lexicon[frozenset[str]]:
    silenced: dict[str, set[str]] = {}
    for row in tables.terms("compound"):
        for name in row.variants:
            silenced.setdefault(fold(name), set()).add(row.more["silences"])
    return Lexicon((name, frozenset(kinds)) for name, kinds in silenced.items())


def silenced_in(words: Words, tables: Tables) -> Mapping[int, tuple[int, int, frozenset[str]]]:
    """By token, the compound in which it stands: first token, end, and the kinds it silences."""
    found: dict[int, tuple[int, int, frozenset[str]]] = {}
    for match in _lexicon(tables).find(words.folded):
        span = (match.first, match.end, match.entry)
        found.update(dict.fromkeys(range(match.first, match.end), span))
    return found


def is_silenced(
    kind: str,
    first: int,
    end: int,
    compounds: Mapping[int, tuple[int, int, frozenset[str]]],
) -> bool:
    """Whether a name of `kind` lies strictly inside a compound that silences it."""
    within = compounds.get(first)
    if within is None:
        return False
    start, stop, kinds = within
    return kind in kinds and end <= stop and (start, stop) != (first, end)


@functools.lru_cache(maxsize=8)
def _parts(tables: Tables) -> tuple[Mapping[str, tuple[Named, bool]], tuple[int, ...]]:
    """The last parts of compounds, each with whether its language writes nouns with a capital;
    and their lengths, longest first."""
    terms = {(row.kind, row.label): row.term for row in reversed(tables.rows)}
    parts: dict[str, tuple[Named, bool]] = {}
    for row in tables.rows:
        kind, _, end = row.kind.partition(" ")
        if end != PARTS:
            continue
        named = Named(kind, terms[kind, row.label])
        for name in row.variants:
            parts.setdefault(fold(name), (named, name[0].isupper()))
    return parts, tuple(sorted({len(name) for name in parts}, reverse=True))


def compound_at(words: Words, index: int, tables: Tables) -> Named | None:
    """What the token at `index` names by its last part, where it is longer than that."""
    parts, lengths = _parts(tables)
    token = words.folded[index]
    if not lengths or len(token) < lengths[-1] + _SHORTEST_BEFORE or not token.isalpha():
        return None
    for length in lengths:
        if len(token) < length + _SHORTEST_BEFORE:
            continue
        found = parts.get(token[-length:])
        if found is not None:
            named, capital = found
            return named if not capital or words.text[words.starts[index]].isupper() else None
    return None
