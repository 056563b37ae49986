"""The name, life dates and place in the words of one role, and what kind of party it is."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass, field

from archivist.model.base import Certainty
from archivist.model.parties import PartyKind
from archivist.model.provenance import EventKind
from archivist.reading.level import either, level
from archivist.reading.moments import EventDate
from archivist.reading.provenance.relations import (
    Relation,
    is_pronoun,
    of_a_named_one,
    relation_in,
)
from archivist.reading.sentences import ends_in_abbreviation
from archivist.reading.tables import Tables
from archivist.reading.towns import begins_town, is_town
from archivist.reading.words import Lexicon, Words, fold

BRACKET = re.compile(r"\(([^()]*)\)|\[([^\[\]]*)\]")

_BORN = r"(?:b\.|born|geb\.|geboren|né|née|nato|nata|nacido|nacida|\*)"
_DIED = r"(?:d\.|died|gest\.|gestorben|mort|morte|morto|morta|muerto|overl\.|overleden|†|\+)"
_ABOUT = r"(?:b\.|c\.|ca\.|in|um|vers|circa|after|before|nach|vor|late|early|d\.|en|om)"
_LIFE = re.compile(
    rf"^(?:{_BORN}|{_DIED}|active|fl\.|c\.|ca\.|about|late|early|[-–])?\s*(?:{_ABOUT}\s*)?"
    rf"\d{{3,4}}s?\??(?:\s*[-–,]\s*(?:{_DIED}\s*)?(?:{_ABOUT}\s*)?(?:\d{{2,4}}s?\??|present)?)?$",
    re.IGNORECASE,
)
_SPANNING = re.compile(rf"[-–]|{_BORN}|{_DIED}", re.IGNORECASE)
SHORTEST_LIFE = 18
"""Years: a shorter span in brackets after a name is that of a stay. Common practice, no source."""

_PLACE = re.compile(r"(?:in|at|near|à|zu|bei)\s+((?!the\b)[A-Z].*)")
_NAME_IN_PLACE = re.compile(r"(?P<name>\S.*?\S)\s+(?:in|at|near)\s+(?P<place>[^\W\da-z_][^,]*)$")
_PRICE = re.compile(r"(?:paid|cost|price)\b.*\d", re.IGNORECASE)
_COMMA = re.compile(r",(?!\d{3}\b)")
_SALE_OF = re.compile(r"(?P<name>[^\W\da-z_].*?)(?P<firm>['’]s?)?\s+(?:sale|auction|Sale|Auction)")
_OF_A_HOUSE = re.compile(r"['’]s$|s['’]$")
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
    relation: Relation | None = None
    pronoun: bool = False


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
    ground: str = ""
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
    words = trimmed(words, tables)
    if words.startswith("(") and ")" in words:
        inner, _, rest = words[1:].partition(")")
        words = f"{inner}, {rest}"
        role = "agent" if role == "receiver" else role
    holder = Holder()
    plain = _without_brackets(words, holder)
    parts = _parts(" ".join(plain.split()), tables)
    parts = [part for part in parts if not _AS_FOUND.match(part) and not _PRICE.match(part)]
    if not parts:
        return
    if is_object(parts[0], tables):
        return
    if (place := _PLACE.match(parts[0])) is not None:
        if is_house(place.group(1), tables):
            take_name("agent", ", ".join((place.group(1), *parts[1:])), event, tables)
        else:
            event.place = event.place or ", ".join((place.group(1), *parts[1:]))
        return
    if _is_no_party(role, parts, event, tables) or _is_place(role, parts, event, tables):
        return
    parts = _sale_of(role, parts, event, tables)
    if not parts:
        return
    _take_holder(role, parts, holder, event, tables)


def _without_brackets(words: str, holder: Holder) -> str:
    """The words outside of brackets; those inside are the holder's life dates or a note."""
    plain: list[str] = []
    at = 0
    for match in BRACKET.finditer(words):
        inner = (match.group(1) or match.group(2) or "").strip()
        plain.append(words[at : match.start()])
        at = match.end()
        spanning = match.group(1) is None or _SPANNING.search(inner)
        if _LIFE.match(inner) and spanning and not holder.life:
            holder.life = inner
        elif inner and match.group(1) is not None:
            holder.note = f"{holder.note}; {inner}" if holder.note else inner
    plain.append(words[at:])
    return "".join(plain)


def is_house(name: str, tables: Tables) -> bool:
    """Whether a name is that of a firm by its words or its possessive: 'at Brand's'."""
    return _OF_A_HOUSE.search(name) is not None or (
        party_kind(name, trade=False, tables=tables) is PartyKind.FIRM
    )


@functools.lru_cache(maxsize=8)
def _objects(tables: Tables) -> frozenset[str]:
    return frozenset(level(n) for row in tables.terms("object") for n in row.variants)


def is_object(words: str, tables: Tables) -> bool:
    """Whether words stand for the piece itself: 'it', 'the bowl'."""
    return words[:1].islower() and level(words) in _objects(tables)


def _is_no_party(role: str, parts: list[str], event: Event, tables: Tables) -> bool:
    """Whether a common noun stands where a name would: 'from a farmhouse sale'."""
    _, no_party, _ = name_words(tables)
    common = role != "receiver" and parts[0].split()[-1].islower()
    nouns = Words(_without_article(parts[0])).folded if common else []
    if not nouns or (nouns[-1] not in no_party and nouns[0] not in no_party):
        return False
    event.place = event.place or ", ".join(parts)
    if event.kind is EventKind.TRANSFER:
        event.kind = EventKind.AUCTION if nouns[-1].startswith("auction") else EventKind.SALE
    return True


def _is_place(role: str, parts: list[str], event: Event, tables: Tables) -> bool:
    """Whether a known town or land stands where a name would: 'bought London'."""
    if role == "agent" or not all(is_town(part, tables) for part in parts):
        return False
    event.place = event.place or ", ".join(parts)
    return True


def _sale_of(role: str, parts: list[str], event: Event, tables: Tables) -> list[str]:
    """'Pell sale, Brand's, London': the giver of an auction; what is left is of who held it."""
    found = _SALE_OF.fullmatch(parts[0])
    if found is None or role == "giver" or event.kind not in (EventKind.STAY, EventKind.AUCTION):
        return parts
    event.kind, event.rule = EventKind.AUCTION, "auction"
    name = found["name"]
    if nameless(name, tables):
        pass
    elif found["firm"] and len(parts) < 3:
        return [name + found["firm"], *parts[1:]]
    else:
        event.holders.setdefault("giver", Holder(name=_without_article(name)))
    rest = parts[1:]
    if rest and rest[0][0].isupper() and not is_town(rest[0], tables):
        take_name("agent", ", ".join(rest), event, tables)
        return []
    event.place = event.place or ", ".join(rest)
    return []


def _take_holder(role: str, parts: list[str], holder: Holder, event: Event, tables: Tables) -> None:
    """The holder whose name begins the parts, or who is named by a relation."""
    first = _before_title(tables).sub("", _WITHIN.sub("", parts[0], count=1))
    rest = parts[1:]
    relation = relation_in(first, tables)
    if relation is not None:
        after = first[relation.end :].strip(EDGES)
        holder.relation = relation
        if after[:1].isupper() or (after and _titled(after, tables)):
            first = after
        elif rest and _names_somebody(rest, tables):
            first, rest = rest[0], rest[1:]
        else:
            first = ""
            if (place := _PLACE.match(after)) is not None:
                rest = [place.group(1), *rest]
        if first:
            holder.note = "; ".join(filter(None, (holder.note, relation.written)))
    if (within := _NAME_IN_PLACE.match(first)) is not None and not rest:
        first, rest = within["name"], [within["place"]]
        if relation is None and (relation := relation_in(first, tables)) is not None:
            holder.relation, first = relation, ""
    holder.pronoun = is_pronoun(first, tables)
    holder.name = "" if holder.pronoun else _named(first, tables)
    asides = [part for part in rest if part[0].islower()]
    holder.note = "; ".join([holder.note] * bool(holder.note) + asides)
    places = _places(role, rest, holder, event, tables)
    holder.place = ", ".join(places)
    event.place = event.place or holder.place
    if holder.name or holder.relation is not None or holder.pronoun:
        event.holders.setdefault(role, holder)


def _places(role: str, parts: list[str], holder: Holder, event: Event, tables: Tables) -> list[str]:
    """The parts after a name that are places; a firm among them acted or was the holder's own."""
    places = []
    for part in parts:
        if part[0].islower() or nameless(part, tables) or not any(map(str.isalpha, part)):
            continue
        if not is_house(part, tables):
            places.append(part)
        elif role != "agent" and event.lot:
            event.holders.setdefault("agent", Holder(name=_named(part, tables)))
        else:
            holder.note = f"{holder.note}; {part}" if holder.note else part
    return places


def _named(words: str, tables: Tables) -> str:
    """The name that words are, '' where they say that nobody knows it."""
    name = _without_articles(words, tables)
    if not any(map(str.isalpha, name)) or nameless(name, tables):
        return ""
    return of_a_named_one(name, tables) or name


@functools.lru_cache(maxsize=8)
def _nameless(tables: Tables) -> re.Pattern[str]:
    names = either(n for row in tables.terms("nameless") for n in row.variants)
    return re.compile(rf"(?:{names})(?![^\W_])|.*(?<![^\W_])(?:{names})$")


def nameless(name: str, tables: Tables) -> bool:
    """Whether words stand for somebody whom nobody knows: 'unknown dealer', 'inconnu'."""
    return _nameless(tables).match(level(_without_article(name)).rstrip(" .?")) is not None


@functools.lru_cache(maxsize=8)
def _given_names(tables: Tables) -> frozenset[str]:
    return frozenset(level(n) for row in tables.terms("given name") for n in row.variants)


@functools.lru_cache(maxsize=8)
def _titles(tables: Tables) -> re.Pattern[str]:
    persons = (n for r in tables.terms("party kind") if r.label == "person" for n in r.names)
    addresses = (n for row in tables.terms("address") for n in row.variants)
    names = either(name.strip(".") for name in (*persons, *addresses))
    return re.compile(rf"(?:{names})(?:\.|(?![^\W_]))\s*\S")


def _titled(words: str, tables: Tables) -> bool:
    return _titles(tables).match(level(words)) is not None


def _names_somebody(parts: list[str], tables: Tables) -> bool:
    """Whether the first part after 'her nephew,' is his name and not where he lived."""
    first = parts[0]
    if first[0].islower() or is_town(first, tables) or nameless(first, tables):
        return _titled(first, tables) and not first[0].islower()
    words = first.split()
    if len(words) == 1:
        return len(parts) > 1 or level(first) in _given_names(tables)
    beginning = begins_town(words[0], tables) and len(words) == 2
    return not beginning or len(parts) > 1


def trimmed(words: str, tables: Tables) -> str:
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


_ARTICLE = re.compile(r"(?:the|a|an|die|das|dem|les|gli|het)\s+(?=\w)|[lL]['’](?=[^\W\d_])")
_ARTICLE_OR_PARTICLE = re.compile(r"(?:der|den|le|la|il|lo|el|los|las|de|du|al|au)\s+(?=\w)")


def _without_article(name: str) -> str:
    return _ARTICLE.sub("", name, count=1) if _ARTICLE.match(name) else name


def _without_articles(name: str, tables: Tables) -> str:
    """Without the article of any language; what may be the particle of a name stays before one:
    'le musée Duvernay', but 'le Maître'."""
    name = _without_article(name)
    found = _ARTICLE_OR_PARTICLE.match(name)
    if found is None or party_kind(name, trade=False, tables=tables) is PartyKind.UNKNOWN:
        return name
    return name[found.end() :]


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


@functools.lru_cache(maxsize=4096)
def party_kind(name: str, trade: bool, tables: Tables) -> PartyKind:
    """What kind of party a name is, as far as its words say; the trade is firms."""
    found = _party_words(tables).find(Words(name).folded)
    if found:
        return min(found, key=lambda match: match.entry[0]).entry[1]
    return PartyKind.FIRM if trade else PartyKind.UNKNOWN
