"""The sections and clauses of a caption that cite literature and exhibitions."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from typing import TypeVar

import msgspec

from archivist.reading.caption import Caption
from archivist.reading.citations.cues import (
    CitedAs,
    Cue,
    cites,
    cue_at,
    cue_within,
    heading_at,
    locates,
    may_cite,
)
from archivist.reading.citations.parse import begins_link
from archivist.reading.citations.read import (
    Piece,
    citation,
    citations_in,
    looks_cited,
    pieces,
)
from archivist.reading.feature_names import descriptions
from archivist.reading.level import level
from archivist.reading.moments import find_dates
from archivist.reading.result import ReadStatement
from archivist.reading.sentences import ends_sentence, outside_brackets
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, Words

AnyStatement = TypeVar("AnyStatement", bound=ReadStatement)
_COMMA = re.compile(r",\s+")
_FIRST_WORDS = 60
_STARTS = re.compile(r"[;\n.]")
_CITED = frozenset({CitedAs.LITERATURE, CitedAs.EXHIBITION, CitedAs.COMPARISON})
_PLACED = re.compile(r"\s*(?:in|at|dans|im|bei|en|al|alla|au|à|nel|:|[\"“„«'‘])")


def clause_starts(text: str, tables: Tables) -> Iterator[int]:
    """Where the text, each line and each sentence of it begin, semicolons counting as ends."""
    outside = outside_brackets(text)
    yield 0
    for match in _STARTS.finditer(text):
        at = match.start()
        if outside[at] and (match.group() != "." or ends_sentence(text, at, tables)):
            yield at + 1


def take_citations(caption: Caption) -> None:
    """Sections headed 'Literature:', 'Exhibited:' and the like, to their ends, and clauses such
    as 'illustrated in X, pl. 12'; what compares another piece becomes a relation to it."""
    plain = level(caption.text)
    if not may_cite(plain, caption.tables):
        return
    section: CitedAs | None = None
    begin = end = -1
    for piece in pieces(caption.text, 0, len(caption.text), caption.tables):
        heading = heading_at(caption.text, plain, piece.start, caption.tables)
        if heading is not None or (
            section is not None and not _goes_on(caption, plain, piece, begin)
        ):
            _take_section(caption, begin, end)
            section, begin = None, -1
        if (
            heading is not None
            and heading.cited in _CITED
            and not _is_taken(caption, piece.start, piece.end)
        ):
            section, begin, end = heading.cited, piece.start, max(heading.end, piece.end)
        elif section is not None:
            end = max(end, piece.end)
        elif heading is None and not _is_taken(caption, piece.start, piece.end):
            _take_clause(caption, plain, piece)
    _take_section(caption, begin, end)


def _goes_on(caption: Caption, plain: str, piece: Piece, begin: int) -> bool:
    """Whether a section of citations goes on with this piece."""
    if piece.start >= piece.end:
        return not piece.apart
    if _is_taken(caption, piece.start, piece.end):
        return False
    so_far = plain[begin : piece.start]
    alone = ":" in so_far[-3:] or (
        so_far.endswith("\n") and so_far.count("\n") == 1 and len(so_far) < 40
    )
    words = plain[piece.start : piece.end]
    if alone:
        return True
    return looks_cited(words, caption.tables) and not tells_of_piece(words, caption.tables)


def _is_taken(caption: Caption, start: int, end: int) -> bool:
    first, stop = caption.words.at(start), caption.words.at(end)
    return caption.taken.find(1, first, stop) >= 0


def _take_section(caption: Caption, begin: int, end: int) -> None:
    if begin < 0:
        return
    found = citations_in(caption.text[begin:end], caption.tables)
    caption.take(tuple(moved_by(one, begin) for one in found))


def _take_clause(caption: Caption, plain: str, piece: Piece) -> None:
    """A citation that a clause of running text is, from its word to the end of the clause."""
    text, tables = caption.text, caption.tables
    cue = cue_at(plain, piece.start, tables)
    if cue is None or cue.end > piece.end:
        inner = cue_within(text[piece.start : piece.end], plain[piece.start : piece.end], tables)
        if inner is None:
            return
        cue = Cue(inner.cited, piece.start + inner.start, piece.start + inner.end)
    if not _licensed(text, plain, cue, piece.end, tables):
        return
    end = _clause_end(text, plain, cue.end, piece.end, tables)
    found = citation(text, plain, cue.start, end, cue, tables)
    if found is not None:
        caption.take((found,))


def _clause_end(text: str, plain: str, start: int, end: int, tables: Tables) -> int:
    """Where a citation ends within its clause: once it has said when or on what page, it goes on
    only with more of that: '..., pl. 12, hairline to rim' ends at the plate."""
    for comma in _COMMA.finditer(text, start, end):
        if not looks_cited(plain[start : comma.start()], tables):
            continue
        following = plain[comma.end() : end]
        if (
            locates(following[:12], tables)
            or begins_link(following, tables)
            or cue_at(plain, comma.end(), tables) is not None
            or find_dates(text[comma.end() : min(end, comma.end() + 20)], tables)
        ):
            continue
        first = text[comma.end() : comma.end() + 1]
        if first.islower() or tells_of_piece(following, tables):
            return comma.start()
    return end


def _licensed(text: str, plain: str, cue: Cue, end: int, tables: Tables) -> bool:
    """Whether a word of citations is used as one: 'illustrated with birds', 'a print published
    1 May 1774' and 'shown at rest' cite nothing."""
    rest = plain[cue.end : end]
    if not cites(text[cue.end : end], tables):
        return False
    if cue.cited is CitedAs.COMPARISON:
        return looks_cited(rest, tables)
    if locates(rest, tables):
        return True
    word = plain[cue.start : cue.end]
    placed = _PLACED.match(rest) is not None or word.split()[-1] in (
        "in",
        "at",
        "dans",
        "im",
        "en",
        "au",
    )
    named = re.search(r"[^\W\da-z_]", text[cue.end : end]) is not None
    return placed and named


_SIZE = re.compile(r"\d\s?(?:cm|mm|in\.?|inches|inch|ins)(?![^\W_])")


def tells_of_piece(plain: str, tables: Tables) -> bool:
    """Whether levelled words, alone, describe the piece: a size, a period, a form, a glaze."""
    if _SIZE.search(plain) is not None:
        return True
    words = Words(plain[:_FIRST_WORDS])
    if not len(words):
        return False
    return (
        descriptions(tables).match(words.folded, 0) is not None
        or _periods(tables).match(words.folded, 0) is not None
    )


@functools.lru_cache(maxsize=8)
def _periods(tables: Tables) -> Lexicon[str]:
    return Lexicon((n, row.label) for row in tables.periods for n in (row.label, *row.variants))


def moved_by(statement: AnyStatement, offset: int) -> AnyStatement:
    """`statement` with its span moved by `offset` characters."""
    reading = statement.reading
    if reading is None or not offset:
        return statement
    moved = msgspec.structs.replace(reading, start=reading.start + offset, end=reading.end + offset)
    return msgspec.structs.replace(statement, reading=moved)
