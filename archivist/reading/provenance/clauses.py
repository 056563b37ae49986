"""The clauses of a caption that tell of provenance, among all that it says."""

from __future__ import annotations

import functools
from typing import TypeVar

import msgspec

from archivist.model.base import Reading
from archivist.model.parties import Party
from archivist.reading.caption import CLAUSE_ENDS, Caption
from archivist.reading.features import descriptions
from archivist.reading.provenance.read import provenance_in
from archivist.reading.provenance.split import ends_in_abbreviation
from archivist.reading.result import ReadStatement
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon, fold

_TRAILING = CLAUSE_ENDS | {"(", "-", "–"}
_SENTENCE_ENDS = frozenset(";\n")
_ABBREVIATION_REACH = 20
AnyStatement = TypeVar("AnyStatement", bound=ReadStatement)


@functools.lru_cache(maxsize=8)
def _cues(tables: Tables) -> Lexicon[str]:
    """The words that begin a clause of provenance."""
    return Lexicon(
        (name, row.label) for row in tables.terms("provenance cue") for name in row.variants
    )


@functools.lru_cache(maxsize=8)
def _headings(tables: Tables) -> frozenset[str]:
    """Single words that head a line of provenance."""
    return frozenset(fold(name) for row in tables.terms("heading") for name in row.variants)


def take_headed_provenance(caption: Caption) -> None:
    """'Provenance: ...' goes to the end of its line, whatever is in it."""
    folded = caption.words.folded
    headings = _headings(caption.tables)
    if headings.isdisjoint(folded):
        return
    for index, token in enumerate(folded):
        if token in headings and folded[index + 1 : index + 2] == [":"]:
            end = index + 2
            while end < len(folded) and folded[end] != "\n":
                end += 1
            if end > index + 2:
                _read_events(caption, index, index + 2, end)
            return


def take_provenance(caption: Caption) -> None:
    """Clauses that begin with words of provenance, as far as nobody else has read them."""
    cues = _cues(caption.tables)
    words, taken = caption.words, caption.taken
    free_from = 0
    for match in cues.starting(words.folded):
        index = match.first
        if index < free_from or taken[index] or not _begins_clause(caption, index):
            continue
        end = _clause_end(caption, index)
        if end - index > 1:
            _read_events(caption, index, index, end)
            free_from = end


def _begins_clause(caption: Caption, index: int) -> bool:
    """Whether a clause begins at token `index`, brackets before it apart."""
    folded, taken = caption.words.folded, caption.taken
    before = index - 1
    while before >= 0 and folded[before] == "(" and not taken[before]:
        before -= 1
    return before < 0 or folded[before] in CLAUSE_ENDS or bool(taken[before])


def _clause_end(caption: Caption, index: int) -> int:
    """Where a clause of provenance ends: at a sentence's end or where others have read on."""
    folded, taken = caption.words.folded, caption.taken
    end = index
    while end < len(folded) and not taken[end] and folded[end] not in _SENTENCE_ENDS:
        if folded[end] == "." and end + 1 < len(folded) and _new_sentence(caption, end):
            break
        if folded[end] == "," and (
            _begins_event(caption, end + 1) or _begins_description(caption, end + 1)
        ):
            break
        end += 1
    while end > index and folded[end - 1] in _TRAILING:
        end -= 1
    return end


def _begins_event(caption: Caption, index: int) -> bool:
    """Whether a change of hands begins at token `index`: '..., sold to a collector'."""
    folded = caption.words.folded
    match = _cues(caption.tables).match(folded, index) if index < len(folded) else None
    return match is not None and match.entry == "cue"


def _begins_description(caption: Caption, index: int) -> bool:
    """Whether the piece is described from token `index` on: '..., blue and white'. What is in
    capitals may be a name or place."""
    words = caption.words
    if index >= len(words) or not words.text[words.starts[index]].islower():
        return False
    return descriptions(caption.tables).match(words.folded, index) is not None


def _new_sentence(caption: Caption, stop: int) -> bool:
    """Whether the full stop at token `stop` ends a sentence and no abbreviation."""
    words = caption.words
    at = words.starts[stop]
    following = words.starts[stop + 1]
    if following == words.ends[stop] or not words.text[following].isupper():
        return False
    before = words.text[max(0, at - _ABBREVIATION_REACH) : at + 1]
    return not ends_in_abbreviation(before, caption.tables)


def _read_events(caption: Caption, heading: int, first: int, end: int) -> None:
    """Read tokens `first` to before `end` as provenance; the heading goes with the first event."""
    words = caption.words
    start, stop = words.starts[first], words.ends[end - 1]
    events, parties = provenance_in(caption.text[start:stop], caption.tables)
    known = {party.name.casefold(): party.id for party in caption.parties}
    ids: dict[str, str] = {"": ""}
    added: list[Party] = []
    for party in parties:
        same = known.get(party.name.casefold())
        ids[party.id] = same or f"party-{len(caption.parties) + len(added) + 1}"
        if same is None:
            added.append(msgspec.structs.replace(party, id=ids[party.id]))
    caption.parties += tuple(added)
    for event in events:
        moved = msgspec.structs.replace(
            _moved(event, start),
            giver=ids[event.giver],
            receiver=ids[event.receiver],
            agent=ids[event.agent],
        )
        caption.take((moved,))
    if heading < first:
        caption.mark(words.starts[heading], words.ends[first - 1])


def _moved(statement: AnyStatement, offset: int) -> AnyStatement:
    """`statement` with its span moved by `offset` characters."""
    reading = statement.reading
    if reading is None or not offset:
        return statement
    moved = Reading(
        rule=reading.rule,
        confidence=reading.confidence,
        start=reading.start + offset,
        end=reading.end + offset,
    )
    return msgspec.structs.replace(statement, reading=moved)
