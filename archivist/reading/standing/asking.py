"""What is asked of a value that the words alone do not decide."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from archivist.model.base import Polarity
from archivist.model.observations import Observation, Presence
from archivist.reading.result import Question, ReadStatement, Span
from archivist.reading.standing.passage import Passage


def of_a_list(statement: Observation) -> Iterator[Question]:
    """'No cracks, chips': whether the 'no' goes on after a comma."""
    reading = statement.reading
    if reading is not None:
        yield Question(
            span=Span(start=reading.start, end=reading.end),
            asks=f"Does 'no' go for '{statement.term.label}' too?",
            readings=tuple(
                (msgspec.structs.replace(statement, presence=presence),)
                for presence in (Presence.ABSENT, Presence.PRESENT)
            ),
            reason="list after a denial",
        )


def ask_whether_of_the_piece(
    questions: list[Question], passage: Passage, statement: ReadStatement, polarity: Polarity
) -> None:
    """Adds whether a value is the piece's; of a period and its years it is asked once."""
    reading = statement.reading
    span = Span(start=reading.start, end=reading.end) if reading else Span(start=0, end=0)
    last = questions[-1] if questions else None
    if last is not None and last.span == span and len(last.readings) == 1:
        readings = ((*last.readings[0], statement),)
        questions[-1] = msgspec.structs.replace(last, readings=readings)
        return
    questions.append(
        Question(
            span=span,
            asks=f"Is '{passage.words.text[span.start : span.end]}' said of this piece?",
            readings=((statement,),),
            reason="asked" if polarity is Polarity.ASKED else "unlicensed",
        )
    )
