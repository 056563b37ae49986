"""Candidates as the stage sees them: a statement, its kind in law and the tokens of its words."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable
from typing import NamedTuple

from archivist.model.citations import Citation
from archivist.model.marks import Mark
from archivist.model.measurements import Measurement
from archivist.model.observations import Observation
from archivist.model.provenance import ProvenanceEvent
from archivist.model.records import Attribution, Feature, FeatureAspect, Relation, Title
from archivist.reading.result import ReadStatement
from archivist.reading.standing.law import Kind
from archivist.reading.words import Words

_KINDS: dict[type, Kind] = {
    Attribution: Kind.ATTRIBUTION,
    Feature: Kind.FEATURE,
    Measurement: Kind.SIZE,
    Mark: Kind.MARK,
    Observation: Kind.CONDITION,
    ProvenanceEvent: Kind.EVENT,
    Citation: Kind.EVENT,
    Relation: Kind.EVENT,
    Title: Kind.TITLE,
}

_NUMBERS = 255
_DAY = re.compile(r"-?\d{4}-\d{2}-\d{2}")


class Candidate(NamedTuple):
    """A statement that a reader found at tokens `first` to before `end`."""

    statement: ReadStatement
    kind: Kind
    first: int
    end: int


def candidates_of(words: Words, statements: Iterable[ReadStatement]) -> list[Candidate]:
    """The candidates of a text in their order."""
    found = []
    for statement in statements:
        reading = statement.reading
        first, end = (
            (0, len(words))
            if reading is None or reading.start >= reading.end
            else (_token_at(words, reading.start), words.at(reading.end))
        )
        found.append(Candidate(statement, _KINDS[type(statement)], first, max(end, first + 1)))
    return found


def _token_at(words: Words, position: int) -> int:
    """The token in which a character stands, else the first after it, else the last."""
    before = bisect_right(words.starts, position) - 1
    if before >= 0 and words.ends[before] > position:
        return before
    return max(0, min(before + 1, len(words) - 1))


def tokens_of(words: Words, found: Iterable[Candidate]) -> bytearray:
    """The tokens within values, in which no sign of denial or doubt is looked for; tokens of one
    value bear one number."""
    closed = bytearray(len(words))
    for number, one in enumerate(found):
        if one.kind is not Kind.TITLE:
            mark = bytes((number % _NUMBERS + 1,))
            closed[one.first : one.end] = mark * (min(one.end, len(words)) - one.first)
    return closed


def is_a_day(one: Candidate) -> bool:
    """A day of a month is that of a paper, a sale or a visit, unless the piece itself is dated."""
    statement = one.statement
    return (
        isinstance(statement, Attribution)
        and statement.date is not None
        and not statement.ground
        and _DAY.match(statement.date.edtf) is not None
    )


def is_a_form(one: Candidate) -> bool:
    return isinstance(one.statement, Feature) and one.statement.aspect is FeatureAspect.FORM


def is_a_colour(one: Candidate) -> bool:
    """Colours in a long text are of anything; what is right before the piece's noun is its own."""
    return isinstance(one.statement, Feature) and one.statement.aspect is FeatureAspect.COLOUR
