"""Words of literature and exhibitions into citations, each a statement of its own."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from typing import NamedTuple

from archivist.model.base import Certainty, Reading
from archivist.model.citations import Citation, CitationKind
from archivist.model.records import Relation, RelationKind
from archivist.reading.citations.cues import (
    CitedAs,
    Cue,
    cue_at,
    cue_within,
    denied,
    heading_at,
    locates,
    of_another,
)
from archivist.reading.citations.parse import parse
from archivist.reading.level import level
from archivist.reading.result import Understood
from archivist.reading.sentences import ends_sentence, outside_brackets
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, Words, fillers, unread_spans

_BREAKS = re.compile(r"[;\n.]")
_YEAR = re.compile(r"(?<!\d)(?:1[4-9]|20)\d\d(?!\d)")
_MARKS = " \t\r\n,;\u00a0"
_TITLE = 200
"""Characters beyond which what stands before a full stop is more than authors and a title."""
_LONGEST = 1500
"""Characters beyond which words are a story and cite nothing."""


class Piece(NamedTuple):
    """Words between two marks, by their place, the mark before them, and whether a line is left
    empty before them."""

    start: int
    end: int
    mark: str
    apart: bool


def pieces(text: str, start: int, end: int, tables: Tables) -> Iterator[Piece]:
    """The pieces of the text between semicolons, lines and full stops outside of brackets."""
    outside = outside_brackets(text)
    at, mark = start, ""
    for match in _BREAKS.finditer(text, start, end):
        stop = match.start()
        if not outside[stop] or (match.group() == "." and not ends_sentence(text, stop, tables)):
            continue
        yield _piece(text, at, stop, mark)
        at, mark = match.end(), match.group()
    yield _piece(text, at, end, mark)


def _piece(text: str, start: int, end: int, mark: str) -> Piece:
    words = text[start:end]
    first = start + len(words) - len(words.lstrip(_MARKS))
    last = max(first, start + len(words.rstrip(_MARKS)))
    return Piece(first, last, mark, mark == "\n" and not words.strip())


def read_citations(
    text: str, tables: Tables, *, kind: CitationKind = CitationKind.LITERATURE
) -> Understood:
    """The citations of `text`, which is all literature, or all exhibitions, unless its own
    headings and words say otherwise. What cites another piece is a relation to it."""
    found = citations_in(text, tables, kind=kind)
    spans = [(s.reading.start, s.reading.end) for s in found if s.reading is not None]
    return Understood(
        text=text, statements=found, unread=unread_spans(Words(text), spans, fillers(tables))
    )


def citations_in(
    text: str, tables: Tables, *, kind: CitationKind = CitationKind.LITERATURE
) -> tuple[Citation | Relation, ...]:
    """As `read_citations`, for readers that keep account of the words themselves."""
    plain = level(text)
    cited = CitedAs(kind.value)
    found: list[Citation | Relation] = []
    open_from = -1
    for piece in pieces(text, 0, len(text), tables):
        if piece.start >= piece.end:
            continue
        start = body = piece.start
        if (heading := heading_at(text, plain, body, tables)) is not None:
            cited, body = heading.cited, heading.end
            open_from = start
            if not text[body : piece.end].strip(_MARKS):
                continue
        if cited in (CitedAs.OTHER, CitedAs.PROVENANCE):
            open_from = -1
            continue
        start = open_from if open_from >= 0 else start
        open_from = -1
        whole = Cue(cited, body, body)
        *before, (start, end, cue) = parted(text, plain, start, piece.end, whole, tables)
        found += filter(None, (citation(text, plain, *one, tables) for one in before))
        found_here = citation(text, plain, start, end, cue, tables)
        if found_here is None:
            continue
        if found and continues(found[-1], found_here, piece.mark, text, tables):
            last = found.pop().reading
            begin = last.start if last is not None else start
            again = _body_of(text, plain, begin, piece.end, cited, tables)
            found_here = citation(text, plain, begin, piece.end, again, tables) or found_here
        found.append(found_here)
    return tuple(found)


def parted(
    text: str, plain: str, start: int, end: int, cue: Cue, tables: Tables
) -> list[tuple[int, int, Cue]]:
    """The citations that words from `start` to `end` hold, where a second word begins another:
    'discussed in Alder 1960, p. 4, and exhibited at Tolling, 1961'."""
    found: list[tuple[int, int, Cue]] = []
    body = cue.end
    if end - start > _LONGEST:
        return [(start, end, cue)]
    while (inner := cue_within(text[body:end], plain[body:end], tables)) is not None:
        at = body + inner.start
        if not inner.start:
            break
        found.append((start, at - _link_length(text[max(0, at - _LINK) : at]), cue))
        start, body = at, body + inner.end
        cue = Cue(inner.cited, start, body)
    found.append((start, end, cue))
    return found


_LINK = 20
_LINK_AT_END = re.compile(r"[\s,(]+(?:(?:and|und|et|e|y|en)[\s,]*)?$")


def _link_length(tail: str) -> int:
    """How many characters at the end only join what comes next."""
    joined = _LINK_AT_END.search(tail)
    return len(tail) - joined.start() if joined is not None else 0


def _body_of(text: str, plain: str, start: int, end: int, cited: CitedAs, tables: Tables) -> Cue:
    heading = heading_at(text, plain, start, tables)
    return Cue(cited, start, heading.end if heading is not None and heading.end < end else start)


def continues(
    before: Citation | Relation,
    here: Citation | Relation,
    mark: str,
    text: str,
    tables: Tables,
) -> bool:
    """Whether words after a full stop belong to the citation before it: a title ended there, or
    they only say on what page."""
    if mark != "." or not isinstance(before, Citation) or not isinstance(here, Citation):
        return False
    if before.kind is not here.kind or here.reading is None or len(before.as_stated) > _TITLE:
        return False
    complete = before.date is not None or before.pages or before.number
    words = text[here.reading.start : here.reading.end]
    placed = locates(level(words[:12]), tables)
    return not complete or (placed and not (before.pages or before.number))


def citation(
    text: str, plain: str, start: int, end: int, cue: Cue, tables: Tables
) -> Citation | Relation | None:
    """The citation that the words from `start` to `end` are, whose own words begin after `cue`;
    None where they deny it or hold nothing."""
    words = text[start:end]
    body = cue.end
    cited = cue.cited
    if (inner := cue_at(plain, body, tables)) is not None and inner.end < end:
        cited, body = inner.cited, inner.end
        cue = inner
    if len(words) > _LONGEST or denied(plain, cue, tables):
        return None
    reading = Reading(rule=f"citation: {cited.value}", confidence="0.9", start=start, end=end)
    certainty = _certainty(plain[start:body], tables)
    if cited is CitedAs.COMPARISON or of_another(plain[start:end], tables):
        return Relation(
            as_stated=words, certainty=certainty, reading=reading, kind=RelationKind.COMPARE
        )
    own = text[body:end]
    if not any(character.isalnum() for character in own):
        return None
    fields = parse(own, cited, tables)
    return Citation(
        as_stated=words,
        certainty=certainty,
        reading=reading,
        kind=CitationKind(cited.value),
        title=fields.title,
        authors=fields.authors,
        venue=fields.venue,
        pages=fields.pages,
        number=fields.number,
        date=fields.date,
    )


@functools.lru_cache(maxsize=8)
def _hedges(tables: Tables) -> Lexicon[Certainty]:
    return Lexicon(
        (name, Certainty(row.more["certainty"]))
        for row in tables.terms("hedge")
        for name in row.names
    )


def _certainty(plain: str, tables: Tables) -> Certainty:
    """How sure the words before a citation leave it."""
    hedges = _hedges(tables).find(Words(plain).folded)
    return hedges[0].entry if hedges else Certainty.CERTAIN


def looks_cited(plain: str, tables: Tables) -> bool:
    """Whether levelled words, alone, could be a citation: a page or number, or a year."""
    return locates(plain, tables) or _YEAR.search(plain) is not None
