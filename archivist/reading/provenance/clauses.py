"""The clauses of a caption that tell of provenance, among all that it says."""

from __future__ import annotations

import functools
import re

import msgspec

from archivist.model.parties import Party
from archivist.reading.caption import CLAUSE_ENDS, Caption
from archivist.reading.citations.clauses import clause_starts, moved_by, tells_of_piece
from archivist.reading.citations.cues import CitedAs, heading_at
from archivist.reading.feature_names import descriptions
from archivist.reading.level import either, level
from archivist.reading.provenance.read import history_in
from archivist.reading.sentences import ends_in_abbreviation
from archivist.reading.tables import Tables
from archivist.reading.words import Lexicon

_TRAILING = CLAUSE_ENDS | {"(", "-", "–"}
_SENTENCE_ENDS = frozenset(";\n")
_ABBREVIATION_REACH = 20
_SENTENCE = 60


@functools.lru_cache(maxsize=8)
def _cues(tables: Tables) -> Lexicon[str]:
    """The words that begin a clause of provenance."""
    return Lexicon(
        (name, row.label) for row in tables.terms("provenance cue") for name in row.variants
    )


def take_headed_provenance(caption: Caption) -> None:
    """'Provenance: ...' goes to the end of its section, whatever events and citations are in it.

    A section is a line; where the heading stands alone, or a line ends in the middle of a list,
    the next line belongs to it, until one is left empty or has a heading of its own.
    """
    text = caption.text
    if not _heading_words(caption.tables).search(plain := level(text)):
        return
    end = 0
    for start in clause_starts(text, caption.tables):
        heading = heading_at(text, plain, start, caption.tables)
        if start < end or heading is None or heading.cited is not CitedAs.PROVENANCE:
            continue
        end = _section_end(text, plain, heading.end, caption.tables)
        first, stop = caption.words.at(heading.start), caption.words.at(end)
        body = caption.words.at(heading.end)
        if stop > body and not any(caption.taken[first:stop]):
            _read_events(caption, first, body, stop)


@functools.lru_cache(maxsize=8)
def _heading_words(tables: Tables) -> re.Pattern[str]:
    names = either(name for row in tables.terms("heading") for name in row.variants)
    return re.compile(rf"(?<![^\W_])(?:{names})\s*(?::|\n)")


def _section_end(text: str, plain: str, start: int, tables: Tables) -> int:
    """Where the section that begins at `start` ends."""
    line = start + len(text[start:]) - len(text[start:].lstrip())
    while True:
        end = text.find("\n", line)
        end = len(text) if end < 0 else end
        for at in clause_starts(text[line:end], tables):
            heading = heading_at(text, plain, line + at, tables)
            if heading is not None and heading.cited is CitedAs.OTHER:
                return line + at
            sentence = plain[line + at : end].lstrip()
            if at and text[line + at - 1] == "." and tells_of_piece(sentence[:_SENTENCE], tables):
                return line + at
        goes_on = text[line:end].rstrip()[-1:] in (";", ",")
        following = end + 1
        alone = (
            text[start:line].strip(" \t") == "\n" and text[following : following + 1] not in "\n"
        )
        if following >= len(text) or not (goes_on or alone):
            return end
        if heading_at(text, plain, following, tables) is not None:
            return end
        line = following


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
    events, citations, parties = history_in(caption.text[start:stop], caption.tables)
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
            moved_by(event, start),
            giver=ids[event.giver],
            receiver=ids[event.receiver],
            agent=ids[event.agent],
        )
        caption.take((moved,))
    caption.take(tuple(moved_by(one, start) for one in citations))
    if heading < first:
        caption.mark(words.starts[heading], words.ends[first - 1])
