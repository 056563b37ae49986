"""Which of the forms that a text names is the piece, and which are other pieces."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from typing import NamedTuple

from archivist.reading.standing.candidates import Candidate, is_a_form
from archivist.reading.standing.effects import Effects
from archivist.reading.standing.passage import Passage
from archivist.reading.standing.signals import Sign
from archivist.reading.standing.small_words import (
    ANY_ARTICLE,
    BESIDE_WORDS,
    CALLS,
    IS,
    PARTS_NOUNS,
    THEIRS,
    THIS,
    WITH,
)
from archivist.reading.standing.subjects import Subject

ADJECTIVES = 4
"""Tokens before the piece's noun that may be words of any import."""
_NOUN_PHRASE = 8
_PREDICATE = 3


class Form(NamedTuple):
    """The form that names the piece: its tokens `first` to before `end`, -1 where there is none.

    `others` are the first tokens of the forms that name other pieces.
    """

    first: int
    end: int
    others: frozenset[int]


def form_of_the_piece(passage: Passage, effects: Mapping[int, Effects]) -> Form:
    """The first form of a text that nothing takes away."""
    forms = [c for c in passage.candidates if is_a_form(c)]
    others = frozenset(c.first for c in forms if _is_another(passage, c))
    for one in forms:
        taken = effects[id(one)].subject is not None or one.first in others
        topic = passage.topics.of(one.first)
        ours = topic is None or topic.subject in (Subject.PIECE, Subject.SELF)
        if ours and not taken and not _goes_with(passage, one):
            return Form(one.first, one.end, others)
    return Form(-1, -1, others)


def _is_another(passage: Passage, one: Candidate) -> bool:
    """Whether a form in a sentence is an object, or stands after a preposition and an article:
    'he swapped it for a commode', 'one grade below the Ming jar', "my aunt's bowl"."""
    folded = passage.words.folded
    phrase = passage.outline.phrases[one.first]
    before = folded[max(phrase.first, one.first - _NOUN_PHRASE) : one.first]
    if any(token in THEIRS or token.endswith("'s") for token in before[-ADJECTIVES:]):
        return True
    article = max((i for i, t in enumerate(before) if t in ANY_ARTICLE), default=-1)
    if article > 0 and before[article - 1] in BESIDE_WORDS:
        return True
    verb = passage.outline.verb_at.find(1, passage.outline.clauses[one.first].first, one.first)
    if verb < 0 or article < 0 or passage.topics.of(one.first) is None:
        return False
    predicate = before[:article][-_PREDICATE:]
    return not any(token in IS or token in CALLS for token in predicate)


def _goes_with(passage: Passage, one: Candidate) -> bool:
    """'With a carved stand': an accessory that goes with the piece, and is not it."""
    at = bisect_left(passage.accessories, one.first, key=lambda sign: sign.first)
    if at >= len(passage.accessories) or passage.accessories[at].first >= one.end:
        return False
    return not WITH.isdisjoint(passage.words.folded[max(0, one.first - ADJECTIVES) : one.first])


def is_called(passage: Passage, one: Candidate) -> bool:
    """'Cup and saucer', 'this bowl': a second form that is the piece's too."""
    folded = passage.words.folded
    before = folded[max(0, one.first - 3) : one.first]
    return any(word in THIS for word in before)


def is_before_the_noun(passage: Passage, form: Form, one: Candidate) -> bool:
    """A feature right before the noun of the piece: 'a celadon bowl'."""
    for index in range(one.end, min(len(passage.words), one.end + 3)):
        noun = passage.topics.nouns.get(index)
        if noun is not None and noun.entry.kind == "form":
            return index == form.first or form.first < 0
    return False


def names_another(passage: Passage, form: Form, one: Candidate) -> bool:
    """A feature right before a form that is not the piece's: 'beside a Meissen teapot'."""
    at = bisect_left(passage.forms, one.end)
    if at >= len(passage.forms) or passage.forms[at] - one.end > ADJECTIVES:
        return False
    between = passage.words.folded[one.end : passage.forms[at]]
    apart = any(not t.isalnum() or t in PARTS_NOUNS for t in between)
    return not apart and passage.forms[at] in form.others


def names_the_piece(passage: Passage, form: Form, sign: Sign) -> bool:
    """Whether the word for an accessory is the piece itself: 'a box', 'a cup stand'."""
    return form.first <= sign.first and sign.end <= form.end
