"""One citation's words into its fields: authors, title, venue, pages, numbers and date."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from archivist.model.dates import Date
from archivist.reading.citations.cues import CitedAs
from archivist.reading.level import either, level, unaccented
from archivist.reading.moments import date_of, find_dates
from archivist.reading.sums import without_sums
from archivist.reading.tables import Tables
from archivist.reading.towns import is_town

_QUOTED = re.compile(
    r"“([^”\n]+)”|\"([^\"\n]+)\"|«\s?([^»\n]+?)\s?»|„([^“”\n]+)[“”]|‘([^’\n]+)’(?!\w)"
    r"|(?<!\w)'((?:[^'\n]|(?<=\w)'(?=\w))+)'(?!\w)|(?<!\w)_([^_\n]+)_(?!\w)|(?<!\w)\*([^*\n]+)\*(?!\w)"
)
_FIGURE = r"[A-Z]{0,3}\d+(?:[a-z]|\s?bis)?(?![^\W\d_])(?:\s?[-–/]\s?[A-Z]?\d+[a-z]?(?![^\W_]))?"
_ROMAN = r"[ivxlcIVXLC]+(?![^\W_])(?:\s?[-–]\s?[ivxlcIVXLC]+(?![^\W_]))?|[A-Z](?![^\W_])"
_VALUE = rf"\s?(?:{_FIGURE})|(?:\s|(?<=\.))(?:{_ROMAN})"
_MORE = (
    r"(?:\s?(?:,|and|und|et|&|\+)\s?"
    r"(?:\d{1,3}[a-z]?(?![^\W\d_])(?:\s?[-–]\s?\d{1,3})?)(?!\d))*"
)
_RANGE_BEFORE = 40
_EDGES = " \t\r\n,.:;()[]–-"
_NAME_WORD = re.compile(
    r"(?:[^\W\da-z_](?:['’.\-]?[^\W\d_])*\.?|(?:[^\W\da-z_]\.-?)+|de|du|des|di|da|van|von|der|den|del|della|le"
    r"|and|und|et|y|e|en|&|al\.?|others|ed\.?|eds\.?|hrsg\.?|\(ed\.?\)|\(eds\.?\)|\(hrsg\.?\))$"
)
_THE = re.compile(r"^the\s+(?=\S)")
_INITIAL = re.compile(r"(?:^|\s)(?:[^\W\d_]\.)|(?:and|und|et|&)\s|\bal\b|\(?(?:eds?|hrsg)\.")
_AUTHOR_YEAR = re.compile(
    r"\s*(?P<authors>[^\d,;:\"“«„‘']{2,60}?),?\s*\(?(?P<year>(?:1[4-9]|20)\d\d[a-z]?)\)?(?=\s*(?:[,;:.]|$))"
)


@dataclass(slots=True)
class Cited:
    """The fields of one citation, as far as the words give them."""

    title: str = ""
    authors: str = ""
    venue: str = ""
    pages: str = ""
    number: str = ""
    date: Date | None = None


@functools.lru_cache(maxsize=8)
def _locators(tables: Tables) -> re.Pattern[str]:
    names: dict[str, list[str]] = {"pages": [], "number": []}
    for row in tables.terms("citation locator"):
        names[row.label].extend(row.variants)
    pages, number = (either(names[label]) for label in ("pages", "number"))
    return re.compile(
        rf"(?<![^\W_])(?:(?P<pages>(?i:{pages})(?:{_VALUE}){_MORE}(?:\s?ff?\.)?)"
        rf"|(?P<number>(?:colou?r |(?i:cat\.?|exh\.?|Kat\.)[\s-])?"
        rf"(?i:{number})(?:{_VALUE}){_MORE}))"
    )


@functools.lru_cache(maxsize=8)
def _links(tables: Tables) -> re.Pattern[str]:
    names = either(n for row in tables.terms("citation link") for n in row.variants)
    return re.compile(rf"[\s,.:;(\[]*(?:(?:{names})(?=[\s,:]|$)[\s,:]*)*")


@functools.lru_cache(maxsize=8)
def _venues(tables: Tables) -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    def pattern(kind: str, inside: bool = False) -> re.Pattern[str]:
        names = either(n for row in tables.terms(kind) for n in row.variants)
        before = "" if inside else r"(?<![^\W_])"
        return re.compile(rf"{before}(?:{names})(?:en|s)?(?![^\W_])")

    return (
        pattern("venue word", inside=True),
        pattern("exhibition noun", inside=True),
        pattern("citation reprint"),
    )


def parse(words: str, cited: CitedAs, tables: Tables) -> Cited:
    """The fields of one citation; `words` are those after its cue or heading."""
    found = Cited()
    text = without_sums(words, tables)
    text = _take_title(text, found)
    text = _take_locators(text, found, tables)
    if cited is CitedAs.LITERATURE:
        text = _take_author_and_year(text, found, tables)
    text = _take_date(text, found, tables)
    parts = _parts(text, tables)
    if cited is CitedAs.EXHIBITION:
        _take_exhibition(parts, found, tables)
    else:
        _take_publication(parts, found, tables)
    return found


def _take_title(text: str, found: Cited) -> str:
    quoted = _QUOTED.search(text)
    if quoted is None:
        return text
    found.title = next(group for group in quoted.groups() if group).strip(" ,.")
    return text[: quoted.start()] + " , " + text[quoted.end() :]


def _take_locators(text: str, found: Cited, tables: Tables) -> str:
    pages: list[str] = []
    numbers: list[str] = []
    kept: list[str] = []
    at = 0
    for match in _locators(tables).finditer(unaccented(text)):
        whole = " ".join(text[match.start() : match.end()].split()).strip(" ,")
        (pages if match["pages"] else numbers).append(whole)
        kept.append(text[at : match.start()])
        at = match.end()
    kept.append(text[at:])
    found.pages, found.number = ", ".join(pages), ", ".join(numbers)
    return ",".join(kept)


def _take_author_and_year(text: str, found: Cited, tables: Tables) -> str:
    """'Alder 1960' and 'Alder and Voss (1972)': authors with the year of what they wrote."""
    lead = _links(tables).match(level(text))
    start = lead.end() if lead is not None else 0
    match = _AUTHOR_YEAR.match(text, start)
    if match is None or found.title or not _is_name(match["authors"], tables):
        return text
    if is_town(match["authors"].split(",")[-1].strip(), tables):
        return text
    found.authors = match["authors"].strip(_EDGES)
    found.date = date_of(match["year"][:4], tables)
    return text[match.end() :]


def _take_date(text: str, found: Cited, tables: Tables) -> str:
    """The last date, as titles hold earlier ones; what follows a word of reprint does not count."""
    dates = [when for when in find_dates(text, tables) if when.date is not None]
    if not dates:
        return text
    reprint = _venues(tables)[2].search(level(text))
    counted = [w for w in dates if reprint is None or w.end <= reprint.start()] or dates
    chosen = counted[-1]
    start = _range_start(text, chosen.start, tables)
    if found.date is None:
        whole = date_of(text[start : chosen.end].strip(_EDGES), tables)
        found.date = whole or chosen.date
    return text[:start] + " , " + text[chosen.end :]


@functools.lru_cache(maxsize=8)
def _first_day(tables: Tables) -> re.Pattern[str]:
    months = either(
        name for w in tables.date_words for names in w.get("months", {}).values() for name in names
    )
    day = rf"(?:\d{{1,2}}\.?(?:\s+(?:de\s+)?(?:{months})\.?)?|(?:{months})\.?(?:\s+\d{{1,2}})?)"
    return re.compile(rf"(?<![^\W_]){day}\s*(?:[-–]|to|until|bis|au|al|a|tot)\s*$")


def _range_start(text: str, start: int, tables: Tables) -> int:
    """Where '3 May-12 June 1936' begins, whose last day alone was found."""
    low = max(0, start - _RANGE_BEFORE)
    before = _first_day(tables).search(level(text[low:start]))
    return low + before.start() if before is not None else start


def _parts(text: str, tables: Tables) -> list[str]:
    lead = _links(tables).match(level(text))
    text = text[lead.end() if lead is not None else 0 :]
    parts = [
        " ".join(part.split()).strip(_EDGES)
        for part in re.split(r"[,;:]|\.(?=\s|$)|[()\[\]]", _initials(text))
    ]
    cleaned = [_restored(part) for part in parts]
    return [p for p in cleaned if any(c.isalpha() for c in p) and not _is_link(p, tables)]


def _initials(text: str) -> str:
    """The full stops of initials and short words, which part nothing, as another mark."""
    return re.sub(
        r"(?<![^\W\d_])([^\W\d_]{1,2}|St|Dr|Mrs|Prof|Mus|Hrsg|hrsg|eds)\.(?=[\s\-,)]|\w)",
        "\\1\ufffc",
        text,
    )


def _restored(part: str) -> str:
    return part.replace("\ufffc", ".")


def begins_link(plain: str, tables: Tables) -> bool:
    """Whether levelled words go on with what a citation says: 'in', 'and', 'at'."""
    found = _links(tables).match(plain)
    return found is not None and found.end() > 0


def _is_link(part: str, tables: Tables) -> bool:
    found = _links(tables).match(level(part))
    return found is not None and found.end() >= len(part)


def _unlinked(part: str, tables: Tables) -> str:
    part = _THE.sub("", part)
    found = _links(tables).match(level(part))
    return part[found.end() :] if found is not None and found.end() < len(part) else part


def _is_name(words: str, tables: Tables) -> bool:
    """Whether words may be authors: capitalised words, initials, 'and', particles."""
    pieces = words.replace("(", " (").split()
    if not pieces or len(pieces) > 8 or level(pieces[0]) in ("the", "der", "die", "das", "la"):
        return False
    if _venues(tables)[0].search(level(words)) or _venues(tables)[1].search(level(words)):
        return False
    return all(_NAME_WORD.match(piece.strip(",;")) for piece in pieces)


def _take_publication(parts: list[str], found: Cited, tables: Tables) -> None:
    rest = [_unlinked(part, tables) for part in parts]
    others = [part for part in rest[1:] if not is_town(part, tables)]
    if rest and not found.authors and _is_name(rest[0], tables):
        alone = len(rest[0].split()) == 1 or _INITIAL.search(rest[0]) is not None
        if found.title or others or alone:
            found.authors, rest = rest[0], rest[1:]
    while not found.title and rest and is_town(rest[0], tables) and len(rest) > 1:
        found.venue = f"{found.venue}, {rest[0]}".strip(", ")
        rest = rest[1:]
    if rest and not found.title and not is_town(rest[0], tables):
        found.title, rest = _without_town(rest[0], found, tables), rest[1:]
    found.venue = ", ".join(filter(None, (found.venue, *rest)))


def _without_town(part: str, found: Cited, tables: Tables) -> str:
    """The title without a town after it that no comma parts: 'Early Bowls London'."""
    head, _, last = part.rpartition(" ")
    if head and len(head.split()) > 1 and is_town(last, tables) and not head.split()[-1].islower():
        found.venue = last
        return head.strip(_EDGES)
    return part


def _take_exhibition(parts: list[str], found: Cited, tables: Tables) -> None:
    venue_word, noun, _ = _venues(tables)
    venues: list[str] = []
    for part in (_unlinked(part, tables) for part in parts):
        plain = level(part)
        of_a_show = noun.search(plain) is not None
        phrase = any(
            word.islower() and word not in ("of", "de", "di", "du") for word in part.split()[1:-1]
        )
        is_venue = venue_word.search(plain) is not None or is_town(part, tables)
        after_venue = bool(venues) and not is_venue and (phrase or len(part.split()) > 2)
        if not found.title and (of_a_show or after_venue):
            found.title = part
        else:
            venues.append(part)
    found.venue = ", ".join(venues)
