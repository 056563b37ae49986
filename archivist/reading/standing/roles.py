"""In which role a date, a place or a person stands, and what licenses it as that of the making."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from archivist.reading.standing.candidates import Candidate
from archivist.reading.standing.law import ROLES_OF_AN_ATTRIBUTION, Kind
from archivist.reading.standing.outline import Outline, Span
from archivist.reading.standing.reach import FARTHEST
from archivist.reading.standing.signals import Sign
from archivist.reading.standing.subjects import Noun, Subject, Topic, Topics
from archivist.reading.words import Found

_PREFIX = "role "
_BEFORE_A_PREDICATE = frozenset(
    (
        *(
            "a",
            "an",
            "the",
            "of",
            "from",
            "very",
            "clearly",
            "certainly",
            "surely",
            "late",
            "early",
        ),
        *(
            "ein",
            "eine",
            "aus",
            "vom",
            "der",
            "die",
            "das",
            "sicher",
            "un",
            "une",
            "du",
            "de",
            "la",
        ),
        *("le", "des", "een", "uit", "van", "het", "del", "della", "dal", "una", "el", "los", "no"),
        *("about", "circa", "c", "ca", ".", "still", "really", "only", "quite", "early"),
    )
)
"""Words between 'is' and a date which is its predicate: 'is clearly of the 1750s'."""
_CARRIED = frozenset(
    _PREFIX + name
    for name in ("made", "repaired", "altered", "sold", "collected", "lived", "tested", "depicted")
)
"""Roles that hold beyond a comma: 'sold, London, 1985'; not so in 'Xuande mark, 18th century'."""
_COPULAS = frozenset(
    ("is", "was", "are", "were", "be", "been", "as", "looks", "seems", "appears", "feels", "it's")
) | frozenset(("ist", "war", "sind", "waren", "scheint", "est", "sont", "était", "c'est", "è"))
_COPULAS |= frozenset(("sono", "era", "es", "son", "zijn", "waren", "lijkt", "semble", "sembra"))
OF = frozenset(("of", "from", "aus", "von", "vom", "de", "du", "des", "d", "uit", "van", "del"))
OF |= frozenset(("dal", "della", "dell'", "in", "im", "to", "um", "vers", "circa", "around"))
_PREDICATE_REACH = 4
_NOUN_AFTER = 4
"""Tokens between a date and the noun that it belongs to: 'this late Ming blue bowl'."""


_OURS = frozenset({Subject.PIECE, Subject.PART, Subject.SELF, Subject.UNKNOWN})


class Licence(NamedTuple):
    """In which role a candidate stands, and by what words; no words: nothing licenses it.

    `role` is one of an attribution, or 'other'; `name` is the role itself ('sold', 'repaired').
    """

    role: str
    words: str
    name: str = ""


class Roles:
    """Roles of candidates, by the signs nearest to them."""

    def __init__(
        self, outline: Outline, signs: Sequence[Sign], valued: bytearray, topics: Topics
    ) -> None:
        """`valued` marks the tokens within dates, places and sizes: 'bis' in 'Jin- bis Yuan-Zeit'
        says nothing of another date."""
        self.outline = outline
        self.topics = topics
        self.valued = valued
        self.hedged = bytearray(len(outline.words))
        for sign in signs:
            if sign.signal.effect in ("hedge", "deny", "neutral", "affirm", "contrast"):
                self.hedged[sign.first : sign.end] = b"\x01" * (sign.end - sign.first)
        roles = [s for s in signs if s.signal.effect.startswith(_PREFIX)]
        self.signs = [s for s in roles if not valued[s.first]]
        self._firsts = [s.first for s in self.signs]
        self._made = {s.first: s for s in roles if s.signal.effect == _PREFIX + "made"}

    def of(self, one: Candidate, topic: Topic | None, lone: Mapping[Span, bool]) -> Licence:
        """The role of a candidate, in a clause that speaks of `topic` (None: a fragment)."""
        outline = self.outline
        clause, phrase = outline.clauses[one.first], outline.phrases[one.first]
        if clause.first and outline.words.folded[clause.first - 1] == "(":
            # what stands in brackets has the role of what they stand beside
            clause = Span(outline.clauses[clause.first - 1].first, clause.end)
        first = bisect_left(self._firsts, max(clause.first, one.first - FARTHEST))
        end = bisect_left(self._firsts, min(clause.end, one.end + FARTHEST))
        own = self._made.get(one.first)
        if own is not None:  # 'dates from about 1715' is read as a whole
            return Licence("made", outline.words.between(own.first, own.end))
        signs = [s for s in self.signs[first:end] if not one.first <= s.first < one.end]
        near = self._nearest(one, [s for s in signs if _inside(s, phrase)])
        if near is None and topic is None and lone.get(phrase):
            carried = [s for s in signs if s.signal.effect in _CARRIED]
            near = self._nearest_before(one, carried, phrase, lone)
        if near is None and topic is not None:
            near = self._nearest(one, signs)
        if near is not None:
            name = near.signal.effect.removeprefix(_PREFIX)
            words = outline.words.between(near.first, near.end)
            return Licence(name if name in ROLES_OF_AN_ATTRIBUTION else "other", words, name)
        if topic is None:
            return Licence("made", "caption")
        return Licence("made", self._by_position(one, topic))

    def _by_position(self, one: Candidate, topic: Topic) -> str:
        """What licenses a candidate in prose without a verb of making: 'this Ming bowl', 'is
        Ming', 'a bowl of the 18th century'."""
        if topic.subject not in _OURS:
            return ""
        folded = self.outline.words.folded
        clause = self.outline.clauses[one.first]
        for index in range(one.end, min(clause.end, one.end + _NOUN_AFTER)):
            if folded[index] in (",", "and", "or"):
                break
            noun = self.topics.nouns.get(index)
            if noun is not None and noun.entry.kind == "form":
                return self.outline.words.between(index, noun.end)
        if topic.subject is Subject.UNKNOWN:
            return ""
        if one.first > clause.first + 1 and folded[one.first - 1] in OF:
            before = one.first - 2  # 'a cup of about 1752'
            if any(n.end == before + 1 and n.entry.kind == "form" for n in self._nouns_to(before)):
                return self.outline.words.between(before, one.first)
        for index in range(one.first - 1, max(clause.first, one.first - _PREDICATE_REACH) - 1, -1):
            if folded[index] in _COPULAS:
                return folded[index]
            if folded[index] not in _BEFORE_A_PREDICATE and not self.hedged[index]:
                return ""  # 'the jar was pawned in 1785'
        return ""

    def _nouns_to(self, index: int) -> list[Found[Noun]]:
        """The nouns that may end at a token."""
        starts = range(max(0, index - _NOUN_AFTER), index + 1)
        return [noun for at in starts if (noun := self.topics.nouns.get(at)) is not None]

    def _nearest(self, one: Candidate, signs: Sequence[Sign]) -> Sign | None:
        if not signs:
            return None
        return min(signs, key=lambda s: (_distance(s, one), s.first > one.first))

    def _nearest_before(
        self, one: Candidate, signs: Sequence[Sign], phrase: Span, lone: Mapping[Span, bool]
    ) -> Sign | None:
        """'Restored, London, 1985': a phrase that holds nothing else belongs to the one before."""
        outline = self.outline
        at = phrase.first
        while at > max(0, phrase.first - FARTHEST):
            before = self.outline.phrases[at - 1]
            if before.end != at or self.outline.clauses[before.first] != self.outline.clauses[at]:
                return None
            inside = [s for s in signs if _inside(s, before)]
            if inside:
                dated = any(
                    self.valued[i] and outline.words.folded[i][0].isdigit()
                    for i in range(before.first, before.end)
                )
                return None if dated else self._nearest(one, inside)
            if not lone.get(before):
                return None
            at = before.first
        return None


def _inside(sign: Sign, span: Span) -> bool:
    return span.first <= sign.first < span.end


def _distance(sign: Sign, one: Candidate) -> int:
    return one.first - sign.end if sign.end <= one.first else sign.first - one.end


def lone_phrases(outline: Outline, candidates: Sequence[Candidate]) -> dict[Span, bool]:
    """The phrases that hold an attribution and no other word: ', London, 1985,'."""
    folded = outline.words.folded
    closed = bytearray(len(folded))
    for one in candidates:
        if one.kind is Kind.ATTRIBUTION:
            closed[one.first : one.end] = b"\x01" * (min(one.end, len(folded)) - one.first)
    found: dict[Span, bool] = {}
    for phrase in dict.fromkeys(outline.phrases):
        others = sum(folded[i].isalnum() and not closed[i] for i in range(phrase.first, phrase.end))
        found[phrase] = others <= 1
    return found
