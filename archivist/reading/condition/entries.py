"""The words of condition, and what is in force while a text is walked through."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from archivist.model.base import Certainty, Term
from archivist.model.observations import ObservationKind, Presence
from archivist.reading.condition.forms import (
    accents,
    inflected,
    must_have_accents,
    slips,
)
from archivist.reading.tables import Tables, TermRow
from archivist.reading.words import Lexicon, Words, fold, plurals

TERMS = frozenset(("condition", "condition absent", "condition state"))
"""The roles that make an observation."""


class Entry(NamedTuple):
    """A word's part in condition.

    `needs` is what a word must have beside it to be one of condition, several are alternatives:
    'part'; 'said' (a part before it), 'solid' (no surface), 'piece' (a part that can be taken
    off), 'end' (a part, or its own noun in a phrase that it ends), 'owned' (a part after it),
    'extent', 'alone' (a phrase to itself), 'fired' (a word of the
    firing in its sentence). `languages` are those of a text in which alone it counts (none: all).
    `written` are the accents with which the word may be written.
    """

    role: str
    label: str = ""
    kind: ObservationKind = ObservationKind.UNDETERMINED
    part: str = ""
    term: Term | None = None
    needs: frozenset[str] = frozenset()
    languages: frozenset[str] = frozenset()
    written: frozenset[str] = frozenset(("",))
    strict: bool = False
    sort: str = ""


_PARTS = frozenset(("part", "part in condition"))
"""Parts that every reader knows, and those that only a fault names."""

_SEPARATOR = re.compile(r"[ \-./]")

_ROLES = (
    "part",
    "part in condition",
    "extent",
    "condition break",
    "condition link",
    "preposition",
    "conjunction",
    "article",
    "condition none",
    "condition of paper",
    "word of the firing",
)


_PLURALS = "e|en|er|n|s|je|jes"


class Compounds(NamedTuple):
    """Words of a part and a fault in one: their pattern, the parts and the faults in it."""

    pattern: re.Pattern[str] | None
    parts: Mapping[str, str]
    faults: Mapping[str, Entry]

    def entry(self, token: str) -> Entry | None:
        """What a compound says: 'Randchips' a chip of the rim."""
        match = self.pattern.fullmatch(token) if self.pattern and len(token) > _SHORTEST else None
        if match is None:
            return None
        return self.faults[match[2]]._replace(part=self.parts[match[1]])


_SHORTEST = 6
"""Letters of which a compound has more."""


class Lexicons(NamedTuple):
    """Every word with a part in condition; the first words of terms; the names of dimensions,
    after which a size is that of the piece; slips in usual words; compounds."""

    everything: Lexicon[Entry]
    terms: frozenset[str]
    dimensions: frozenset[str]
    slips: Mapping[str, str]
    compounds: Compounds


@functools.lru_cache(maxsize=8)
def lexicons(tables: Tables) -> Lexicons:
    """The words of condition in the tables, compiled."""
    others = list(_others(tables))
    none = [(name, entry) for name, entry in others if entry.role == "condition none"]
    named = [*none, *_terms(tables), *others]
    first = {_first_token(name) for name, e in named if e.role in TERMS}
    dimensions = frozenset(
        Words(name).folded[0]
        for row in tables.terms("dimension", "either dimension")
        for name in row.names
        if row.more.get("style") != "after"
    )
    usual = [n for row in tables.terms("usual word of condition") for n in row.variants]
    written = {t for row in tables.rows for n in row.names for t in n.replace("-", " ").split()}
    known = frozenset(map(fold, written))
    misspelt = slips(usual, known)
    return Lexicons(
        Lexicon(_with_accents(named)),
        frozenset((*first, *(slip for slip, word in misspelt.items() if word in first))),
        dimensions,
        misspelt,
        _compounds(tables),
    )


def _first_token(name: str) -> str:
    return fold(_SEPARATOR.split(name, maxsplit=1)[0])


def _terms(tables: Tables) -> Iterator[tuple[str, Entry]]:
    for row in tables.terms(*TERMS):
        entry = Entry(
            row.kind,
            row.label,
            ObservationKind(row.more.get("class", "undetermined")),
            row.more.get("part", ""),
            row.term,
            needs=frozenset(row.more.get("needs", "").split()),
            languages=_scope(row),
        )
        english = row.kind == "condition" and row.language in ("", "en")
        for name in row.names if english else row.variants:
            yield from ((form, entry) for form in inflected(name, row.language))


def _scope(row: TermRow) -> frozenset[str]:
    """The languages in which alone a row's words count: theirs, where other languages have the
    same words for something else."""
    return frozenset((row.language,)) if row.more.get("only") == "own language" else frozenset()


def _compounds(tables: Tables) -> Compounds:
    """'Randchip', 'Henkelbruch', 'glazuurgebrek': a part and a fault in one word."""
    parts = {
        fold(name): row.label for row in tables.terms("part in compounds") for name in row.variants
    }
    faults = {
        fold(name): Entry("condition", row.label, ObservationKind(row.more["class"]), "", row.term)
        for row in tables.terms("fault in compounds")
        for name in row.variants
    }
    pattern = (
        re.compile(f"({_any(parts)})({_any(faults)})(?:{_PLURALS})?") if parts and faults else None
    )
    return Compounds(pattern, parts, faults)


def _any(words: Iterable[str]) -> str:
    return "|".join(sorted(map(re.escape, words), key=len, reverse=True))


def _others(tables: Tables) -> Iterator[tuple[str, Entry]]:
    for row in tables.terms(*_ROLES):
        part = row.kind in _PARTS
        entry = Entry(
            "part" if part else row.kind,
            row.label,
            part=row.label if part else "",
            languages=_scope(row),
            sort=row.more.get("class", ""),
        )
        foreign = row.language not in ("", "en")
        own = foreign or row.kind == "part in condition"
        for name in row.variants if own else row.names:
            if part:
                forms = inflected(name, row.language) if foreign else plurals(name)
                yield from ((form, entry) for form in forms)
            else:
                yield name, entry


def _with_accents(named: list[tuple[str, Entry]]) -> Iterator[tuple[str, Entry]]:
    """Each phrase once, its entry with the accents it may be written with."""
    found: dict[str, Entry] = {}
    for name, entry in named:
        plain = name.isascii()
        key = name.lower() if plain else fold(name)
        kept = found.get(key)
        if kept is None and not plain:
            written = frozenset((accents(name),))
            found[key] = entry._replace(written=written, strict=must_have_accents(name))
        elif kept is None:
            found[key] = entry
        elif kept is not entry and kept.label == entry.label:
            found[key] = _merged(kept, entry, name)
    yield from found.items()


def _merged(kept: Entry, entry: Entry, name: str) -> Entry:
    """One entry of two for the same term: what either needs, in the languages of either."""
    needs, languages = kept.needs | entry.needs, kept.languages | entry.languages
    return kept._replace(
        written=kept.written | {accents(name)},
        strict=kept.strict and must_have_accents(name),
        needs=needs if kept.needs and entry.needs else frozenset(),
        languages=languages if kept.languages and entry.languages else frozenset(),
    )


@dataclass(slots=True)
class Seen:
    """An observation being read: token bounds, parts and extent."""

    entry: Entry
    first: int
    end: int
    parts: list[str] = field(default_factory=list)
    presence: Presence = Presence.PRESENT
    certainty: Certainty = Certainty.CERTAIN
    extent: str = ""
    joined: bool = False
    clause: int = 0


@dataclass(slots=True)
class Waiting:
    """The part and the extent that wait for their term: 'rim with two ...'.

    `heading` is the part that heads what follows: 'Rim: chipped, ground'; `subject` the first part
    of the sentence: 'the left hand, which was made separately, is wanting'.
    """

    parts: list[str] = field(default_factory=list)
    part_at: int = -1
    part_end: int = -1
    sort: str = ""
    extent_at: int = -1
    extent_end: int = -1
    extent_stop: int = -1
    heading: list[str] = field(default_factory=list)
    subject: list[str] = field(default_factory=list)

    def forget(self) -> None:
        """A new phrase: parts and extents wait for no term any more."""
        self.parts = []
        self.part_at = self.extent_at = self.extent_end = -1
