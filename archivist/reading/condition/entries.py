"""The words of condition, and what is in force while a text is walked through."""

from __future__ import annotations

import functools
from dataclasses import dataclass, field
from typing import NamedTuple

from archivist.model.base import Certainty, Term
from archivist.model.observations import ObservationKind, Presence
from archivist.reading.tables import Tables
from archivist.reading.words import (
    Lexicon,
    Words,
    plurals,
)


class Entry(NamedTuple):
    role: str
    label: str = ""
    kind: ObservationKind = ObservationKind.UNDETERMINED
    part: str = ""
    term: Term | None = None


_PLURAL_ROLES = ("condition", "part")

_ROLES = (
    "part",
    "extent",
    "condition break",
    "preposition",
    "conjunction",
    "article",
    "condition none",
)


class Lexicons(NamedTuple):
    """Every word with a part in condition; the first words of terms; the names of dimensions,
    after which a size is that of the piece."""

    everything: Lexicon[Entry]
    terms: frozenset[str]
    dimensions: frozenset[str]


@functools.lru_cache(maxsize=8)
def lexicons(tables: Tables) -> Lexicons:
    entries: list[tuple[str, Entry]] = []
    for row in tables.terms("condition", "condition absent"):
        kind = ObservationKind(row.more.get("class", "undetermined"))
        part = row.more.get("part", "")
        names = row.names if row.kind == "condition" else row.variants
        entry = Entry(row.kind, row.label, kind, part, row.term)
        entries.extend((spelled, entry) for name in names for spelled in plurals(name))
    for row in tables.terms(*_ROLES):
        entry = Entry(row.kind, row.label, part=row.label if row.kind == "part" else "")
        for name in row.names:
            names = plurals(name) if row.kind == "part" else (name,)
            entries.extend((spelled, entry) for spelled in names)
    first = frozenset(
        Words(name).folded[0] for name, e in entries if e.role in ("condition", "condition absent")
    )
    dimensions = frozenset(
        Words(name).folded[0]
        for row in tables.terms("dimension", "either dimension")
        for name in row.names
        if row.more.get("style") != "after"
    )
    return Lexicons(Lexicon(entries), first, dimensions)


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
    """The part and the extent that wait for their term: 'rim with two ...'."""

    parts: list[str] = field(default_factory=list)
    part_at: int = -1
    part_end: int = -1
    extent_at: int = -1
    extent_end: int = -1
    extent_stop: int = -1

    def forget(self) -> None:
        """A new phrase: parts and extents wait for no term any more."""
        self.parts = []
        self.part_at = self.extent_at = self.extent_end = -1
