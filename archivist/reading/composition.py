"""Whether a caption speaks of one piece, a pair or a set, and of which parts."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import NamedTuple

from archivist.model.base import Reading
from archivist.model.records import (
    Composition,
    CompositionKind,
    Part,
    Presentness,
)
from archivist.reading.tables import Tables
from archivist.reading.words import Found, Lexicon, Words, fold

_STATES = {
    "composition part present": Presentness.PRESENT,
    "composition part missing": Presentness.MISSING,
    "composition part replaced": Presentness.REPLACED,
}


@functools.lru_cache(maxsize=8)
def _lexicon(tables: Tables) -> tuple[Lexicon[tuple[str, str]], frozenset[str]]:
    names = [
        (name, (row.kind, row.label))
        for row in tables.terms("composition", *_STATES)
        for name in row.variants
    ]
    return Lexicon(names), frozenset(Words(name).folded[0] for name, _ in names)


class CompositionReading(NamedTuple):
    """What a caption says of its pieces and parts, and the spans of the parts' words."""

    composition: Composition | None = None
    spans: tuple[tuple[int, int], ...] = ()


def composition_in(
    words: Words, tables: Tables, taken: bytearray | None = None
) -> CompositionReading:
    """Pair or set, of how many, and the parts that are there or missing.

    Tokens marked in `taken` have been read by others ('33 cm without lid').
    """
    lexicon, starts = _lexicon(tables)
    if starts.isdisjoint(words.folded):
        return CompositionReading()
    kind, count = CompositionKind.UNSTATED, 0
    parts: list[Part] = []
    spans: list[tuple[int, int]] = []
    for match in lexicon.find(words.folded, taken):
        role, label = match.entry
        if role != "composition":
            parts.append(_part(match, words, label, _STATES[role]))
            spans.append((words.starts[match.first], words.ends[match.end - 1]))
        elif kind is CompositionKind.UNSTATED:
            kind, count = _kind(match, words, label, _count_words(tables))
    if kind is CompositionKind.UNSTATED and not parts:
        return CompositionReading()
    return CompositionReading(Composition(kind=kind, count=count, parts=tuple(parts)), tuple(spans))


@functools.lru_cache(maxsize=8)
def _count_words(tables: Tables) -> Mapping[str, int]:
    return {fold(n): int(row.label) for row in tables.terms("count word") for n in row.variants}


def _kind(
    match: Found[tuple[str, str]], words: Words, label: str, count_words: Mapping[str, int]
) -> tuple[CompositionKind, int]:
    kind = CompositionKind(label)
    if kind is CompositionKind.PAIR:
        return kind, 2
    following = words.folded[match.end : match.end + 1]
    number = following[0] if following else ""
    if number.isdigit() and len(number) < 4:
        return kind, int(number)
    if count_words.get(number, 0) > 1:
        return kind, count_words[number]
    named = words.between(match.first, match.end).lower()
    return (CompositionKind.UNSTATED, 0) if "group" in named or named == "set" else (kind, 0)


def _part(match: Found[tuple[str, str]], words: Words, name: str, state: Presentness) -> Part:
    start, end = words.starts[match.first], words.ends[match.end - 1]
    return Part(
        as_stated=words.text[start:end],
        reading=Reading(rule="part", confidence="0.9", start=start, end=end),
        name=name,
        state=state,
    )
