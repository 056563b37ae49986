"""Where a citation begins: under a heading, or at a word such as 'published in', 'exhibited at'.

What cites another piece ('cf.', 'for a similar bowl see') cites this one nowhere; it is a
comparison.
"""

from __future__ import annotations

import functools
import re
from enum import StrEnum
from typing import NamedTuple

from archivist.reading.level import either, level
from archivist.reading.moments import find_dates
from archivist.reading.tables import Tables


class CitedAs(StrEnum):
    """What words cite: this piece in print, this piece on show, another piece; PROVENANCE and
    OTHER are headings of something else, which end a section of citations."""

    LITERATURE = "literature"
    EXHIBITION = "exhibition"
    COMPARISON = "comparison"
    PROVENANCE = "provenance"
    OTHER = "other"


class Cue(NamedTuple):
    """What is cited, and where its word or heading begins and ends."""

    cited: CitedAs
    start: int
    end: int
    heading: bool = False


_FRONT = r"[\s,;.:()\[\]–-]*"
_HEADING_ENDS = re.compile(r"(?:\(\w{1,3}\))?\s*(?::|(?=\n|$))")
_STOPPED = re.compile(r"\s*[^\W_]")
_WORD = re.compile(r"[^\W\d_]{2}")
_INNER = re.compile(r"[,(]\s*(?:(?:and|und|et|e|y|en)\s+)?|\s(?:and|und|et|y)\s+")
_OWN_WORDS = 200
_REACH = 40
_BEFORE = 30
"""Characters before a word within which a denial denies it."""


class _Patterns(NamedTuple):
    heading: re.Pattern[str]
    headings: dict[str, CitedAs]
    cue: re.Pattern[str]
    cues: dict[str, CitedAs]
    other: re.Pattern[str]
    denial: re.Pattern[str]
    locator: re.Pattern[str]
    any: re.Pattern[str]


@functools.lru_cache(maxsize=8)
def _patterns(tables: Tables) -> _Patterns:
    headings = _named(tables, "citation heading")
    headings |= {level(n): CitedAs.PROVENANCE for r in tables.terms("heading") for n in r.variants}
    cues = _named(tables, "citation cue")
    hedges = [n for r in tables.terms("hedge") for n in r.names]
    denials = [n for r in tables.terms("citation denial") for n in r.variants]
    before = either(("also", "and", "was", "it was", "this piece", *denials, *hedges))
    lead = rf"(?:(?:{before})\s+){{0,4}}"

    def words_of(kind: str) -> str:
        return either(n for r in tables.terms(kind) for n in r.variants)

    return _Patterns(
        re.compile(rf"{_FRONT}(?P<name>{either(headings)})(?![^\W_])"),
        headings,
        re.compile(rf"{_FRONT}{lead}(?P<name>{either(cues)})(?![^\W_])"),
        cues,
        re.compile(rf"(?<![^\W_])(?:{words_of('citation other piece')})(?![^\W_])"),
        re.compile(rf"(?<![^\W_])(?:{words_of('citation denial')})\s+(?:[^\W\d_]+\s+)?$"),
        re.compile(
            rf"(?<![^\W_])(?:{words_of('citation locator')})"
            r"(?:\s?\d|(?:\s|(?<=\.))[ivxlc]+(?![^\W_]))"
        ),
        re.compile(rf"(?<![^\W_])(?:{either((*headings, *cues))})(?![^\W_])"),
    )


def _named(tables: Tables, kind: str) -> dict[str, CitedAs]:
    return {level(n): CitedAs(r.label) for r in tables.terms(kind) for n in r.variants}


def may_cite(plain: str, tables: Tables) -> bool:
    """Whether any heading or word of citations is in a levelled text at all."""
    return _patterns(tables).any.search(plain) is not None


def heading_at(text: str, plain: str, start: int, tables: Tables) -> Cue | None:
    """The heading that begins at `start`: before a colon, alone on its line, or abbreviated
    ('Lit. Alder 1960'). `plain` is `text` levelled."""
    known = _patterns(tables)
    found = known.heading.match(plain, start)
    if found is None:
        return None
    begins, end = found.span("name")
    cited = known.headings[" ".join(found["name"].split())]
    if (closed := _HEADING_ENDS.match(plain, end)) is not None:
        return Cue(cited, begins, closed.end(), heading=True)
    stopped = found["name"].endswith(".") and text[begins].isupper()
    if (
        stopped
        and cited is not CitedAs.OTHER
        and cited is not CitedAs.PROVENANCE
        and _STOPPED.match(plain, end)
    ):
        return Cue(cited, begins, end, heading=True)
    return None


def heading_follows(text: str, start: int, tables: Tables) -> bool:
    """Whether a heading with its colon comes next, whatever stands before it."""
    window = text[start : start + _REACH]
    heading = heading_at(window, level(window), 0, tables) if ":" in window else None
    return heading is not None and window[heading.end - 1] == ":"


def cue_at(plain: str, start: int, tables: Tables) -> Cue | None:
    """The word that begins a citation at `start` of a levelled text, brackets, 'also' and hedges
    before it apart."""
    known = _patterns(tables)
    found = known.cue.match(plain, start)
    if found is None:
        return None
    return Cue(known.cues[" ".join(found["name"].split())], *found.span("name"))


def cue_within(text: str, plain: str, tables: Tables) -> Cue | None:
    """The first word within an event's words that begins a citation of its own: 'Marr, Leeds,
    exhibited Tolling 1936'. Bare dates after it cite nothing."""
    for inner in _INNER.finditer(plain):
        cue = cue_at(plain, inner.end(), tables)
        if cue is None and heading_follows(text, inner.end(), tables):
            cue = heading_at(text, plain, inner.end(), tables)
            if cue is not None and cue.cited in (CitedAs.PROVENANCE, CitedAs.OTHER):
                cue = None
        if cue is not None and cites(text[cue.end : cue.end + _OWN_WORDS], tables):
            return cue
    return None


def cites(words: str, tables: Tables) -> bool:
    """Whether words name a place, book or number, and not only when."""
    rest = words
    for when in reversed(find_dates(words, tables)):
        rest = rest[: when.start] + rest[when.end :]
    return _WORD.search(rest) is not None or locates(level(rest), tables)


def locates(plain: str, tables: Tables) -> bool:
    """Whether a page, plate or number is cited in levelled words."""
    return _patterns(tables).locator.search(plain) is not None


def of_another(plain: str, tables: Tables) -> bool:
    """Whether levelled words speak of another piece: 'for a similar bowl'."""
    return _patterns(tables).other.search(plain) is not None


def denied(plain: str, cue: Cue, tables: Tables) -> bool:
    """Whether the word before a cue denies it: 'never published', 'not exhibited at'."""
    before = plain[max(0, cue.start - _BEFORE) : cue.start]
    return _patterns(tables).denial.search(before) is not None
