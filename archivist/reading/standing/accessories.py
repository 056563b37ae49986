"""The parts and accessories that a value is of: a stand, a box, handles."""

from __future__ import annotations

from bisect import bisect_left

from archivist.model.measurements import Measurement
from archivist.model.observations import Observation
from archivist.reading.standing.candidates import Candidate, is_a_form
from archivist.reading.standing.forms import Form, names_the_piece
from archivist.reading.standing.law import Kind
from archivist.reading.standing.outline import Span as Tokens
from archivist.reading.standing.passage import Passage
from archivist.reading.standing.reach import FARTHEST
from archivist.reading.standing.signals import Sign
from archivist.reading.standing.subjects import Subject

_OF_PARTS = frozenset({Kind.ATTRIBUTION, Kind.FEATURE, Kind.SIZE, Kind.CONDITION})
_MOST_ACCESSORIES = 12
"""How many words for parts before a value are looked at."""
_ACCESSORY_BEFORE = 4
_ACCESSORY_AFTER = 2


def accessory_of(passage: Passage, form: Form, one: Candidate, fragment: bool) -> str:
    """The part of which a value in a fragment is: 'on a wood stand, 12 cm'."""
    if one.kind not in _OF_PARTS or is_a_form(one):
        return ""
    if isinstance(one.statement, Observation) and (one.statement.part or not fragment):
        return ""
    if one.kind is Kind.SIZE and isinstance(one.statement, Measurement) and one.statement.part:
        return ""
    outline = passage.outline
    phrase = outline.phrases[one.first]
    span = phrase if not fragment else _with_lone_before(passage, phrase)
    at = bisect_left(passage.accessories, span.first, key=lambda sign: sign.first)
    for sign in passage.accessories[at : at + _MOST_ACCESSORIES]:
        if not span.first <= sign.first < phrase.end or names_the_piece(passage, form, sign):
            continue
        near = (
            one.first - _ACCESSORY_BEFORE <= sign.end <= one.first
            or one.end <= sign.first <= one.end + _ACCESSORY_AFTER
            or sign.first < phrase.first
            or sign.first <= one.first < sign.end
        )
        if near and not _form_between(passage, sign, one):
            return passage.words.between(sign.first, sign.end)
    return ""


def _with_lone_before(passage: Passage, phrase: Tokens) -> Tokens:
    at = phrase.first
    clause = passage.outline.clauses[phrase.first]
    named = bisect_left(passage.forms, clause.first)
    if named < len(passage.forms) and passage.forms[named] < phrase.first:
        return phrase  # 'vase in a fitted box, Satsuma': of the vase
    while at > phrase.first - FARTHEST and passage.lone.get(phrase) and at > clause.first:
        before = passage.outline.phrases[at - 1]
        at = before.first
        if not passage.lone.get(before):
            break
    return Tokens(at, phrase.end)


def _form_between(passage: Passage, sign: Sign, one: Candidate) -> bool:
    first, end = sorted((sign.first, one.first))
    at = bisect_left(passage.forms, first + 1)
    return at < len(passage.forms) and passage.forms[at] < end


def part_beside(passage: Passage, one: Candidate) -> str:
    """The part that a feature is right before, or that its clause speaks of: 'brass handles',
    'the feet are carved'."""
    if is_a_form(one):
        return ""
    for at in range(one.end, one.end + 2):
        noun = passage.topics.nouns.get(at)
        if noun is not None and noun.entry.kind == "part" and noun.entry.own:
            return passage.words.between(noun.first, noun.end)
    topic = passage.topics.of(one.first)
    return topic.part if topic is not None and topic.subject is Subject.PIECE else ""
