"""A receiver who is named by what he was to another: 'her nephew', 'the heirs', 'dessen Witwe'."""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.reading.level import either, level
from archivist.reading.tables import Tables

THEIRS, OURS, THE = "theirs", "ours", "the"
_ADJECTIVES = (
    r"(?:(?:eldest|elder|oldest|older|youngest|younger|second|third|first|late|only|own|adopted"
    r"|surviving|great|maternal|paternal|unmarried|two|three|four|several)[\s-]+)*"
)


class Relation(NamedTuple):
    """Whose relation somebody was ('theirs', 'ours', 'the'), the words for it without that, the
    word that joins it to a name, all words as written, and where what follows them begins."""

    whose: str
    words: str
    joiner: str
    written: str
    end: int


class _Words(NamedTuple):
    pattern: re.Pattern[str]
    whose: dict[str, str]
    joiners: dict[str, str]
    of_named: re.Pattern[str]


@functools.lru_cache(maxsize=8)
def _words(tables: Tables) -> _Words:
    whose = {level(name): row.label for row in tables.terms("possessive") for name in row.variants}
    joining = {row.language: row.label for row in tables.terms("relative of")}
    joiners: dict[str, str] = {}
    for row in tables.terms("relation"):
        for name in row.variants:
            joiners.setdefault(level(name), joining.get(row.language, "of"))
    relation = either(joiners)
    pattern = re.compile(
        rf"(?:(?P<whose>{either(whose)})\s+)?(?P<words>{_ADJECTIVES}(?:(?:{relation})'s?\s+{_ADJECTIVES})?(?P<relation>{relation}))"
        r"(?![\w'’-])"
    )
    before = either(n for row in tables.terms("pronoun") for n in row.variants if "the" in n)
    of_named = re.compile(rf"\s+(?:of|von|de|van|di)\s+(?:{before}|preceding|foregoing)(?![\w-])")
    return _Words(pattern, whose, joiners, of_named)


def relation_in(words: str, tables: Tables) -> Relation | None:
    """The relation that `words` begin with, or None where they begin with none."""
    known = _words(tables)
    plain = level(words)
    found = known.pattern.match(plain)
    if found is None:
        return None
    end = found.end()
    whose = known.whose.get(" ".join((found["whose"] or "").split()), "")
    if (named := known.of_named.match(plain, end)) is not None:
        whose, end = THEIRS, named.end()
    elif not whose or (whose == THE and plain[end:].strip()):
        return None
    stated = words[found.start("words") : found.end("words")]
    return Relation(whose, stated, known.joiners[found["relation"]], words[:end], end)


@functools.lru_cache(maxsize=8)
def _possessed(tables: Tables) -> re.Pattern[str]:
    relation = either(n for row in tables.terms("relation") for n in row.variants)
    return re.compile(rf"(?P<name>\S.*?)(?:'s?|s')\s+(?P<relation>{_ADJECTIVES}(?:{relation}))$")


def of_a_named_one(words: str, tables: Tables) -> str:
    """'Ellis Marr's widow' as 'widow of Ellis Marr'; '' where `words` are no such thing."""
    found = _possessed(tables).match(level(words))
    if found is None or not words[0].isupper():
        return ""
    name = words[found.start("name") : found.end("name")]
    return f"{words[found.start('relation') :]} of {name}"


def called(relation: Relation, other: str) -> str:
    """What somebody is called who was that to `other`; the words as written where nobody is
    known of whom they could be said."""
    if not other or relation.whose == OURS:
        return relation.written
    if relation.joiner == "de" and other[0] in "AEIOUÉÈÊÂÎÔaeiouéèêâîôHh" and _french(relation):
        return f"{relation.words} d’{other}"
    return f"{relation.words} {relation.joiner} {other}"


def _french(relation: Relation) -> bool:
    return level(relation.written).split()[0] in ("son", "sa", "ses", "leur", "leurs", "les")


@functools.lru_cache(maxsize=8)
def _pronouns(tables: Tables) -> frozenset[str]:
    return frozenset(level(n) for row in tables.terms("pronoun") for n in row.variants)


def is_pronoun(words: str, tables: Tables) -> bool:
    """Whether `words` stand for whoever was named before."""
    return level(words) in _pronouns(tables)


@functools.lru_cache(maxsize=8)
def _addresses(tables: Tables) -> dict[str, str]:
    return {level(n).strip("."): row.label for row in tables.terms("address") for n in row.variants}


def may_be_of(relation: Relation, other: str, tables: Tables) -> bool:
    """Whether 'his' or 'her' can be said of somebody addressed as `other` is."""
    address = _addresses(tables).get(level(other.split()[0]).strip(".")) if other else None
    whose = level(relation.written).split()[0]
    return not ((whose == "his" and address == "woman") or (whose == "her" and address == "man"))
