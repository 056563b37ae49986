"""Condition words into observations: one walk through the tokens."""

from __future__ import annotations

from typing import NamedTuple

from archivist.model.base import Certainty, Reading
from archivist.model.observations import Observation, Presence
from archivist.reading.condition.entries import Entry, Scope, Seen, lexicons
from archivist.reading.condition.scope import ENDS, at_comma, govern, is_number
from archivist.reading.condition.terms import (
    after_term,
    doubt,
    keep_if_done,
    observe,
    share_part,
    size_at,
)
from archivist.reading.result import Question, Span, Understood
from archivist.reading.tables import Tables
from archivist.reading.words import (
    Found,
    Words,
    fillers,
    unread_spans,
)

_LOOSE_WORDS = 2
"""How many words that say nothing here may stand between a 'no' or 'possibly' and its term."""


class ConditionReading(NamedTuple):
    """The observations and questions of a text, without the account of what was not read."""

    statements: tuple[Observation, ...] = ()
    questions: tuple[Question, ...] = ()


def read_condition(text: str, tables: Tables) -> Understood:
    """The observations that `text` makes, in order."""
    words = Words(text)
    found = condition_in(words, tables)
    spans = [(s.reading.start, s.reading.end) for s in found.statements if s.reading is not None]
    return Understood(
        text=text,
        statements=found.statements,
        unread=unread_spans(words, spans, fillers(tables)),
        questions=found.questions,
    )


def condition_in(words: Words, tables: Tables, taken: bytearray | None = None) -> ConditionReading:
    """As `read_condition`, for readers that keep account of the words themselves.

    Tokens marked in `taken` have been read by others and end a phrase.
    """
    known = lexicons(tables)
    if known.terms.isdisjoint(words.folded):
        return ConditionReading()
    found = {f.first: f for f in known.everything.find(words.folded, taken)}
    seen = _walk(words, found, taken, known.dimensions)
    return _finished(seen, words)


def _walk(
    words: Words,
    found: dict[int, Found[Entry]],
    taken: bytearray | None,
    dimensions: frozenset[str],
) -> list[Seen]:
    """Go through the tokens once, keeping what is in force."""
    folded = words.folded
    seen: list[Seen] = []
    scope = Scope()
    clause = 0
    index, length = 0, len(folded)
    while index < length:
        match = found.get(index)
        token = folded[index]
        if taken is not None and taken[index]:
            scope.forget()
            scope.hedge = scope.undecided = -1
            scope.loose += 1
            index += 1
        elif match is None or (match.entry.role == "negation" and is_number(folded, match)):
            if token.isalpha():
                _pass_over_a_word(scope)
            elif token in ENDS and not _is_decimal(words, index):
                if token != ":":
                    scope.clear()
                    clause += 1
            elif token == ",":
                at_comma(scope, folded, found, index)
            elif token == "?" and seen and seen[-1].clause == clause:
                doubt(seen[-1], words, index)
            elif token in ("(", ")", "["):
                pass
            elif size := size_at(folded, index):
                if _is_of_the_piece(folded, index, dimensions):
                    scope.forget()
                else:
                    scope.extent_at = index if scope.extent_end != index else scope.extent_at
                    scope.extent_end = scope.extent_stop = size
                index = size - 1
            elif _counts_a_term(token, found.get(index + 1)):
                scope.extent_at, scope.extent_end, scope.extent_stop = index, index + 1, index + 1
            else:
                _pass_over_a_word(scope)
            index += 1
        elif match.entry.role in ("condition", "condition absent"):
            one = observe(match, scope, words, clause)
            index = after_term(one, found, words)
            share_part(seen, one)
            seen.append(one)
            scope.hedge = scope.undecided = -1
            scope.certainty = Certainty.CERTAIN
            scope.extent_at = scope.extent_end = -1
            scope.loose = 0
            if found.get(match.first - 1, match).entry.role == "part":
                keep_if_done(scope, folded, match.end)
        else:
            govern(match, scope, seen, found, words, clause)
            index = match.end
    return seen


def _pass_over_a_word(scope: Scope) -> None:
    """A word that says nothing here; after a few of them a 'no' or 'possibly' governs no more."""
    scope.loose += 1
    if scope.loose > _LOOSE_WORDS:
        scope.negation = scope.hedge = scope.undecided = -1


def _is_of_the_piece(folded: list[str], index: int, dimensions: frozenset[str]) -> bool:
    """'D. 34 cm, hairline': a size that names its dimension is not how long the crack is."""
    before = index - 1
    while before > 0 and folded[before] in (".", ":", "="):
        before -= 1
    return before >= 0 and folded[before] in dimensions


def _counts_a_term(token: str, following: Found[Entry] | None) -> bool:
    """'2 chips': a number close before a term is how many there are."""
    counts = token.isdigit() and len(token) < 3
    return counts and following is not None and following.entry.role == "condition"


def _is_decimal(words: Words, index: int) -> bool:
    """A point within a number or after an abbreviation of one letter ends no sentence."""
    text, at = words.text, words.starts[index]
    if words.folded[index] != ".":
        return False
    return text[at + 1 : at + 2].isalnum()


def _finished(seen: list[Seen], words: Words) -> ConditionReading:
    statements: list[Observation] = []
    questions: list[Question] = []
    for one in seen:
        start, end = words.starts[one.first], words.ends[one.end - 1]
        for part in one.parts or [one.entry.part]:
            statement = _observation(one, part, words.text, start, end)
            statements.append(statement)
            if one.ambiguous:
                questions.append(
                    Question(
                        span=Span(start=start, end=end),
                        asks=f"Does 'no' go for '{one.entry.label}' too?",
                        readings=(
                            (_observation(one, part, words.text, start, end, Presence.ABSENT),),
                            (_observation(one, part, words.text, start, end, Presence.PRESENT),),
                        ),
                    )
                )
    return ConditionReading(tuple(statements), tuple(questions))


def _observation(
    one: Seen, part: str, text: str, start: int, end: int, presence: Presence | None = None
) -> Observation:
    assert one.entry.term is not None
    return Observation(
        as_stated=text[start:end],
        certainty=one.certainty,
        reading=Reading(rule="condition term", confidence="0.9", start=start, end=end),
        term=one.entry.term,
        kind=one.entry.kind,
        part=part,
        presence=presence or one.presence,
        extent=one.extent,
    )
