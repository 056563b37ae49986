"""The words that came with photographs, read as what they say of the pieces shown.

A caption speaks of the one piece that its photograph is placed with. What it says and the record
does not is proposed as statements with the caption as their source; where the record says
otherwise they stand beside it as another opinion, and nothing that the record says is changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.sources import ImportedCell, imported
from archivist.intake.cells import FIELDS, CellReader, Common
from archivist.intake.drafts import NOT_SAID, partial, told_shortly, within
from archivist.intake.picture_words import (
    FOLDER,
    NAME,
    Placed,
    Words,
    captions_of,
    listed_captions,
    names_of,
    number_spans,
    placed_by,
    placed_photographs,
)
from archivist.intake.pictures.findings import PictureFile
from archivist.intake.proposal import (
    AnyItem,
    Asked,
    ChangeObject,
    Choice,
    CreateObject,
    LinkPhotograph,
)
from archivist.intake.said_already import gainsaid, said_already
from archivist.model import (
    STATEMENT_FIELDS,
    Certainty,
    ObjectRecord,
    Source,
    Statement,
    least_sure,
)
from archivist.model.provenance import Passage, ProvenanceEvent
from archivist.reading.picture_captions import (
    ASKS_OF_YEAR,
    read_picture_caption,
    read_picture_name,
)
from archivist.reading.result import Question, Understood
from archivist.reading.spelling import fold

SHARED = 2
"""Pieces beyond which the same words speak of none of them: 'Oriental ceramics, spring list'."""

_SHOWN = 80
"""Characters of a caption that a reason gives."""


class CaptionIntake:
    """Reads the words that came with the photographs of one survey."""

    def __init__(
        self, catalogue: Catalogue, reader: CellReader, records: Iterable[ObjectRecord]
    ) -> None:
        """`records` are those of the catalogue and those that the survey proposes."""
        self.catalogue = catalogue
        self.reader = reader
        self.records = {record.id: record for record in records}
        self.items: list[AnyItem] = []
        self.questions: list[Asked] = []
        self._imported: dict[str, Mapping[tuple[str, str], ImportedCell]] = {}

    def take(
        self,
        files: Iterable[PictureFile],
        items: Sequence[AnyItem],
        questions: Sequence[Asked],
    ) -> tuple[list[AnyItem], list[Asked]]:
        """What captions add to what is proposed, and the questions with what follows from their
        answers added to their choices.

        `files` are all photographs of the survey, `items` and `questions` what is proposed so far.
        """
        placed = placed_photographs(self.catalogue, files, items)
        held = {id_: _statements(record) for id_, record in self.records.items()}
        for words in self._words(placed.values()):
            self._read(words, held[words.object], self.items, self.questions)
        asked = [self._with_choices(question, placed) for question in questions]
        return self.items, [*asked, *self.questions]

    def _with_choices(self, question: Asked, placed: Mapping[str, Placed]) -> Asked:
        """A question whose choices place photographs, each with what their captions then say."""
        if not any(isinstance(i, LinkPhotograph) for c in question.choices for i in c.items):
            return question
        choices = []
        for choice in question.choices:
            more: list[AnyItem] = []
            for item in choice.items:
                if isinstance(item, CreateObject):
                    self.records.setdefault(item.record.id, item.record)
            moved = placed_by(choice.items, placed)
            held = {d: _statements(self.records[d]) for p in moved for d in p.depictions}
            for words in self._words(moved):
                self._read(words, held[words.object], more, [])
            choices.append(msgspec.structs.replace(choice, items=(*choice.items, *more)))
        return msgspec.structs.replace(question, choices=tuple(choices))

    # Which words speak of which piece

    def _words(self, placed: Iterable[Placed]) -> list[Words]:
        """The words to read: each wording once for a piece, none that many pieces share, none
        that was taken in before."""
        found = [w for one in placed for w in (*captions_of(one), *listed_captions(one))]
        found += names_of(placed)
        pieces: dict[str, set[str]] = {}
        for words in found:
            pieces.setdefault(fold(words.text), set()).add(words.object)
        first: dict[tuple[str, str], Words] = {}
        for words in found:
            key = fold(words.text)
            if key and len(pieces[key]) <= SHARED and words.object in self.records:
                first.setdefault((words.object, key), words)
        return [words for words in first.values() if not self._was_taken(words)]

    def _was_taken(self, words: Words) -> bool:
        before = self._imported.get(words.source)
        if before is None:
            before = self._imported[words.source] = imported(self.catalogue, words.source)
        cell = before.get((words.row, words.column))
        return cell is not None and (cell.text, cell.object) == (words.text, words.object)

    # What they say

    def _read(
        self, words: Words, held: list[Statement], items: list[AnyItem], questions: list[Asked]
    ) -> None:
        """The change that one wording proposes, and what it leaves open."""
        record = self.records[words.object]
        understood = self._understood(words, record)
        new: dict[str, list[Statement]] = {}
        told, against = [], []
        for statement in understood.statements:
            if said_already(statement, held):
                continue
            other = gainsaid(statement, held)
            if other is not None:
                against.append(f"'{statement.as_stated}', where '{other.as_stated}' stands")
            else:
                told.append(f"'{statement.as_stated}'")
            new.setdefault(FIELDS[type(statement)], []).append(statement)
        quoted = words.text[:_SHOWN] + ("..." if len(words.text) > _SHOWN else "")
        reasons = [f"{words.place} ({words.column}): '{quoted}'"]
        reasons += [f"says besides {', '.join(told)}"] if told else []
        reasons += [f"says otherwise {'; '.join(against)}"] if against else []
        if new:
            for statements in new.values():
                held.extend(statements)
            # Whether a caption speaks of the piece, its maker alone knows.
            sure = least_sure(words.certainty, Certainty.PROBABLE)
            items.append(self._change(words, record, new, reasons, sure))
        questions.extend(
            self._asked(words, record, question, new)
            for question in understood.questions
            if not any(said_already(s, held) for reading in question.readings for s in reading)
        )

    def _understood(self, words: Words, record: ObjectRecord) -> Understood:
        tables = self.reader.tables
        is_name = words.column in (NAME, FOLDER)
        read = read_picture_name if is_name else read_picture_caption
        numbers = number_spans(words.text, record, tables)
        origin = Source(
            source=words.source,
            row=words.row,
            column=words.column,
            original=words.original,
            place=words.place,
        )
        understood = self.reader.filed(read(words.text, tables, numbers), Common(origin, False))
        return msgspec.structs.replace(
            understood, statements=tuple(_apart(s) for s in understood.statements)
        )

    def _change(
        self,
        words: Words,
        record: ObjectRecord,
        fields: Mapping[str, list[Statement]],
        reasons: Sequence[str],
        certainty: Certainty,
    ) -> ChangeObject:
        return ChangeObject(
            accept=True,
            key=f"{words.row}\n{words.column}\n{words.object}\n{words.text}",
            source=words.source,
            certainty=certainty,
            reasons=tuple(reasons),
            name=record.name,
            removes=ObjectRecord(id=record.id),
            adds=partial(record.id, fields),
            row=words.row,
            cells={words.column: words.text},
        )

    def _asked(
        self,
        words: Words,
        record: ObjectRecord,
        question: Question,
        new: Mapping[str, list[Statement]],
    ) -> Asked:
        """A question on words of a caption, each reading a choice, which takes the place of what
        is proposed (`new`) from those very words."""
        about = words.text[question.span.start : question.span.end] or words.text
        choices: dict[str, Choice] = {}
        for number, reading in enumerate(question.readings, start=1):
            fields: dict[str, list[Statement]] = {}
            for statement in reading:
                fields.setdefault(FIELDS[type(statement)], []).append(statement)
            answer = "; ".join(told_shortly(s) for s in reading) or str(number)
            if question.asks == ASKS_OF_YEAR:
                answer = f"made in {answer}"
            change = msgspec.structs.replace(
                self._change(words, record, fields, (), Certainty.CERTAIN),
                key=f"{words.row}\n{words.column}\n{words.object}\n{about}\n{number}",
                removes=partial(record.id, within(new, question.span)),
            )
            choices[answer] = Choice(answer=answer, items=(change,))
        if question.asks == ASKS_OF_YEAR:
            choices["photographed or sold then"] = Choice(answer="photographed or sold then")
        elif len(choices) == 1:
            choices[NOT_SAID] = Choice(answer=NOT_SAID)
        return Asked(
            key=f"{words.row}\n{words.column}\n{words.object}\n{about}\n{question.asks}",
            source=words.source,
            asks=question.asks,
            about=f"{record.name}, {words.place}: '{about}'",
            choices=tuple(choices.values()),
            reason=question.reason,
        )


def _statements(record: ObjectRecord) -> list[Statement]:
    return [s for name in STATEMENT_FIELDS for s in getattr(record, name)]


def _apart(statement: Statement) -> Statement:
    """An event of provenance that a caption tells follows on none that the record has."""
    if isinstance(statement, ProvenanceEvent):
        return msgspec.structs.replace(statement, passage=Passage.UNKNOWN)
    return statement
