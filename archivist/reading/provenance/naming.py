"""The name, life dates and place in the words of one role, and what kind of party it is."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass, field

from archivist.model.base import Certainty
from archivist.model.parties import PartyKind
from archivist.model.provenance import EventKind
from archivist.reading.provenance.dates import EventDate
from archivist.reading.provenance.split import ends_in_abbreviation
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, Words, fold

BRACKET = re.compile(r"\(([^()]*)\)|\[([^\[\]]*)\]")

_LIFE = re.compile(
    r"^(?:b\.|d\.|born|died|active|fl\.|c\.|ca\.|about|late|early|[-–])?\s*(?:b\.|c\.|ca\.|in)?\s*"
    r"\d{3,4}s?\??(?:\s*[-–]\s*(?:c\.|ca\.|d\.|late|early)?\s*(?:\d{2,4}s?\??|present)?)?$",
    re.IGNORECASE,
)

_PLACE = re.compile(r"(?:in|at|near)\s+((?!the\b)[A-Z].*)")
_PRICE = re.compile(
    r"[$£€¥]\s?\d|(?:paid|cost|price)\b.*\d"
    r"|\d[\d.,]*\s?(?:USD|GBP|EUR|HKD|CHF|FRF|DM|yen|francs|guilders|dollars|pounds|euros?)\b",
    re.IGNORECASE,
)
_COMMA = re.compile(r",(?!\d{3}\b)")
_WITHIN = re.compile(r"in (?=the\b)", re.IGNORECASE)
_AS_FOUND = re.compile(r"as (?:is|found|seen)$", re.IGNORECASE)
EDGES = " \t\r\n,.:;\u00a0"


@dataclass(slots=True)
class Holder:
    """A party as named in one event."""

    name: str = ""
    life: str = ""
    note: str = ""
    place: str = ""
    trade: bool = False


@dataclass(slots=True)
class Event:
    """What one segment says, before its parties have ids."""

    kind: EventKind = EventKind.STAY
    certainty: Certainty = Certainty.CERTAIN
    holders: dict[str, Holder] = field(default_factory=dict)
    place: str = ""
    when: EventDate | None = None
    lot: str = ""
    number: str = ""
    notes: tuple[str, ...] = ()
    rule: str = "holder"


@functools.lru_cache(maxsize=8)
def name_words(tables: Tables) -> tuple[frozenset[str], frozenset[str], tuple[str, ...]]:
    """Suffixes of names, nouns that are no party, and phrases that lead to a heading."""
    suffixes = frozenset(fold(n).strip(".") for r in tables.terms("suffix") for n in r.variants)
    no_party = frozenset(fold(n) for r in tables.terms("no party") for n in r.variants)
    headings = tuple(fold(n) for r in tables.terms("heading") for n in r.variants)
    return suffixes, no_party, headings


def take_name(role: str, words: str, event: Event, tables: Tables) -> None:
    """The name, life dates and place in the words of one role."""
    words = _trimmed(words, tables)
    if words.startswith("(") and ")" in words:
        inner, _, rest = words[1:].partition(")")
        words = f"{inner}, {rest}"
        role = "agent" if role == "receiver" else role
    holder = Holder()
    plain: list[str] = []
    at = 0
    for match in BRACKET.finditer(words):
        inner = (match.group(1) or match.group(2) or "").strip()
        plain.append(words[at : match.start()])
        at = match.end()
        spanning = match.group(1) is None or re.search(r"[-–]|[bd]\.", inner)
        if _LIFE.match(inner) and spanning and not holder.life:
            holder.life = inner
        elif inner and match.group(1) is not None:
            holder.note = f"{holder.note}; {inner}" if holder.note else inner
    plain.append(words[at:])
    parts = _parts(" ".join("".join(plain).split()), tables)
    parts = [part for part in parts if not _AS_FOUND.match(part) and not _PRICE.match(part)]
    if not parts:
        return
    if (place := _PLACE.match(parts[0])) is not None:
        event.place = event.place or ", ".join((place.group(1), *parts[1:]))
        return
    _, no_party, _ = name_words(tables)
    common = role != "receiver" and parts[0].split()[-1].islower()
    nouns = Words(_without_article(parts[0])).folded if common else []
    if nouns and (nouns[-1] in no_party or nouns[0] in no_party):
        event.place = event.place or ", ".join(parts)
        if event.kind is EventKind.TRANSFER:
            event.kind = EventKind.AUCTION if nouns[-1].startswith("auction") else EventKind.SALE
        return
    name = _before_title(tables).sub("", _WITHIN.sub("", parts[0], count=1))
    holder.name = _without_article(name)
    asides = [part for part in parts[1:] if part[0].islower()]
    holder.note = "; ".join([holder.note] * bool(holder.note) + asides)
    holder.place = ", ".join(part for part in parts[1:] if not part[0].islower())
    event.place = event.place or holder.place
    event.holders.setdefault(role, holder)


def _trimmed(words: str, tables: Tables) -> str:
    """Without the marks at its ends, but with the full stop of an abbreviation."""
    plain = words.strip(EDGES).lstrip("-")
    dotted = words.rstrip(" \t,:;")
    if dotted.endswith(".") and ends_in_abbreviation(dotted, tables):
        return dotted.lstrip(EDGES)
    return plain


@functools.lru_cache(maxsize=8)
def _before_title(tables: Tables) -> re.Pattern[str]:
    """A particle before a title is no part of the name: 'du Dr. Maubuisson', but 'du Pré' is."""
    particles = "|".join(re.escape(n) for r in tables.terms("particle") for n in r.variants)
    titles = {
        n.strip(".") for r in tables.terms("party kind") if r.label == "person" for n in r.names
    }
    either = "|".join(sorted(re.escape(n) for n in titles))
    return re.compile(rf"^(?:{particles})\s+(?=(?i:{either})(?!\w))")


def _without_article(name: str) -> str:
    return re.sub(r"^(?:the|a|an)\s+(?=\w)", "", name)


def _parts(words: str, tables: Tables) -> list[str]:
    """The parts between commas, the suffixes of names joined to what they belong to."""
    suffixes, _, _ = name_words(tables)
    parts: list[str] = []
    for raw in _COMMA.split(words):
        part = raw.strip(" \t:;\u00a0")
        if not any(c.isalnum() for c in part):
            continue
        if parts and fold(part).strip(".") in suffixes:
            parts[-1] = f"{parts[-1]}, {part}"
        else:
            parts.append(part)
    return parts


@functools.lru_cache(maxsize=8)
def _party_words(tables: Tables) -> Lexicon[tuple[int, PartyKind]]:
    """Words that tell the kind of a party, with the place of their row: earlier rows win."""
    return Lexicon(
        (name, (number, PartyKind(row.label)))
        for number, row in enumerate(tables.terms("party kind"))
        for name in row.variants
    )


def party_kind(name: str, trade: bool, tables: Tables) -> PartyKind:
    """What kind of party a name is, as far as its words say; the trade is firms."""
    found = _party_words(tables).find(Words(name).folded)
    if found:
        return min(found, key=lambda match: match.entry[0]).entry[1]
    return PartyKind.FIRM if trade else PartyKind.UNKNOWN
