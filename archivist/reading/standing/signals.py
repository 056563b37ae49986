"""The words that tell what a text does with a value: read from the table, found in a text."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from archivist.model.base import Certainty
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, fold

KIND = "standing"
"""The kind of the table's rows."""


class Signal(NamedTuple):
    """One effect of a phrase: what it is, what it governs and how far it reaches.

    `direction` is after, before, both or none; `reach` is phrase, clause, previous (back to the
    sentence before) or none; `certainty` is that of a hedge.
    """

    effect: str
    direction: str
    reach: str
    certainty: Certainty = Certainty.CERTAIN


class Sign(NamedTuple):
    """A signal where it stands: tokens `first` to before `end`."""

    signal: Signal
    first: int
    end: int


class Vocabulary(NamedTuple):
    """The phrases of one language, and its finite verbs as single words."""

    lexicon: Lexicon[tuple[Signal, ...]]
    verbs: frozenset[str]


def signs_in(
    folded: Sequence[str], languages: Sequence[str], tables: Tables
) -> tuple[list[Sign], frozenset[str]]:
    """All signals of a text in `languages`, in order, and the finite verbs of it."""
    vocabularies = _vocabularies(tables)
    found: list[Sign] = []
    verbs: frozenset[str] = frozenset()
    for language in languages:
        vocabulary = vocabularies[language]
        verbs |= vocabulary.verbs
        for match in vocabulary.lexicon.find(folded):
            if _is_a_number(folded, match.first, match.end):
                continue
            for signal in match.entry:
                if signal.effect != "publication" or _may_cite(folded, match.first, match.end):
                    found.append(Sign(signal, match.first, match.end))
    if len(languages) > 1:  # 'no' is one sign, though it denies in English and in Spanish
        found = _longest(sorted(set(found), key=lambda s: (s.first, -s.end, s.signal)))
    return found, verbs


def _longest(found: Sequence[Sign]) -> list[Sign]:
    """Signs in order without those within a longer one: 'no' in 'no doubt'."""
    kept: list[Sign] = []
    first = end = -1
    for sign in found:
        within = first <= sign.first and sign.end <= end and sign.end - sign.first < end - first
        if not within:
            kept.append(sign)
            first, end = (sign.first, sign.end) if sign.end > end else (first, end)
    return kept


def _is_a_number(folded: Sequence[str], first: int, end: int) -> bool:
    """'No. 5' numbers and denies nothing."""
    if folded[first] != "no" or end - first > 1 or end >= len(folded):
        return False
    return folded[end].isdigit() or (
        folded[end] == "." and end + 1 < len(folded) and folded[end + 1][0].isdigit()
    )


def _may_cite(folded: Sequence[str], first: int, end: int) -> bool:
    """Whether an abbreviation cites: 'p. 12', 'pl. 7'; by itself it may be anything."""
    if end - first > 1 or len(folded[first]) > _SHORT:
        return True
    return any(t[0].isdigit() or t in _ROMAN for t in folded[end : end + 2])


_ROMAN = frozenset(("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii"))
_SHORT = 4
"""Letters of a word that cites only before a number."""


def languages_of(folded: Sequence[str], tables: Tables) -> tuple[str, ...]:
    """The language of a text by its small words; all those between which nothing decides.

    A text without any such word may be in any language: 'Vase, nicht Ming'.
    """
    small = _small_words(tables)
    counts: dict[str, int] = {}
    for token in folded:
        for language in small.get(token, ()):
            counts[language] = counts.get(language, 0) + 1
    if not counts:
        return tuple(_vocabularies(tables))
    most = max(counts.values())
    best = tuple(language for language, count in counts.items() if count == most)
    if len(best) > 1 and most < _TELLING:
        return best
    return best[:1]


_TELLING = 3
"""Small words that decide for one of two languages that share them."""


@functools.lru_cache(maxsize=8)
def _small_words(tables: Tables) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for row in tables.terms("small word"):
        for name in row.variants:
            found.setdefault(fold(name), []).append(row.language)
    return {word: tuple(languages) for word, languages in found.items()}


@functools.lru_cache(maxsize=8)
def _vocabularies(tables: Tables) -> Mapping[str, Vocabulary]:
    phrases: dict[str, dict[str, list[Signal]]] = {}
    verbs: dict[str, set[str]] = {}
    for row in tables.terms(KIND):
        if row.label == "verb":
            verbs.setdefault(row.language, set()).update(fold(name) for name in row.variants)
            continue
        certainty = row.more.get("certainty") or Certainty.CERTAIN
        signal = Signal(
            row.label,
            row.more.get("direction", ""),
            row.more.get("reach", ""),
            Certainty(certainty),
        )
        of_language = phrases.setdefault(row.language, {})
        for name in row.variants:
            of_language.setdefault(fold(name), []).append(signal)
    return {
        language: Vocabulary(
            Lexicon((phrase, tuple(signals)) for phrase, signals in of_language.items()),
            frozenset(verbs.get(language, ())),
        )
        for language, of_language in phrases.items()
    }
