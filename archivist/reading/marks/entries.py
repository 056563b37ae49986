"""The words of marks, and a mark while it is being read."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass, field
from typing import NamedTuple

from archivist.model.base import Certainty
from archivist.model.marks import Legibility, MarkKind, MarkRelation, Script
from archivist.reading.tables import Tables
from archivist.reading.words import Found, Lexicon, Words, fold, plurals


class Entry(NamedTuple):
    role: str
    label: str = ""
    technique: str = ""
    colour: str = ""
    script: str = ""
    certainty: Certainty = Certainty.CERTAIN


_ROLES = (
    "mark",
    "mark technique",
    "mark trigger",
    "mark colour",
    "script",
    "legibility",
    "mark relation",
    "mark absent",
    "mark said",
    "counted character",
    "mark glue",
    "mark place",
    "part",
)
"""In the order of precedence where a word stands in more than one role."""

_HEADS = ("mark", "mark trigger", "mark absent", "mark said", "counted character")
WRITTEN_WITH = frozenset(("ink", "pencil"))
"""Ways in which words stand on a piece and pictures do not."""

OF_A_MARK = frozenset(
    (
        "mark",
        "mark technique",
        "mark colour",
        "script",
        "legibility",
        "mark relation",
        "part",
        "mark place",
        "claim",
        "hedge",
        "mark glue",
        "counted character",
        "number",
    )
)


PERIOD_WORDS = frozenset(("period", "reign", "zeit", "periode", "epoque", "periodo", "epoca"))
"""Words that make a name that of a time, as dates have them too."""


@dataclass(slots=True)
class Seen:
    """A mark being read."""

    first: int
    end: int
    kind: MarkKind = MarkKind.UNDETERMINED
    script: Script = Script.UNSTATED
    technique: str = ""
    colour: str = ""
    place: str = ""
    legibility: Legibility = Legibility.UNSTATED
    relation: MarkRelation = MarkRelation.UNSTATED
    certainty: Certainty = Certainty.CERTAIN
    claim: list[str] = field(default_factory=list)
    characters: str = ""
    romanised: str = ""
    columns: int = 0
    count: int = 0
    stop: int = 0
    dated: str = ""
    rule: str = "mark"

    @property
    def is_bare(self) -> bool:
        """Whether nothing is said of the mark but that there is one."""
        return not (
            self.claim
            or self.characters
            or self.technique
            or self.colour
            or self.place
            or self.count
            or self.dated
            or self.legibility is not Legibility.UNSTATED
            or self.relation is not MarkRelation.UNSTATED
        )


@functools.lru_cache(maxsize=8)
def characters_words(tables: Tables) -> frozenset[str]:
    """The words for the characters of a mark ('six-character', 'six caractères'), folded."""
    return frozenset(fold(n) for row in tables.terms("counted character") for n in row.variants)


@functools.lru_cache(maxsize=8)
def shortened_names(tables: Tables) -> frozenset[str]:
    """Christian names as they are cut short before a full stop ('Thos.'), without it."""
    return frozenset(fold(n) for row in tables.terms("shortened name") for n in row.variants)


class Endings(NamedTuple):
    """How German and Dutch words for marks end ('Schwertermarke'), and words that only look so."""

    pattern: re.Pattern[str]
    others: frozenset[str]

    def found(self, words: Words, taken: bytearray | None) -> list[Found[Entry]]:
        """The words of a text that end so, as words for a mark."""
        return [
            Found(_COMPOUND, index, index + 1)
            for index, token in enumerate(words.folded)
            if len(token) > _SHORTEST_COMPOUND
            and self.pattern.search(token)
            and token not in self.others
            and not (taken and taken[index])
        ]


_COMPOUND = Entry("mark", MarkKind.WORKSHOP.value)
_SHORTEST_COMPOUND = 7


@functools.lru_cache(maxsize=8)
def endings_of(tables: Tables) -> Endings:
    """The endings of compound words for marks."""
    ends = {fold(n) for row in tables.terms("mark ending") for n in row.variants}
    others = {fold(n) for row in tables.terms("mark ending not") for n in row.variants}
    longest = sorted(map(re.escape, ends), key=len, reverse=True)
    return Endings(re.compile(rf"(?:{'|'.join(longest)})$"), frozenset(others))


@functools.lru_cache(maxsize=8)
def lexicon_of_marks(tables: Tables) -> tuple[Lexicon[Entry], frozenset[str]]:
    """The words of marks, and a few of which every text that speaks of a mark holds one."""
    entries: list[tuple[str, Entry]] = []
    for row in (row for role in _ROLES for row in tables.terms(role)):
        more = row.more
        entry = Entry(
            row.kind,
            row.label,
            more.get("technique", ""),
            more.get("colour", ""),
            more.get("script", ""),
        )
        names = row.names if row.kind == "part" else row.variants
        for name in names:
            forms = plurals(name) if row.kind == "mark" else (name,)
            entries.extend((form, entry) for form in forms)
    for row in tables.terms("condition"):
        making = Entry("no mark")
        entries.extend(
            (form, making) for name in row.names if "mark" in name for form in plurals(name)
        )
    for period in tables.periods:
        if period.kind in ("reign", "dynasty", "era"):
            claim = Entry("claim", period.label)
            names = (period.label, *period.variants)
            entries.extend((name, claim) for name in names if len(name) > 2)
    for row in tables.terms("hedge"):
        hedge = Entry("hedge", certainty=Certainty(row.more["certainty"]))
        entries.extend((name, hedge) for name in row.names)
    for row in tables.terms("count word"):
        entries.extend((name, Entry("number", row.label)) for name in row.variants)
    tokenised = [
        Words(name).folded
        for name, entry in entries
        if entry.role in _HEADS or entry.label in WRITTEN_WITH
    ]
    heads = {tokens[0] for tokens in tokenised if len(tokens) == 1}
    heads.update(tokens[-1] for tokens in tokenised if heads.isdisjoint(tokens))
    return Lexicon(entries), frozenset(heads)
