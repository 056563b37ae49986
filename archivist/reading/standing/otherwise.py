"""What a value is instead, where its words make it no value of the piece."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable

from archivist.model.measurements import Dimension, Measurement
from archivist.reading.standing.candidates import Candidate
from archivist.reading.standing.law import Kind, Position
from archivist.reading.standing.outline import Span as Tokens
from archivist.reading.standing.passage import Passage
from archivist.reading.standing.small_words import APART, ARTICLES, IS, REIGNED, WHAT
from archivist.reading.standing.subjects import Subject

_NAME_REACH = 4
"""Tokens of a name before a bracket, particles among them: 'Jean Michel Moreau le Jeune'."""
_OF_A_WHOLE = frozenset({Dimension.HEIGHT, Dimension.DIAMETER, Dimension.WEIGHT})
_BESIDE = 2
"""Tokens between a fault and its size."""
_CALLED_WITHIN = 12


def otherwise(passage: Passage, one: Candidate) -> tuple[Subject, str] | None:
    """Of what else a value is, and what it is, None where it may be one of the piece."""
    for kind, is_so, of, what in _OTHERWISE:
        if kind in (None, one.kind) and is_so(passage, one):
            return of, what
    return None


def _is_a_distance(passage: Passage, one: Candidate) -> bool:
    """'12 inches too high', '50 cm below the floor': how far, and no size of the piece."""
    return passage.words.folded[one.end : one.end + 1] in ([word] for word in APART)


def _is_a_figure(passage: Passage, one: Candidate) -> bool:
    """'As Ming as the linoleum'."""
    folded = passage.words.folded
    as_before = folded[max(0, one.first - 1) : one.first] == ["as"]
    return as_before and folded[one.end : one.end + 1] == ["as"]


def _is_a_false_friend(passage: Passage, one: Candidate) -> bool:
    """Whether a value is another word in the language of the text: German 'Stück', 'Spur'."""
    return one.end - one.first == 1 and passage.words.folded[one.first] in passage.friends


def _is_of_a_fault(passage: Passage, one: Candidate) -> bool:
    """'Ground by 1 mm', 'a 1.5 cm wide fill': a size without a dimension of its own, right
    beside a fault."""
    size = one.statement
    if not isinstance(size, Measurement) or size.dimension in _OF_A_WHOLE:
        return False
    phrase = passage.outline.phrases[one.first]
    at = bisect_left(passage.faults, (one.first, 0))
    for first, end in passage.faults[max(0, at - 1) : at + 1]:
        beside = 0 <= one.first - end <= _BESIDE or 0 <= first - one.end <= _BESIDE
        if beside and phrase.first <= first < phrase.end:
            return True
        follows = end <= phrase.first <= end + 1 and phrase.first <= one.first
        if follows and passage.position is Position.DESCRIPTION and _opens(passage, one, phrase):
            return True
    return False


def _opens(passage: Passage, one: Candidate, phrase: Tokens) -> bool:
    """Whether a value is the first of its phrase."""
    return not any(t.isalnum() for t in passage.words.folded[phrase.first : one.first])


def _is_called_otherwise(passage: Passage, one: Candidate) -> bool:
    """'The hairline is a scratch', 'what looks like a crack is a hair'."""
    clause = passage.outline.clauses[one.first]
    seems = passage.words.folded[clause.first] in WHAT
    if seems and not IS.isdisjoint(passage.words.folded[one.end : clause.end]):
        return True
    at = bisect_left(passage.faults, (one.end, 0))
    if at >= len(passage.faults):
        return False
    following = passage.faults[at][0]
    if passage.repaired[at]:
        return False  # 'two short tears are repaired'
    between = passage.words.folded[one.end : following]
    if following >= clause.end or len(between) > _CALLED_WITHIN:
        return False
    copulas = [i for i, token in enumerate(between) if token in IS]
    return bool(copulas) and not any(
        token.isalpha() and token not in ARTICLES for token in between[copulas[-1] + 1 :]
    )


def is_a_life(passage: Passage, one: Candidate) -> bool:
    """'Tobias Wren (Fenton 1731 - Delft 1799)': dates in brackets after a name."""
    words = passage.words
    bracket = passage.bracket(one.first)
    if bracket < 2 or not REIGNED.isdisjoint(words.folded[bracket : one.end]):
        return False
    names = [
        i
        for i in range(max(0, bracket - _NAME_REACH), bracket)
        if words.folded[i].isalpha()
        and not passage.known[i]
        and words.text[words.starts[i]].isupper()
    ]
    return len(names) > 1 and names[-1] == bracket - 1


_OTHERWISE: tuple[tuple[Kind | None, Callable[[Passage, Candidate], bool], Subject, str], ...] = (
    (None, _is_a_false_friend, Subject.UNKNOWN, "another word"),
    (None, _is_a_figure, Subject.UNKNOWN, "another word"),
    (Kind.SIZE, _is_a_distance, Subject.UNKNOWN, "a distance"),
    (Kind.SIZE, _is_of_a_fault, Subject.PIECE, "the size of a fault"),
    (Kind.CONDITION, _is_called_otherwise, Subject.PIECE, "said to be something else"),
)
"""Kinds of values (None: all), when they are something else, of what and what it is. In order."""
