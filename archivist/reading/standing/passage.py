"""A text as the stage sees it: its outline, signs and subjects, and what readers found in it."""

from __future__ import annotations

import functools
from bisect import bisect_left

from archivist.model.marks import Mark, MarkRelation
from archivist.model.observations import Observation, ObservationKind
from archivist.reading.standing.candidates import Candidate, is_a_form, tokens_of
from archivist.reading.standing.law import Kind, Position
from archivist.reading.standing.outline import Outline
from archivist.reading.standing.roles import OF, Roles, lone_phrases
from archivist.reading.standing.signals import languages_of, signs_in
from archivist.reading.standing.speakers import Speaker, named_before_colons, speakers_in
from archivist.reading.standing.subjects import Topics
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, fold

_SHORT = frozenset((Position.CAPTION, Position.PICTURE, Position.CELL, Position.OPINION))
_BRACKET_REACH = 12
"""Tokens back to the bracket in which a value stands."""
_MOST_SPEAKERS = 12
"""How many speakers before a value are looked at."""


class Passage:
    """A text with all that is looked up in it once, for each of its values.

    Of each of `faults`, as tokens first to before end, `repaired` says whether it is a repair;
    `forms` are the first tokens of forms, `periods` the words of marks 'and of the period'.
    `described` are the tokens of values other than dates, places and names; `known` those that say
    something by a rule, or nothing.
    """

    def __init__(
        self, words: Words, candidates: list[Candidate], tables: Tables, position: Position
    ) -> None:
        self.words = words
        self.position = position
        self.candidates = candidates
        languages = languages_of(words.folded, tables)
        signs, verbs = signs_in(words.folded, languages, tables)
        closed = tokens_of(words, candidates)
        told = tokens_of(words, [c for c in candidates if c.kind is not Kind.EVENT])
        self.outline = Outline(words, signs, verbs, closed, tables)
        self.signs = [s for s in signs if not told[s.first]]
        self.accessories = [s for s in signs if s.signal.effect == "accessory"]
        self.topics = Topics(
            self.outline, (*self.signs, *self.accessories), languages, closed, tables
        )
        self.every_denial = [s for s in signs if s.signal.effect in ("deny", "lack")]
        self.denials = [s for s in self.signs if s.signal.effect in ("deny", "lack")]
        self.friends = _false_friends(tables, tuple(languages))
        self.known = self._known(closed, tables)
        self.described = tokens_of(words, [c for c in candidates if c.kind is not Kind.ATTRIBUTION])
        faults = [c for c in candidates if c.kind is Kind.CONDITION]
        self.faults = [(c.first, c.end) for c in faults]
        self.repaired = [
            isinstance(c.statement, Observation) and c.statement.kind is ObservationKind.REPAIR
            for c in faults
        ]
        self.periods = [
            (c.first, c.end)
            for c in candidates
            if isinstance(c.statement, Mark) and c.statement.relation is MarkRelation.OF_THE_PERIOD
        ]
        self.forms = [c.first for c in candidates if is_a_form(c)]
        valued = tokens_of(
            words, [c for c in candidates if c.kind in (Kind.ATTRIBUTION, Kind.SIZE)]
        )
        self.roles = Roles(self.outline, signs, valued, self.topics)
        self.lone = lone_phrases(self.outline, candidates)
        nouns = self.topics.nouns
        speakers = speakers_in(self.outline, self.signs, closed, nouns)
        if position is Position.OPINION:
            speakers += named_before_colons(self.outline, self.signs, nouns, tables)
        self.speakers = sorted(speakers, key=lambda s: s.span.first)

    @property
    def is_short(self) -> bool:
        """Whether the text is a caption or a cell, and no prose."""
        return self.position in _SHORT

    def speaker_of(self, one: Candidate) -> Speaker | None:
        """Who says a value, as far as the text says so."""
        at = bisect_left(self.speakers, one.first + 1, key=lambda s: s.span.first)
        for speaker in reversed(self.speakers[max(0, at - _MOST_SPEAKERS) : at]):
            if one.first < speaker.span.end:
                return speaker
        return None

    def bracket(self, index: int) -> int:
        """The token of the bracket that is open at a token, -1 where none is."""
        for at in range(index - 1, max(0, index - _BRACKET_REACH) - 1, -1):
            if self.words.folded[at] in (")", "]"):
                return -1
            if self.words.folded[at] in ("(", "["):
                return at
        return -1

    def _known(self, closed: bytearray, tables: Tables) -> bytearray:
        """The tokens that say something by a rule, or nothing: all but unknown words."""
        known = bytearray(closed)
        for sign in self.signs:
            known[sign.first : sign.end] = b"\x01" * (sign.end - sign.first)
        small = fillers(tables)
        for index, token in enumerate(self.words.folded):
            plain = token in small or token in OF or not token[0].isalnum()
            if plain or index in self.topics.nouns:
                known[index] = 1
        return known


@functools.lru_cache(maxsize=32)
def _false_friends(tables: Tables, languages: tuple[str, ...]) -> frozenset[str]:
    """Words that in one language are none of the trade's, though they are in another."""
    rows = [row for row in tables.terms("false friend") if (row.language,) == languages]
    return frozenset(fold(name) for row in rows for name in row.variants)
