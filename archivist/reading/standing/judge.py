"""The one stage: what every candidate of a text becomes."""

from __future__ import annotations

import functools
import re
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import msgspec

from archivist.model import edtf
from archivist.model.base import Certainty, Polarity
from archivist.model.dates import Date
from archivist.model.marks import Mark, MarkRelation
from archivist.model.measurements import Dimension, Measurement
from archivist.model.observations import Observation, ObservationKind, Presence
from archivist.model.parties import Party
from archivist.model.records import Attribution, AttributionRole, Feature, FeatureAspect
from archivist.reading.result import Mention, Question, ReadStatement, Span
from archivist.reading.standing.candidates import Candidate, candidates_of, tokens_of
from archivist.reading.standing.law import Kind, Outcome, Position, article_for
from archivist.reading.standing.outline import Outline, quotations
from archivist.reading.standing.outline import Span as Tokens
from archivist.reading.standing.reach import FARTHEST, Reach
from archivist.reading.standing.roles import OF, Licence, Roles, lone_phrases
from archivist.reading.standing.signals import Sign, languages_of, signs_in
from archivist.reading.standing.speakers import Speaker, named_before_colons, speakers_in
from archivist.reading.standing.subjects import Subject, Topic, Topics
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, fold

_ORDER = tuple(Certainty)

_SUBJECTS: Mapping[str, Subject] = {
    "other": Subject.OTHER,
    "companion": Subject.OTHER,
    "model": Subject.OTHER,
    "photograph": Subject.PHOTOGRAPH,
    "publication": Subject.PUBLICATION,
    "exhibition": Subject.EXHIBITION,
    "generic": Subject.TRADE,
    "wanted": Subject.TRADE,
    "style": Subject.OTHER,
    "than": Subject.OTHER,
}
"""Signs that make what they govern that of something else."""

_POLARITIES: Mapping[str, Polarity] = {
    "conditional": Polarity.CONDITIONAL,
    "modal": Polarity.CONDITIONAL,
    "sought": Polarity.SOUGHT,
    "ask": Polarity.ASKED,
    "question": Polarity.ASKED,
    "former": Polarity.FORMER,
    "claim": Polarity.CLAIMED,
    "reported as": Polarity.CLAIMED,
}


class Judged(NamedTuple):
    """What became of the candidates of a text."""

    statements: tuple[ReadStatement, ...]
    mentions: tuple[Mention, ...]
    questions: tuple[Question, ...]
    parties: tuple[Party, ...]


@dataclass(slots=True)
class _Effects:
    """What the signs that govern a candidate do with it."""

    certainty: Certainty = Certainty.CERTAIN
    denials: int = 0
    affirmed: bool = False
    polarity: Polarity = Polarity.ASSERTED
    subject: Subject | None = None
    undecided: bool = False
    ambiguous: bool = False
    borrowed: str = ""
    signs: list[Sign] = field(default_factory=list)


def judged(
    words: Words,
    statements: Iterable[ReadStatement],
    tables: Tables,
    position: Position,
    parties: Sequence[Party] = (),
) -> Judged:
    """What each of `statements`, found in `words`, becomes by what the text does with it."""
    candidates = candidates_of(words, statements)
    if not candidates:
        return Judged((), (), (), tuple(parties))
    return _Judge(words, candidates, tables, position, parties).result()


class _Judge:
    def __init__(
        self,
        words: Words,
        candidates: list[Candidate],
        tables: Tables,
        position: Position,
        parties: Sequence[Party],
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
        self.known = self._known(closed, tables)
        self.described = tokens_of(words, [c for c in candidates if c.kind is not Kind.ATTRIBUTION])
        self.faults = [(c.first, c.end) for c in candidates if c.kind is Kind.CONDITION]
        self.periods = [
            (c.first, c.end)
            for c in candidates
            if isinstance(c.statement, Mark) and c.statement.relation is MarkRelation.OF_THE_PERIOD
        ]
        self.repaired = [
            isinstance(c.statement, Observation) and c.statement.kind is ObservationKind.REPAIR
            for c in candidates
            if c.kind is Kind.CONDITION
        ]
        self.forms = [c.first for c in candidates if _is_a_form(c)]
        self.friends = _false_friends(tables, tuple(languages))
        self.every_denial = [s for s in signs if s.signal.effect in ("deny", "lack")]
        self.denials = [s for s in self.signs if s.signal.effect in ("deny", "lack")]
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
        self.effects = self._effects()
        self.parties = {party.name: party for party in parties}
        self.statements: list[ReadStatement] = []
        self.dated: dict[int, Date] = {}
        self.mentions: list[Mention] = []
        self.questions: list[Question] = []
        self.others = frozenset(
            c.first for c in candidates if _is_a_form(c) and self._is_another(c)
        )
        self._form_end = -1
        self._form: int = self._first_form()

    def result(self) -> Judged:
        for one in self.candidates:
            self._judge(one)
        for place, date in self.dated.items():
            observation = self.statements[place]
            if isinstance(observation, Observation):
                self.statements[place] = msgspec.structs.replace(observation, date=date)
        return Judged(
            tuple(self.statements),
            tuple(self.mentions),
            tuple(self.questions),
            tuple(self.parties.values()),
        )

    # What the signs do

    def _effects(self) -> dict[int, _Effects]:
        effects = {id(c): _Effects() for c in self.candidates}
        reach = Reach(self.outline, self.candidates, self.signs)
        for sign in self.signs:
            effect = sign.signal.effect
            if effect not in _EFFECTS or not self._holds(sign):
                continue
            for candidate in reach.governed(sign):
                members = self.position is Position.CELL and candidate.kind is Kind.CONDITION
                if effect == "companion" and members:
                    continue  # of a pair: 'one chipped, the other not'
                _EFFECTS[effect](effects[id(candidate)], sign)
                effects[id(candidate)].signs.append(sign)
                effects[id(candidate)].borrowed += reach.shared_part(sign)
            if effect in ("deny", "lack"):
                for candidate in reach.ambiguous(sign):
                    effects[id(candidate)].ambiguous = True
        self._deny_within(effects)
        self._suppose(effects)
        quoted = self._quoted()
        for one in self.candidates:
            if one.kind is not Kind.MARK and quoted[one.first]:
                _claimed(effects[id(one)])
            elif self._is_one_of_two_asked(one):
                effects[id(one)].polarity = Polarity.ASKED
            undenied = one.kind is Kind.CONDITION and not effects[id(one)].denials
            if undenied and self._is_an_alternative(one):
                _doubt(effects[id(one)])
        return effects

    def _deny_within(self, effects: Mapping[int, _Effects]) -> None:
        """'The rim is free of chips': a denial between a part and its fault is of the fault."""
        at = 0
        faults = [c for c in self.candidates if c.kind is Kind.CONDITION]
        for sign in self.every_denial:
            while at < len(faults) and faults[at].end <= sign.first:
                at += 1
            if at < len(faults) and faults[at].first < sign.first and sign.end < faults[at].end:
                effects[id(faults[at])].denials += 1

    def _suppose(self, effects: Mapping[int, _Effects]) -> None:
        """'Had it a foot ring, Ming would be possible': a sentence that begins with its verb."""
        folded = self.words.folded
        supposed = [
            s
            for s in self.outline.sentences
            if folded[s.first] in _INVERTED and folded[s.end - 1] != "?" and s.end - s.first > 3
        ]
        for sentence in supposed:
            at = bisect_left(self.candidates, sentence.first, key=lambda c: c.first)
            for one in self.candidates[at:]:
                if one.first >= sentence.end:
                    break
                effects[id(one)].polarity = Polarity.CONDITIONAL

    def _is_an_alternative(self, one: Candidate) -> bool:
        """'Chip or firing flaw': neither is held for certain."""
        folded = self.words.folded
        at = bisect_left(self.faults, (one.first, 0))
        for first, end in self.faults[max(0, at - 1) : at + 2]:
            gap = folded[one.end : first] if one.end <= first else folded[end : one.first]
            if gap and len(gap) <= _BESIDE and gap[0] in _OR:
                return True
        return False

    def _is_one_of_two_asked(self, one: Candidate) -> bool:
        """'Chelsea or Derby?', 'Would a Chelsea plate ring like this?': what a question offers."""
        sentence = self.outline.sentences[self.outline.sentence_of[one.first]]
        folded = self.words.folded[sentence.first : min(sentence.end, sentence.first + FARTHEST)]
        asked = folded[-1:] == ["?"]
        if one.kind not in (Kind.ATTRIBUTION, Kind.FEATURE, Kind.CONDITION) or not asked:
            return False
        whole = sentence.verb >= 0 and one.first > sentence.verb
        short = sentence.end - sentence.first <= _SHORT_QUESTION and sentence.end < len(self.words)
        whole = whole or (sentence.verb < 0 and short)
        return whole or (one.kind is not Kind.CONDITION and not _OR.isdisjoint(folded))

    def _holds(self, sign: Sign) -> bool:
        """Whether a sign is one here: words that ask only in a question, and of two denials side
        by side neither."""
        if sign.signal.effect == "question":
            sentence = self.outline.sentences[self.outline.sentence_of[sign.first]]
            return "?" in self.words.folded[sign.end : sentence.end]
        if sign.signal.effect == "reported as":
            return self._reports(sign)
        if sign.signal.effect not in ("deny", "lack"):
            return True
        at = bisect_left(self.denials, sign.first, key=lambda other: other.first)
        near = self.denials[max(0, at - 2) : at + 3]
        return not any(o.end == sign.first or o.first == sign.end for o in near)

    def _reports(self, sign: Sign) -> bool:
        """'Priced as Qianlong', 'shown (as Chelsea)': 'as' after a participle, before a name."""
        first = max(0, sign.first - _PARTICIPLE_REACH)
        before = self.words.folded[first : sign.first]
        named = any(sign.end <= c.first <= sign.end + 1 for c in self.candidates)
        return named and any(t in _TOLD or (t.endswith("ed") and len(t) > 4) for t in before)

    def _quoted(self) -> bytearray:
        """The tokens within double quotation marks, where not all of the text stands in them."""
        marked = bytearray(len(self.words))
        for first, end in quotations(self.words):
            if end - first < len(self.words) - 3:
                marked[first:end] = b"\x01" * (end - first)
        return marked

    def _judge(self, one: Candidate) -> None:
        effects = self.effects[id(one)]
        topic = self.topics.of(one.first)
        fragment = topic is None
        part = ""
        subject = effects.subject or (topic.subject if topic else Subject.PIECE)
        if topic is not None and subject is Subject.PART:
            part = topic.part
        if self._is_a_false_friend(one) or self._is_a_figure(one):
            self._mention(one, Subject.UNKNOWN, "", "another word")
            return
        if one.kind is Kind.SIZE and self._is_a_distance(one):
            self._mention(one, Subject.UNKNOWN, "", "a distance")
            return
        if one.kind is Kind.SIZE and self._is_of_a_fault(one):
            self._mention(one, Subject.PIECE, "", "the size of a fault")
            return
        if one.kind is Kind.CONDITION and self._is_called_otherwise(one):
            self._mention(one, Subject.PIECE, "", "said to be something else")
            return
        if effects.subject is None and one.kind in (Kind.ATTRIBUTION, Kind.FEATURE):
            head = self.topics.head(one.first) if fragment else None
            if head is not None and (one.kind is Kind.ATTRIBUTION or head.subject in _PERSONS):
                subject, part = head.subject, head.part
            if self._is_a_life(one):
                subject = Subject.PERSON
        if not effects.subject and (accessory := self._accessory(one, fragment)):
            subject, part = Subject.PART, accessory
        speaker = self._speaker(one)
        if self.position is Position.OPINION and effects.subject is None and speaker is not None:
            # a cell of opinions is of this piece, whoever is the subject of 'says'
            subject = Subject.PART if part else Subject.PIECE
        licence = self._licence(one, topic, speaker)
        work = self._work_dated_by(one, licence)
        if work is not None and isinstance(one.statement, Attribution) and one.statement.date:
            self.dated[work] = one.statement.date
            licence = Licence("other", licence.words, "repaired")
        polarity = effects.polarity
        reported = polarity in (Polarity.CLAIMED, Polarity.FORMER) and one.kind is Kind.CONDITION
        supposed = polarity is Polarity.CONDITIONAL
        kept = effects.affirmed or reported or supposed or self._is_contrary(one)
        if effects.denials and not kept:
            polarity = Polarity.SOUGHT if effects.polarity is Polarity.SOUGHT else Polarity.DENIED
        article = article_for(one.kind, subject, licence.role, polarity)
        outcome = article.outcome
        reported = polarity in _REPORTED and self.position in _SHORT
        if (
            outcome is Outcome.STATEMENT
            and not reported
            and not self._is_licensed(one, subject, licence, speaker)
        ):
            outcome = self._of_the_unlicensed(one, subject)
        if outcome is Outcome.MENTION:
            why = article.why if article.outcome is Outcome.MENTION else "no licence"
            role = licence.name if one.kind is Kind.ATTRIBUTION else ""
            self._mention(one, subject, role, why)
            return
        statement = self._filed(one, effects, licence, polarity, part, speaker)
        if statement.certainty is not Certainty.REJECTED:
            statement = _at_most(statement, article.certainty)
        if effects.ambiguous and isinstance(statement, Observation):
            self._ask_of_a_list(statement)
        elif outcome is Outcome.QUESTION:
            self._ask(one, statement, polarity)
        else:
            self.statements.append(statement)

    def _is_contrary(self, one: Candidate) -> bool:
        """Whether a 'not' beside a value does not deny it: 'without the crack it would be perfect',
        'nothing Venetian about this goblet'."""
        folded = self.words.folded
        if _is_a_form(one):
            return not _THIS.isdisjoint(folded[max(0, one.first - 2) : one.first])
        if one.kind is not Kind.CONDITION:
            return False
        sentence = self.outline.sentences[self.outline.sentence_of[one.first]]
        end = min(sentence.end, one.end + FARTHEST)
        named = not _THE.isdisjoint(folded[max(0, one.first - 2) : one.first + 1])
        return named and not _WOULD.isdisjoint(folded[one.end : end])

    def _is_a_distance(self, one: Candidate) -> bool:
        """'12 inches too high', '50 cm below the floor': how far, and no size of the piece."""
        return self.words.folded[one.end : one.end + 1] in ([word] for word in _APART)

    def _is_a_figure(self, one: Candidate) -> bool:
        """'As Ming as the linoleum'."""
        folded = self.words.folded
        as_before = folded[max(0, one.first - 1) : one.first] == ["as"]
        return as_before and folded[one.end : one.end + 1] == ["as"]

    def _is_a_false_friend(self, one: Candidate) -> bool:
        """Whether a value is another word in the language of the text: German 'Stück', 'Spur'."""
        return one.end - one.first == 1 and self.words.folded[one.first] in self.friends

    def _mention(self, one: Candidate, subject: Subject, role: str, why: str) -> None:
        self.mentions.append(Mention(statement=one.statement, of=subject.value, role=role, why=why))

    def _is_of_a_fault(self, one: Candidate) -> bool:
        """'Ground by 1 mm', 'a 1.5 cm wide fill': a size without a dimension of its own, right
        beside a fault."""
        size = one.statement
        if not isinstance(size, Measurement) or size.dimension in _OF_A_WHOLE:
            return False
        phrase = self.outline.phrases[one.first]
        at = bisect_left(self.faults, (one.first, 0))
        for first, end in self.faults[max(0, at - 1) : at + 1]:
            beside = 0 <= one.first - end <= _BESIDE or 0 <= first - one.end <= _BESIDE
            if beside and phrase.first <= first < phrase.end:
                return True
            follows = end <= phrase.first <= end + 1 and phrase.first <= one.first
            if follows and self.position is Position.DESCRIPTION and self._opens(one, phrase):
                return True
        return False

    def _opens(self, one: Candidate, phrase: Tokens) -> bool:
        """Whether a value is the first of its phrase."""
        return not any(t.isalnum() for t in self.words.folded[phrase.first : one.first])

    def _is_called_otherwise(self, one: Candidate) -> bool:
        """'The hairline is a scratch', 'what looks like a crack is a hair'."""
        clause = self.outline.clauses[one.first]
        seems = self.words.folded[clause.first] in _WHAT
        if seems and not _IS.isdisjoint(self.words.folded[one.end : clause.end]):
            return True
        at = bisect_left(self.faults, (one.end, 0))
        if at >= len(self.faults):
            return False
        following = self.faults[at][0]
        if self.repaired[at]:
            return False  # 'two short tears are repaired'
        between = self.words.folded[one.end : following]
        clause = self.outline.clauses[one.first]
        if following >= clause.end or len(between) > _CALLED_WITHIN:
            return False
        copulas = [i for i, token in enumerate(between) if token in _IS]
        return bool(copulas) and not any(
            token.isalpha() and token not in _ARTICLES for token in between[copulas[-1] + 1 :]
        )

    def _work_dated_by(self, one: Candidate, licence: Licence) -> int | None:
        """The repair or damage right before a date, whose date it is: 'restored 1985'.

        Given by its place among the statements; None where there is none.
        """
        statement = one.statement
        if not isinstance(statement, Attribution) or statement.date is None:
            return None
        at = bisect_left(self.faults, (one.first, 0)) - 1
        if at < 0 or licence.role in ("decorated", "mounted") or licence.name == "sold":
            return None
        first, end = self.faults[at]
        phrase = self.outline.phrases[one.first]
        near = phrase.first <= first or (self.lone.get(phrase) and end >= phrase.first - 1)
        if not near or any(self.described[end : one.first]):
            return None
        return next(
            (
                place
                for place in range(len(self.statements) - 1, -1, -1)
                if isinstance(observed := self.statements[place], Observation)
                and observed.kind in _WORK
                and observed.presence is Presence.PRESENT
                and observed.reading is not None
                and observed.reading.end <= self.words.starts[one.first]
            ),
            None,
        )

    # Licences

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

    def _is_weighed(self, one: Candidate, subject: Subject) -> bool:
        """'Ming, I would say', 'cannot rule out Ming': who weighs a value speaks of the piece."""
        hedged = any(s.signal.effect == "hedge" for s in self.effects[id(one)].signs)
        if subject is Subject.SELF:
            return hedged
        return hedged and self.position in _SHORT and subject in (Subject.PIECE, Subject.UNKNOWN)

    def _dates_another(self, one: Candidate) -> bool:
        """'A dish dated 1531': a participle goes with the noun before it, here of another piece."""
        folded = self.words.folded
        if folded[one.first] not in _DATED or self.topics.of(one.first) is None:
            return False
        before = folded[max(0, one.first - _ADJECTIVES) : one.first]
        return any(token in _SOME for token in before)

    def _stands_alone(self, one: Candidate) -> bool:
        """Whether no word of unknown import stands between a value and what is known beside it.

        'Rare bowl, 18th century' licenses the date by its place, 'until 1731 worked there' does
        not. A name before it in a caption may be the maker's.
        """
        phrase = self.outline.phrases[one.first]
        closed = self.described
        if self._is_adverbial(one, phrase):
            return False
        for index in range(one.end, min(phrase.end, one.end + FARTHEST)):
            if closed[index]:
                break
            if not self.known[index]:
                return self._describes(index, phrase)
        bracket = self._bracket(one.first)
        first = phrase.first if bracket < 0 else max(0, bracket - 1)
        for index in range(one.first - 1, max(first, one.first - FARTHEST) - 1, -1):
            if closed[index]:
                break
            if not self.known[index]:
                name = self.words.text[self.words.starts[index]].isupper()
                if not (name and self.position in _SHORT):
                    return False
        return True

    def _describes(self, index: int, phrase: Tokens) -> bool:
        """'A Louis XVI mantel clock': an unknown word right before the piece's noun."""
        at = bisect_left(self.forms, index)
        near = at < len(self.forms) and self.forms[at] < min(phrase.end, index + _ADJECTIVES)
        return near and self.position in _SHORT

    def _is_adverbial(self, one: Candidate, phrase: Tokens) -> bool:
        """'In the Warring States period, such ewers ...': when it was, and no caption."""
        folded = self.words.folded
        sentence = self.outline.sentences[self.outline.sentence_of[one.first]]
        opens = next((t for t in folded[phrase.first : one.first] if t.isalpha()), "")
        named = bisect_left(self.forms, sentence.first)
        after_a_form = named < len(self.forms) and self.forms[named] < phrase.first
        return phrase.end < sentence.end and opens in _WHEN and not after_a_form

    def _licence(self, one: Candidate, topic: Topic | None, speaker: Speaker | None) -> Licence:
        if one.kind is not Kind.ATTRIBUTION:
            return Licence("made", "caption" if topic is None else topic.subject.value)
        if any(first <= one.first < end for first, end in self.periods):
            return Licence("made", "mark and period")
        found = self.roles.of(one, topic, self.lone)
        if self.position is Position.OPINION and speaker and found.words in ("", "caption"):
            return found._replace(words=Position.OPINION.value)
        return found

    def _is_licensed(
        self, one: Candidate, subject: Subject, licence: Licence, speaker: Speaker | None
    ) -> bool:
        if one.kind in (Kind.EVENT, Kind.MARK, Kind.TITLE):
            return True
        if one.kind in (Kind.CONDITION, Kind.SIZE):
            return self._is_plain(one, subject)
        if one.kind is Kind.ATTRIBUTION:
            if _is_a_day(one) and licence.words not in _DATED:
                return False
            if self.words.folded[one.first] in _SINCE or self._dates_another(one):
                return False
            if licence.words == "caption" and not (speaker and speaker.name):
                return self.position is Position.CELL or self._stands_alone(one)
            of_ours = subject in (Subject.PIECE, Subject.PART, Subject.SELF)
            if self._names_another(one):
                return False
            weighed = self._is_weighed(one, subject)
            return (bool(licence.words) and of_ours) or weighed or speaker is not None
        if _is_a_form(one):
            return subject is not Subject.PART and (one.first == self._form or self._is_called(one))
        if _is_a_colour(one) and self.position is Position.DESCRIPTION:
            return self._of_the_noun(one)
        if self._names_another(one):
            return False
        return subject is not Subject.UNKNOWN or self._of_the_noun(one)

    def _names_another(self, one: Candidate) -> bool:
        """A feature right before a form that is not the piece's: 'beside a Meissen teapot'."""
        at = bisect_left(self.forms, one.end)
        if at >= len(self.forms) or self.forms[at] - one.end > _ADJECTIVES:
            return False
        between = self.words.folded[one.end : self.forms[at]]
        apart = any(not t.isalnum() or t in _PARTS_NOUNS for t in between)
        return not apart and self.forms[at] in self.others

    def _is_another(self, one: Candidate) -> bool:
        """Whether a form in a sentence is an object, or stands after a preposition and an article:
        'he swapped it for a commode', 'one grade below the Ming jar', "my aunt's bowl"."""
        folded = self.words.folded
        phrase = self.outline.phrases[one.first]
        before = folded[max(phrase.first, one.first - _NOUN_PHRASE) : one.first]
        if any(token in _THEIRS or token.endswith("'s") for token in before[-_ADJECTIVES:]):
            return True
        article = max((i for i, t in enumerate(before) if t in _ANY_ARTICLE), default=-1)
        if article > 0 and before[article - 1] in _BESIDE_WORDS:
            return True
        verb = self.outline.verb_at.find(1, self.outline.clauses[one.first].first, one.first)
        if verb < 0 or article < 0 or self.topics.of(one.first) is None:
            return False
        predicate = before[:article][-_PREDICATE:]
        return not any(token in _IS or token in _CALLS for token in predicate)

    def _is_plain(self, one: Candidate, subject: Subject) -> bool:
        """Whether a fault or a size stands among words of which most are understood: where many
        are not, they may turn what is said ('there is no hiding the crack')."""
        if one.kind is Kind.SIZE and subject is Subject.UNKNOWN:
            return False
        if any(sign.end == one.first for sign in self.effects[id(one)].signs):
            return True  # 'no chips' needs no plainer words
        phrase = self.outline.phrases[one.first]
        first = max(phrase.first, one.first - FARTHEST)
        unknown = sum(
            not self.known[i] and not self.outline.verb_at[i] and not self.words.folded[i].isdigit()
            for i in range(first, min(phrase.end, one.end + FARTHEST))
        )
        return unknown <= _MOST_UNKNOWN

    def _of_the_unlicensed(self, one: Candidate, subject: Subject) -> Outcome:
        if one.kind not in _ASKED or _is_a_day(one):
            return Outcome.MENTION
        if self.position is Position.DESCRIPTION:
            asks = one.kind is not Kind.ATTRIBUTION and subject in (Subject.PIECE, Subject.PART)
        else:
            asks = subject in (Subject.PIECE, Subject.SELF, Subject.UNKNOWN)
        return Outcome.QUESTION if asks else Outcome.MENTION

    def _first_form(self) -> int:
        """The token of the form that names the piece: the first that nothing takes away."""
        for one in self.candidates:
            if (
                _is_a_form(one)
                and self.effects[id(one)].subject is None
                and not self._goes_with(one)
                and not self._is_another(one)
            ):
                topic = self.topics.of(one.first)
                if topic is None or topic.subject in (Subject.PIECE, Subject.SELF):
                    self._form_end = one.end
                    return one.first
        return -1

    def _goes_with(self, one: Candidate) -> bool:
        """'With a carved stand': an accessory that goes with the piece, and is not it."""
        at = bisect_left(self.accessories, one.first, key=lambda sign: sign.first)
        if at >= len(self.accessories) or self.accessories[at].first >= one.end:
            return False
        return not _WITH.isdisjoint(self.words.folded[max(0, one.first - _ADJECTIVES) : one.first])

    def _is_called(self, one: Candidate) -> bool:
        """'Cup and saucer', 'this bowl': a second form that is the piece's too."""
        folded = self.words.folded
        before = folded[max(0, one.first - 3) : one.first]
        return any(word in _THIS for word in before)

    def _of_the_noun(self, one: Candidate) -> bool:
        """A feature right before the noun of the piece: 'a celadon bowl'."""
        for index in range(one.end, min(len(self.words), one.end + 3)):
            noun = self.topics.nouns.get(index)
            if noun is not None and noun.entry.kind == "form":
                return index == self._form or self._form < 0
        return False

    def _accessory(self, one: Candidate, fragment: bool) -> str:
        """The part of which a value in a fragment is: 'on a wood stand, 12 cm'."""
        if one.kind not in _OF_PARTS or _is_a_form(one):
            return ""
        if isinstance(one.statement, Observation) and (one.statement.part or not fragment):
            return ""
        if one.kind is Kind.SIZE and isinstance(one.statement, Measurement) and one.statement.part:
            return ""
        outline = self.outline
        phrase = outline.phrases[one.first]
        span = phrase if not fragment else self._with_lone_before(phrase)
        at = bisect_left(self.accessories, span.first, key=lambda sign: sign.first)
        for sign in self.accessories[at : at + _MOST_ACCESSORIES]:
            if not span.first <= sign.first < phrase.end or self._names_the_piece(sign):
                continue
            near = (
                one.first - _ACCESSORY_BEFORE <= sign.end <= one.first
                or one.end <= sign.first <= one.end + _ACCESSORY_AFTER
                or sign.first < phrase.first
                or sign.first <= one.first < sign.end
            )
            if near and not self._form_between(sign, one):
                return self.words.between(sign.first, sign.end)
        return ""

    def _names_the_piece(self, sign: Sign) -> bool:
        """Whether the word for an accessory is the piece itself: 'a box', 'a cup stand'."""
        return self._form <= sign.first and sign.end <= self._form_end

    def _is_a_life(self, one: Candidate) -> bool:
        """'Tobias Wren (Fenton 1731 - Delft 1799)': dates in brackets after a name."""
        words = self.words
        bracket = self._bracket(one.first)
        if bracket < 2 or not _REIGNED.isdisjoint(words.folded[bracket : one.end]):
            return False
        names = [
            i
            for i in range(max(0, bracket - _NAME_REACH), bracket)
            if words.folded[i].isalpha()
            and not self.known[i]
            and words.text[words.starts[i]].isupper()
        ]
        return len(names) > 1 and names[-1] == bracket - 1

    def _bracket(self, index: int) -> int:
        """The token of the bracket that is open at a token, -1 where none is."""
        for at in range(index - 1, max(0, index - _BRACKET_REACH) - 1, -1):
            if self.words.folded[at] in (")", "]"):
                return -1
            if self.words.folded[at] in ("(", "["):
                return at
        return -1

    def _with_lone_before(self, phrase: Tokens) -> Tokens:
        at = phrase.first
        clause = self.outline.clauses[phrase.first]
        named = bisect_left(self.forms, clause.first)
        if named < len(self.forms) and self.forms[named] < phrase.first:
            return phrase  # 'vase in a fitted box, Satsuma': of the vase
        while at > phrase.first - FARTHEST and self.lone.get(phrase) and at > clause.first:
            before = self.outline.phrases[at - 1]
            at = before.first
            if not self.lone.get(before):
                break
        return Tokens(at, phrase.end)

    def _form_between(self, sign: Sign, one: Candidate) -> bool:
        first, end = sorted((sign.first, one.first))
        at = bisect_left(self.forms, first + 1)
        return at < len(self.forms) and self.forms[at] < end

    # Filing

    def _speaker(self, one: Candidate) -> Speaker | None:
        at = bisect_left(self.speakers, one.first + 1, key=lambda s: s.span.first)
        for speaker in reversed(self.speakers[max(0, at - _MOST_SPEAKERS) : at]):
            if one.first < speaker.span.end:
                return speaker
        return None

    def _filed(
        self,
        one: Candidate,
        effects: _Effects,
        licence: Licence,
        polarity: Polarity,
        part: str,
        speaker: Speaker | None,
    ) -> ReadStatement:
        statement: Any = one.statement
        changes: dict[str, Any] = {"certainty": _weakest(statement.certainty, effects.certainty)}
        if polarity is Polarity.DENIED and one.kind in (Kind.ATTRIBUTION, Kind.FEATURE):
            changes["certainty"] = Certainty.REJECTED
        start, end = self._words_of(one, effects)
        if isinstance(statement, Observation):
            if effects.undecided:
                changes["presence"] = Presence.UNKNOWN
            elif polarity in (Polarity.DENIED, Polarity.SOUGHT):
                changes["presence"] = Presence.ABSENT  # 'not restored' is absent by itself
            if part and not statement.part:
                changes["part"] = part
            elif effects.borrowed and statement.part == effects.borrowed:
                changes["part"] = ""
        if isinstance(statement, Attribution):
            changes["role"] = AttributionRole(licence.role)
            changes["part"] = part
            if statement.date is not None and changes["certainty"] is not statement.certainty:
                notation = edtf.expressible(edtf.doubted(statement.date.edtf, changes["certainty"]))
                changes["date"] = msgspec.structs.replace(statement.date, edtf=notation)
        if isinstance(statement, Feature):
            changes["part"] = part or statement.part or self._part_beside(one)
        if isinstance(statement, Measurement) and part and not statement.part:
            changes["part"] = part
        if speaker is not None and speaker.name:
            changes["who"] = self._party(speaker.name)
        if statement.reading is not None:
            changes["reading"] = msgspec.structs.replace(
                statement.reading, start=start, end=end, licence=licence.words, polarity=polarity
            )
            changes["as_stated"] = self.words.text[start:end]
        return msgspec.structs.replace(statement, **changes)  # type: ignore[no-any-return]

    def _words_of(self, one: Candidate, effects: _Effects) -> tuple[int, int]:
        """The characters of a statement with the words that deny or doubt it, where they are near:
        nobody who reads 'no chips' cut short is to take it for chips."""
        reading = one.statement.reading
        start, end = (reading.start, reading.end) if reading else (0, 0)
        if one.kind is Kind.EVENT or reading is None:
            return start, end
        phrase = self.outline.clauses[one.first]
        for sign in effects.signs:
            if sign.signal.effect not in _KEPT_WITH_THE_WORDS:
                continue
            near = _KEPT_NEAR if sign.signal.effect != "hedge" else _HEDGE_NEAR
            after = sign.signal.direction != "before"
            if after and phrase.first <= sign.first and one.first - sign.end <= near:
                start = min(start, self.words.starts[sign.first])
            if not after and sign.end <= phrase.end and 0 <= sign.first - one.end <= near:
                end = max(end, self.words.ends[sign.end - 1])
        return start, end

    def _ask_of_a_list(self, statement: Observation) -> None:
        """'No cracks, chips': whether the 'no' goes on after a comma is asked."""
        self.statements.append(msgspec.structs.replace(statement, presence=Presence.UNKNOWN))
        reading = statement.reading
        if reading is not None:
            self.questions.append(
                Question(
                    span=Span(start=reading.start, end=reading.end),
                    asks=f"Does 'no' go for '{statement.term.label}' too?",
                    readings=tuple(
                        (msgspec.structs.replace(statement, presence=presence),)
                        for presence in (Presence.ABSENT, Presence.PRESENT)
                    ),
                    reason="list after a denial",
                )
            )

    def _part_beside(self, one: Candidate) -> str:
        """The part that a feature is right before, or that its clause speaks of: 'brass handles',
        'the feet are carved'."""
        if _is_a_form(one):
            return ""
        for at in range(one.end, one.end + 2):
            noun = self.topics.nouns.get(at)
            if noun is not None and noun.entry.kind == "part" and noun.entry.own:
                return self.words.between(noun.first, noun.end)
        topic = self.topics.of(one.first)
        return topic.part if topic is not None and topic.subject is Subject.PIECE else ""

    def _party(self, name: str) -> str:
        if name not in self.parties:
            self.parties[name] = Party(id=f"speaker-{len(self.parties) + 1}", name=name)
        return self.parties[name].id

    def _ask(self, one: Candidate, statement: ReadStatement, polarity: Polarity) -> None:
        """Ask whether a value is the piece's; of a period and its years once."""
        reading = statement.reading
        span = Span(start=reading.start, end=reading.end) if reading else Span(start=0, end=0)
        last = self.questions[-1] if self.questions else None
        if last is not None and last.span == span and len(last.readings) == 1:
            readings = ((*last.readings[0], statement),)
            self.questions[-1] = msgspec.structs.replace(last, readings=readings)
            return
        stated = self.words.text[span.start : span.end]
        self.questions.append(
            Question(
                span=span,
                asks=f"Is '{stated}' said of this piece?",
                readings=((statement,),),
                reason="asked" if polarity is Polarity.ASKED else "unlicensed",
            )
        )


_THIS = frozenset(("this", "our", "present", "dieser", "diese", "dieses", "unser", "unsere"))
_THIS |= frozenset(("cette", "ce", "cet", "notre", "questo", "questa", "este", "esta", "deze"))
_SHORT = frozenset((Position.CAPTION, Position.PICTURE, Position.CELL, Position.OPINION))
_REPORTED = frozenset({Polarity.DENIED, Polarity.FORMER, Polarity.CLAIMED})
"""What needs no licence in a short text, since it asserts nothing of the piece."""
_DATED = frozenset(("signed and dated", "inscribed and dated", "dated", "datiert", "daté", "datée"))
_REIGNED = frozenset(("reign", "reigned", "r", "rule", "ruled", "regierte", "reg", "règne"))
"""The years of a reign in brackets may be those in which a piece was made."""
_SINCE = frozenset(("since", "seit", "depuis", "sinds", "desde"))
_SOME = frozenset(("a", "an", "one", "another", "two", "three", "ein", "eine", "un", "une"))
_ASKED = frozenset({Kind.ATTRIBUTION, Kind.CONDITION, Kind.SIZE})
"""Kinds that are worth a question where nothing licenses them."""
_OF_PARTS = frozenset({Kind.ATTRIBUTION, Kind.FEATURE, Kind.SIZE, Kind.CONDITION})
_WITH = frozenset(
    ("with", "on", "in", "and", "im", "dans", "mit", "auf", "avec", "sur", "met", "op", "con", "su")
)
_THE = frozenset(("the", "den", "die", "das", "dem", "le", "la", "de", "het", "il", "el"))
_WOULD = frozenset(("would", "ware", "serait", "vaudrait", "zou", "sarebbe", "varrebbe", "seria"))
_APART = ("too", "below", "above", "away", "apart")
_INVERTED = frozenset(("were", "had", "should", "ware", "hatte", "sollte", "mocht"))
_OR = frozenset(("or", "oder", "ou", "o", "of"))
_TOLD = frozenset(("sold", "known", "given", "bought", "shown", "taken", "thought", "head", "put"))
_SHORT_QUESTION = 4
"""Tokens of a question that the next sentence answers: 'Gold? The acid said brass.'"""
_PARTICIPLE_REACH = 3
_ADJECTIVES = 4
"""Tokens before the piece's noun that may be words of any import."""
_WORK = frozenset({ObservationKind.REPAIR, ObservationKind.ALTERATION, ObservationKind.DAMAGE})
"""What happened to a piece on a day of its own."""
_PERSONS = (Subject.PERSON, Subject.SELF)
_BRACKET_REACH = 12
"""Tokens back to the bracket in which a value stands."""
_NAME_REACH = 4
"""Tokens of a name before a bracket, particles among them: 'Jean Michel Moreau le Jeune'."""
_OF_A_WHOLE = frozenset({Dimension.HEIGHT, Dimension.DIAMETER, Dimension.WEIGHT})
_MOST_UNKNOWN = 1
"""Unknown words that the phrase of a fault or a size may have, to be asserted and not asked.
Chosen on texts of our own: with two more, half as many false faults again were asserted."""
_NOUN_PHRASE = 8
_PREDICATE = 3
_JOINS = frozenset(("and", "or", "with", "und", "mit", "et", "avec", "en", "met", "e", "con", "y"))
_PARTS_NOUNS = _JOINS | OF | frozenset(("a", "an", "the", "after", "for", "on", "at", "by", "to"))
_THEIRS = frozenset(("her", "his", "their", "ihr", "ihre", "sein", "seine", "mon", "mi"))
_ANY_ARTICLE = frozenset(
    ("a", "an", "the", "ein", "eine", "einem", "einer", "der", "die", "das", "den", "dem")
) | frozenset(("un", "une", "le", "la", "les", "een", "het", "il", "una", "el", "los", "las"))
_BESIDE_WORDS = frozenset(
    (
        *("below", "behind", "beside", "opposite", "for", "above", "under", "near", "like", "from"),
        *("against", "after", "unter", "neben", "hinter", "gegen", "nach", "contre", "sous"),
        *("derrière", "pour", "naast", "achter", "tegen", "dietro", "sotto", "per", "detrás"),
    )
)
_CALLS = frozenset(("call", "called", "as", "it", "this", "als", "comme", "come", "como", "be"))
_BESIDE = 2
"""Tokens between a fault and its size."""
_WHAT = frozenset(("what", "was", "wat", "ce", "quella", "quello", "lo"))
_CALLED_WITHIN = 12
_IS = frozenset(("is", "was", "are", "were", "ist", "war", "sind", "est", "sont", "était", "è"))
_ARTICLES = frozenset(("a", "an", "the", "only", "ein", "eine", "un", "une", "just", "really"))
_WHEN = frozenset(
    (
        *("in", "during", "by", "after", "before", "since", "until", "from", "when"),
        *("im", "am", "seit", "bis", "nach", "als", "wer", "au", "pendant", "dès", "depuis"),
        *("quand", "nel", "durante", "dal", "tijdens", "sinds"),
    )
)
"""Words that begin a phrase of time in prose. Not 'a', 'en' or 'um', which are articles or 'about'
in one language and prepositions in another."""
_DAY = re.compile(r"-?\d{4}-\d{2}-\d{2}")


def _is_a_day(one: Candidate) -> bool:
    """A day of a month is that of a paper, a sale or a visit, unless the piece itself is dated."""
    statement = one.statement
    return (
        isinstance(statement, Attribution)
        and statement.date is not None
        and not statement.ground
        and _DAY.match(statement.date.edtf) is not None
    )


_KEPT_WITH_THE_WORDS = frozenset(("deny", "lack", "sought", "affirm", "hedge", "undecided"))
_KEPT_NEAR = 6
"""Tokens between a value and a word that denies it which is kept with it."""
_MOST_ACCESSORIES = _MOST_SPEAKERS = 12
"""How many words for parts, or speakers, before a value are looked at."""
_HEDGE_NEAR = 2
_ACCESSORY_BEFORE = 4
_ACCESSORY_AFTER = 2


@functools.lru_cache(maxsize=32)
def _false_friends(tables: Tables, languages: tuple[str, ...]) -> frozenset[str]:
    """Words that in one language are none of the trade's, though they are in another."""
    rows = [row for row in tables.terms("false friend") if (row.language,) == languages]
    return frozenset(fold(name) for row in rows for name in row.variants)


def _is_a_form(one: Candidate) -> bool:
    return isinstance(one.statement, Feature) and one.statement.aspect is FeatureAspect.FORM


def _is_a_colour(one: Candidate) -> bool:
    """Colours in a long text are of anything; what is right before the piece's noun is its own."""
    return isinstance(one.statement, Feature) and one.statement.aspect is FeatureAspect.COLOUR


def _weakest(*certainties: Certainty) -> Certainty:
    return max(certainties, key=_ORDER.index)


def _at_most(statement: ReadStatement, certainty: Certainty) -> ReadStatement:
    sure = _weakest(statement.certainty, certainty)
    return msgspec.structs.replace(statement, certainty=sure)


def _deny(effects: _Effects, sign: Sign) -> None:
    effects.denials += 1


def _claimed(effects: _Effects) -> None:
    """Words in quotation marks are somebody else's: a title, a label, an opinion."""
    if effects.polarity is Polarity.ASSERTED:
        effects.polarity = Polarity.CLAIMED


def _doubt(effects: _Effects) -> None:
    effects.certainty = _weakest(effects.certainty, Certainty.POSSIBLE)


def _affirm(effects: _Effects, sign: Sign) -> None:
    effects.affirmed = True


def _hedge(effects: _Effects, sign: Sign) -> None:
    effects.certainty = _weakest(effects.certainty, sign.signal.certainty)


def _undecided(effects: _Effects, sign: Sign) -> None:
    effects.undecided = True
    effects.certainty = _weakest(effects.certainty, Certainty.POSSIBLE)


def _of_another(effects: _Effects, sign: Sign) -> None:
    effects.subject = _SUBJECTS[sign.signal.effect]


def _polarity(effects: _Effects, sign: Sign) -> None:
    found = _POLARITIES[sign.signal.effect]
    ranked = tuple(dict.fromkeys(_POLARITIES.values()))
    held = effects.polarity
    if held is Polarity.ASSERTED or ranked.index(found) < ranked.index(held):
        effects.polarity = found
    if found is Polarity.SOUGHT:
        effects.denials += 1


_EFFECTS: Mapping[str, Callable[[_Effects, Sign], None]] = {
    "deny": _deny,
    "lack": _deny,
    "affirm": _affirm,
    "hedge": _hedge,
    "undecided": _undecided,
    **dict.fromkeys(_SUBJECTS, _of_another),
    **dict.fromkeys(_POLARITIES, _polarity),
}
