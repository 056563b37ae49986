"""Condition words into candidates: a term with its part and its extent, one walk a text.

Whether the words say that it is there, deny it or only looked for it is not decided here.
"""

from __future__ import annotations

from archivist.model.base import Reading
from archivist.model.observations import Observation
from archivist.reading.condition.beside import counts
from archivist.reading.condition.entries import TERMS, Entry, Lexicons, Seen, Waiting, lexicons
from archivist.reading.condition.forms import accents
from archivist.reading.condition.terms import (
    after_term,
    doubt,
    keep_if_done,
    observe,
    share_part,
    size_at,
)
from archivist.reading.result import Understood
from archivist.reading.standing import understood
from archivist.reading.standing.signals import languages_of
from archivist.reading.tables import Tables
from archivist.reading.words import Found, Words

_ENDS = frozenset(".;:\n!")
_SHORTENED = frozenset(("prob", "poss", "approx", "abt", "incl", "excl", "evtl", "vermutl", "env"))
"""Words whose full stop ends no sentence."""


def read_condition(text: str, tables: Tables) -> Understood:
    """The observations that `text` makes, in order."""
    words = Words(text)
    return understood(words, condition_in(words, tables), tables)


def condition_in(
    words: Words, tables: Tables, taken: bytearray | None = None
) -> tuple[Observation, ...]:
    """The observations that a text names, in order, as candidates.

    Tokens marked in `taken` have been read by others and end a phrase.
    """
    known = lexicons(tables)
    if known.terms.isdisjoint(words.folded) and not any(map(known.compounds.entry, words.folded)):
        return ()
    found = _found(words, known, taken, tables)
    seen = _walk(words, found, taken, known.dimensions)
    return tuple(_observation(one, part, words) for one in seen for part in one.parts or [""])


def _found(
    words: Words, known: Lexicons, taken: bytearray | None, tables: Tables
) -> dict[int, Found[Entry]]:
    """The words of condition where they stand, each in its own language and with its accents:
    'Stück' is not 'stuck', nor 'colle' 'collé'. A text without any accent may leave them out."""
    folded = words.folded
    if not known.slips.keys().isdisjoint(folded):
        folded = [known.slips.get(token, token) for token in folded]
    found = {f.first: f for f in known.everything.find(folded, taken)}
    for index, token in enumerate(folded):
        entry = None if index in found or (taken and taken[index]) else known.compounds.entry(token)
        if entry is not None:
            found[index] = Found(entry, index, index + 1)
    languages: frozenset[str] | None = None
    plain: bool | None = None
    for first, match in list(found.items()):
        scope = match.entry.languages
        if scope:
            if languages is None:
                languages = frozenset(languages_of(words.folded, tables))
            if scope.isdisjoint(languages):
                del found[first]
                continue
        written = accents(words.between(first, match.end))
        if written in match.entry.written:
            continue
        if plain is None:
            plain = not accents(words.text)
        if written or match.entry.strict or not plain:
            del found[first]
    return found


def _walk(
    words: Words,
    found: dict[int, Found[Entry]],
    taken: bytearray | None,
    dimensions: frozenset[str],
) -> list[Seen]:
    """Go through the tokens once, keeping the part and the extent that wait for a term."""
    folded = words.folded
    seen: list[Seen] = []
    waiting = Waiting()
    clause = 0
    index, length = 0, len(folded)
    while index < length:
        match = found.get(index)
        if taken is not None and taken[index]:
            waiting.forget()
            index += 1
        elif match is None:
            clause += _pass_by(words, index, waiting, seen, clause)
            index = _past_a_size(words, index, waiting, dimensions, found)
        elif match.entry.role in TERMS:
            if not counts(match, found, waiting, seen, words):
                index = match.end
                continue
            one = observe(match, found, waiting, words, clause)
            index = after_term(one, found, words)
            if not one.parts:
                one.parts = list(waiting.heading)
            share_part(seen, one)
            seen.append(one)
            waiting.extent_at = waiting.extent_end = -1
            if found.get(match.first - 1, match).entry.role == "part":
                keep_if_done(waiting, folded, match.end)
        else:
            _wait(match, waiting, seen, words)
            index = match.end
    return seen


def _pass_by(words: Words, index: int, waiting: Waiting, seen: list[Seen], clause: int) -> int:
    """A token that is no word of condition; 1 where a sentence ends at it."""
    token = words.folded[index]
    if token in _ENDS and not _is_decimal(words, index):
        if token != ":":
            waiting.forget()
            waiting.heading, waiting.subject = [], []
            return 1
        waiting.heading = list(waiting.parts)
    elif token == ",":
        waiting.forget()
    elif token == "?" and seen and seen[-1].clause == clause:
        doubt(seen[-1], index)
    return 0


def _past_a_size(
    words: Words,
    index: int,
    waiting: Waiting,
    dimensions: frozenset[str],
    found: dict[int, Found[Entry]],
) -> int:
    """The token after the one at `index`, or after the size or number that begins there."""
    folded = words.folded
    size = 0 if folded[index].isalpha() else size_at(folded, index)
    if size:
        if _is_of_the_piece(folded, index, dimensions):
            waiting.forget()
        else:
            waiting.extent_at = index if waiting.extent_end != index else waiting.extent_at
            waiting.extent_end = waiting.extent_stop = size
        return size
    if _counts_a_term(folded[index], found.get(index + 1)):
        waiting.extent_at, waiting.extent_end, waiting.extent_stop = index, index + 1, index + 1
    return index + 1


def _wait(match: Found[Entry], waiting: Waiting, seen: list[Seen], words: Words) -> None:
    """Let a word that is no term say which part or extent the next term has."""
    role = match.entry.role
    if role == "condition break":
        used = bool(seen) and seen[-1].end - 1 >= waiting.part_at
        if used:
            waiting.forget()
    elif role == "part":
        if waiting.part_at < 0 or not _joined_parts(words, waiting, match):
            waiting.parts = []
            waiting.part_at = match.first
        waiting.parts.append(match.entry.label)
        waiting.sort = match.entry.sort
        waiting.subject = waiting.subject or list(waiting.parts)
        waiting.part_end = match.end
        if waiting.extent_end == match.first:
            waiting.extent_end = match.end
    elif role == "extent":
        if waiting.extent_end != match.first:
            waiting.extent_at = match.first
        waiting.extent_end = waiting.extent_stop = match.end
    elif role == "condition none":
        waiting.forget()
    elif role == "article" and waiting.extent_end == match.first:
        waiting.extent_end = match.end


def _joined_parts(words: Words, waiting: Waiting, match: Found[Entry]) -> bool:
    """'Rim and foot': not so in 'rim chipped and foot worn'."""
    joined = match.first > 0 and words.folded[match.first - 1] in ("and", "&", "+")
    return joined and waiting.part_end == match.first - 1


def _is_of_the_piece(folded: list[str], index: int, dimensions: frozenset[str]) -> bool:
    """'D. 34 cm, hairline': a size that names its dimension is not how long the crack is."""
    before = index - 1
    while before > 0 and folded[before] in (".", ":", "="):
        before -= 1
    return before >= 0 and folded[before] in dimensions


def _counts_a_term(token: str, following: Found[Entry] | None) -> bool:
    """'2 chips': a number close before a term is how many there are."""
    counts = token.isdigit() and len(token) < 3
    return counts and following is not None and following.entry.role in TERMS


def _is_decimal(words: Words, index: int) -> bool:
    """A point within a number or after an abbreviation of one letter ends no sentence."""
    text, at = words.text, words.starts[index]
    if words.folded[index] != ".":
        return False
    shortened = index > 0 and words.folded[index - 1] in _SHORTENED
    return text[at + 1 : at + 2].isalnum() or shortened


def _observation(one: Seen, part: str, words: Words) -> Observation:
    assert one.entry.term is not None
    start, end = words.starts[one.first], words.ends[one.end - 1]
    return Observation(
        as_stated=words.text[start:end],
        certainty=one.certainty,
        reading=Reading(rule="condition term", confidence="0.9", start=start, end=end),
        term=one.entry.term,
        kind=one.entry.kind,
        part=part or one.entry.part,
        presence=one.presence,
        extent=one.extent,
    )
