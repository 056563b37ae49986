"""What is made of a text: its candidates judged, and what is left unread."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from archivist.model.parties import Party
from archivist.model.records import Composition
from archivist.reading.result import Question, ReadStatement, Understood
from archivist.reading.standing.judge import judged
from archivist.reading.standing.law import Position
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, unread_spans


def understood(
    words: Words,
    statements: Iterable[ReadStatement],
    tables: Tables,
    position: Position = Position.CELL,
    *,
    questions: Sequence[Question] = (),
    parties: Sequence[Party] = (),
    composition: Composition | None = None,
    spans: Iterable[tuple[int, int]] = (),
) -> Understood:
    """The candidates `statements` of a text as what its words do with them lets them stand.

    `spans` are characters that were read besides them; `questions` what their readers ask.
    """
    found = judged(words, statements, tables, position, parties)
    read = list(spans)
    of_mentions = [m.statement for m in found.mentions]
    for statement in (*found.statements, *of_mentions):
        if statement.reading is not None:
            read.append((statement.reading.start, statement.reading.end))
    asked = (*questions, *found.questions)
    read += [(q.span.start, q.span.end) for q in asked]
    return Understood(
        text=words.text,
        statements=found.statements,
        mentions=found.mentions,
        unread=unread_spans(words, read, fillers(tables)),
        questions=asked,
        parties=found.parties,
        composition=composition,
    )
