"""What a reader of words gives back: statements, what it did not read, and what it must ask."""

from __future__ import annotations

from archivist.model.base import Statement, Value
from archivist.model.citations import Citation
from archivist.model.marks import Mark
from archivist.model.measurements import Measurement
from archivist.model.observations import Observation
from archivist.model.parties import Party
from archivist.model.provenance import ProvenanceEvent
from archivist.model.records import Attribution, Composition, Feature, Relation, Title

ReadStatement = (
    Title
    | Attribution
    | Feature
    | Measurement
    | Mark
    | Observation
    | ProvenanceEvent
    | Citation
    | Relation
)
"""The kinds of statement that words can be read as; each carries its `reading`."""


class Span(Value, frozen=True, kw_only=True):
    """Characters `start` to `end` (exclusive) of the text that was read."""

    start: int
    end: int


class Question(Value, frozen=True, kw_only=True):
    """Words with more than one reading: what is asked, and each reading as its statements.

    `reason` says in a word of a fixed list why it is asked ('unlicensed', 'asked'), so that all
    questions of one class can be answered at once.
    """

    span: Span
    asks: str
    readings: tuple[tuple[ReadStatement, ...], ...] = ()
    reason: str = ""


class Mention(Value, frozen=True, kw_only=True):
    """A value that the words name and do not say of this piece.

    `of` says of what it is said, `role` in which role it stands there, `why` what takes it away
    from the piece. A mention is neither filed nor asked about; it is shown to whoever asks what was
    made of the words.
    """

    statement: ReadStatement
    of: str = ""
    role: str = ""
    why: str = ""


class Understood(Value, frozen=True, kw_only=True):
    """All that was made of one text.

    `statements` stand in the order of the text, each with `as_stated` (its words), `certainty`
    (the speaker's) and `reading` (rule, confidence, span). `unread` are the spans that no rule
    took and that hold more than punctuation and filler words; together with the statements'
    spans they account for every word. `parties` are the persons and firms that statements name by
    ids local to this text ('party-1'); whoever files the statements gives them lasting ids.
    `mentions` are values that stand in the text and are said of something else.
    """

    text: str
    statements: tuple[ReadStatement, ...] = ()
    mentions: tuple[Mention, ...] = ()
    unread: tuple[Span, ...] = ()
    questions: tuple[Question, ...] = ()
    parties: tuple[Party, ...] = ()
    composition: Composition | None = None


__all__ = ["Mention", "Question", "ReadStatement", "Span", "Statement", "Understood"]
