"""Words that say that nobody knows who had a piece: 'whereabouts unknown', '[gap]', 'Lücke'."""

from __future__ import annotations

import functools
import re

from archivist.reading.level import either, level
from archivist.reading.moments import find_dates
from archivist.reading.tables import Tables

_NEVER_ALONE = 120
"""Characters beyond which words hold more than a gap."""
_REST = re.compile(r"[\s,.:;()\[\]?–-]*$")


@functools.lru_cache(maxsize=8)
def _gap_words(tables: Tables) -> str:
    return either(name for row in tables.terms("gap") for name in row.variants)


@functools.lru_cache(maxsize=8)
def _gap(tables: Tables) -> re.Pattern[str]:
    return re.compile(rf"^[\s\[(<]*(?:{_gap_words(tables)})(?![^\W_])")


@functools.lru_cache(maxsize=8)
def _owner(tables: Tables) -> re.Pattern[str]:
    names = (n for r in tables.terms("gap") if r.label == "owner" for n in r.variants)
    return re.compile(rf"[\s\[(<]*(?:{either(names)})(?![^\W_])")


@functools.lru_cache(maxsize=8)
def gap_in_brackets(tables: Tables) -> str:
    """A pattern of gap words within brackets of any kind, to be matched whatever their case."""
    return rf"(?i:[\[(<]\s*(?:{_gap_words(tables)})\s*[\])>])"


@functools.lru_cache(maxsize=8)
def _trailing(tables: Tables) -> re.Pattern[str]:
    names = either(
        n for row in tables.terms("gap") for n in row.variants if " " in n or n == "untraced"
    )
    return re.compile(rf"[,(\[]\s*(?:its |and |then )?({names})(?![^\W_])")


def only_a_gap(words: str, tables: Tables) -> bool:
    """Whether `words` say no more than that there is a gap, and from when or until when."""
    if len(words) > _NEVER_ALONE:
        return False
    found = _gap(tables).match(level(words))
    if found is None:
        return False
    rest = words[found.end() :]
    if _owner(tables).match(level(words)) and find_dates(rest, tables):
        # 'Unknown, by 1905' is somebody nobody knows, 'whereabouts unknown until 1905' a gap.
        return False
    for when in reversed(find_dates(rest, tables)):
        rest = rest[: when.start] + rest[when.end :]
    return _REST.match(rest) is not None


def gap_at_end(words: str, tables: Tables) -> int:
    """Where words of a gap begin at the end of an event's words, or -1: 'Marr, Leeds, until 1938,
    whereabouts unknown'."""
    for found in _trailing(tables).finditer(level(words)):
        if only_a_gap(words[found.start(1) :].rstrip(" )]"), tables):
            return found.start()
    return -1
