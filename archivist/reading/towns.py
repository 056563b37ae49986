"""Towns and lands that stand beside names in histories, so that neither is read as the other."""

from __future__ import annotations

import functools

from archivist.reading.level import level
from archivist.reading.tables import Tables


@functools.lru_cache(maxsize=8)
def _towns(tables: Tables) -> tuple[frozenset[str], frozenset[str]]:
    towns: set[str] = set()
    begin: set[str] = set()
    for row in tables.terms("town"):
        (towns if row.label == "town" else begin).update(map(level, row.variants))
    for row in tables.terms("place"):
        towns.update(map(level, row.names))
    return frozenset(towns), frozenset(begin)


def is_town(words: str, tables: Tables) -> bool:
    """Whether words are a town or land that the tables know."""
    return level(words).strip(" .") in _towns(tables)[0]


def begins_town(word: str, tables: Tables) -> bool:
    """Whether a word begins names of towns: 'New', 'San', 'Bad'."""
    return level(word) in _towns(tables)[1]
