"""The one stage: what every candidate of a text becomes."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import msgspec

from archivist.model.base import Certainty, Polarity, least_sure
from archivist.model.dates import Date
from archivist.model.observations import Observation, ObservationKind, Presence
from archivist.model.parties import Party
from archivist.model.records import Attribution
from archivist.reading.result import Mention, Question, ReadStatement
from archivist.reading.standing.accessories import accessory_of
from archivist.reading.standing.asking import ask_whether_of_the_piece, of_a_list
from archivist.reading.standing.candidates import Candidate, candidates_of, is_a_form
from archivist.reading.standing.effects import Effects, effects_of
from archivist.reading.standing.filing import filed
from archivist.reading.standing.forms import form_of_the_piece
from archivist.reading.standing.law import Kind, Outcome, Position, article_for
from archivist.reading.standing.licences import (
    is_licensed,
    licence_of,
    outcome_of_the_unlicensed,
)
from archivist.reading.standing.otherwise import is_a_life, otherwise
from archivist.reading.standing.passage import Passage
from archivist.reading.standing.reach import FARTHEST
from archivist.reading.standing.roles import Licence
from archivist.reading.standing.small_words import THE, THIS, WOULD
from archivist.reading.standing.speakers import Speaker
from archivist.reading.standing.subjects import Subject, Topic
from archivist.reading.tables import Tables
from archivist.reading.words import Words

_REPORTED = frozenset({Polarity.DENIED, Polarity.FORMER, Polarity.CLAIMED})
"""What needs no licence in a short text, since it asserts nothing of the piece."""
_WORK = frozenset({ObservationKind.REPAIR, ObservationKind.ALTERATION, ObservationKind.DAMAGE})
"""What happened to a piece on a day of its own."""
_PERSONS = (Subject.PERSON, Subject.SELF)


class Judged(NamedTuple):
    """What became of the candidates of a text."""

    statements: tuple[ReadStatement, ...]
    mentions: tuple[Mention, ...]
    questions: tuple[Question, ...]
    parties: tuple[Party, ...]


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
    return _Judge(Passage(words, candidates, tables, position), parties).result()


class _Judge:
    def __init__(self, passage: Passage, parties: Sequence[Party]) -> None:
        self._passage = passage
        self._effects = effects_of(passage)
        self._form = form_of_the_piece(passage, self._effects)
        self._parties = {party.name: party for party in parties}
        self._statements: list[ReadStatement] = []
        self._dated: dict[int, Date] = {}
        self._mentions: list[Mention] = []
        self._questions: list[Question] = []

    def result(self) -> Judged:
        for one in self._passage.candidates:
            self._judge(one)
        for place, date in self._dated.items():
            observation = self._statements[place]
            if isinstance(observation, Observation):
                self._statements[place] = msgspec.structs.replace(observation, date=date)
        return Judged(
            tuple(self._statements),
            tuple(self._mentions),
            tuple(self._questions),
            tuple(self._parties.values()),
        )

    def _judge(self, one: Candidate) -> None:
        passage = self._passage
        if (instead := otherwise(passage, one)) is not None:
            of, what = instead
            self._mention(one, of, "", what)
            return
        effects = self._effects[id(one)]
        topic = passage.topics.of(one.first)
        speaker = passage.speaker_of(one)
        subject, part = self._subject(one, effects, topic, speaker)
        licence = self._licence(one, topic, speaker)
        polarity = self._polarity(one, effects)
        article = article_for(one.kind, subject, licence.role, polarity)
        outcome, why = article.outcome, article.why
        needs_none = polarity in _REPORTED and passage.is_short
        if (
            outcome is Outcome.STATEMENT
            and not needs_none
            and not is_licensed(passage, self._form, effects, one, subject, licence, speaker)
        ):
            outcome, why = outcome_of_the_unlicensed(passage, one, subject), "no licence"
        if outcome is Outcome.MENTION:
            role = licence.name if one.kind is Kind.ATTRIBUTION else ""
            self._mention(one, subject, role, why)
            return
        who = self._party(speaker.name) if speaker is not None and speaker.name else ""
        statement = filed(passage, one, effects, licence, polarity, part, who)
        if statement.certainty is not Certainty.REJECTED:
            sure = least_sure(statement.certainty, article.certainty)
            statement = msgspec.structs.replace(statement, certainty=sure)
        if effects.ambiguous and isinstance(statement, Observation):
            unknown = msgspec.structs.replace(statement, presence=Presence.UNKNOWN)
            self._statements.append(unknown)
            self._questions.extend(of_a_list(statement))
        elif outcome is Outcome.QUESTION:
            ask_whether_of_the_piece(self._questions, passage, statement, polarity)
        else:
            self._statements.append(statement)

    def _subject(
        self, one: Candidate, effects: Effects, topic: Topic | None, speaker: Speaker | None
    ) -> tuple[Subject, str]:
        """Of what a value is, and of which part of the piece."""
        passage = self._passage
        fragment = topic is None
        subject = effects.subject or (topic.subject if topic else Subject.PIECE)
        part = topic.part if topic is not None and subject is Subject.PART else ""
        if effects.subject is None and one.kind in (Kind.ATTRIBUTION, Kind.FEATURE):
            head = passage.topics.head(one.first) if fragment else None
            if head is not None and (one.kind is Kind.ATTRIBUTION or head.subject in _PERSONS):
                subject, part = head.subject, head.part
            if is_a_life(passage, one):
                subject = Subject.PERSON
        if not effects.subject and (accessory := accessory_of(passage, self._form, one, fragment)):
            subject, part = Subject.PART, accessory
        if passage.position is Position.OPINION and effects.subject is None and speaker is not None:
            # a cell of opinions is of this piece, whoever is the subject of 'says'
            subject = Subject.PART if part else Subject.PIECE
        return subject, part

    def _licence(self, one: Candidate, topic: Topic | None, speaker: Speaker | None) -> Licence:
        """What licenses a value; a date that is that of a repair is given to the repair."""
        licence = licence_of(self._passage, one, topic, speaker)
        work = self._work_dated_by(one, licence)
        if work is None or not isinstance(one.statement, Attribution) or not one.statement.date:
            return licence
        self._dated[work] = one.statement.date
        return Licence("other", licence.words, "repaired")

    def _polarity(self, one: Candidate, effects: Effects) -> Polarity:
        """Whether a value is so, denials counted in."""
        polarity = effects.polarity
        reported = polarity in (Polarity.CLAIMED, Polarity.FORMER) and one.kind is Kind.CONDITION
        supposed = polarity is Polarity.CONDITIONAL
        kept = effects.affirmed or reported or supposed or self._is_contrary(one)
        if not effects.denials or kept:
            return polarity
        return Polarity.SOUGHT if polarity is Polarity.SOUGHT else Polarity.DENIED

    def _is_contrary(self, one: Candidate) -> bool:
        """Whether a 'not' beside a value does not deny it: 'without the crack it would be perfect',
        'nothing Venetian about this goblet'."""
        folded = self._passage.words.folded
        if is_a_form(one):
            return not THIS.isdisjoint(folded[max(0, one.first - 2) : one.first])
        if one.kind is not Kind.CONDITION:
            return False
        outline = self._passage.outline
        sentence = outline.sentences[outline.sentence_of[one.first]]
        end = min(sentence.end, one.end + FARTHEST)
        named = not THE.isdisjoint(folded[max(0, one.first - 2) : one.first + 1])
        return named and not WOULD.isdisjoint(folded[one.end : end])

    def _work_dated_by(self, one: Candidate, licence: Licence) -> int | None:
        """The repair or damage right before a date, whose date it is: 'restored 1985'.

        Given by its place among the statements; None where there is none.
        """
        passage = self._passage
        statement = one.statement
        if not isinstance(statement, Attribution) or statement.date is None:
            return None
        at = bisect_left(passage.faults, (one.first, 0)) - 1
        if at < 0 or licence.role in ("decorated", "mounted") or licence.name == "sold":
            return None
        first, end = passage.faults[at]
        phrase = passage.outline.phrases[one.first]
        near = phrase.first <= first or (passage.lone.get(phrase) and end >= phrase.first - 1)
        if not near or any(passage.described[end : one.first]):
            return None
        return next(
            (
                place
                for place in range(len(self._statements) - 1, -1, -1)
                if isinstance(observed := self._statements[place], Observation)
                and observed.kind in _WORK
                and observed.presence is Presence.PRESENT
                and observed.reading is not None
                and observed.reading.end <= passage.words.starts[one.first]
            ),
            None,
        )

    def _mention(self, one: Candidate, subject: Subject, role: str, why: str) -> None:
        mention = Mention(statement=one.statement, of=subject.value, role=role, why=why)
        self._mentions.append(mention)

    def _party(self, name: str) -> str:
        if name not in self._parties:
            self._parties[name] = Party(id=f"speaker-{len(self._parties) + 1}", name=name)
        return self._parties[name].id
