"""What a proposal would file of each piece, statement by statement, so that it can be judged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from archivist.intake.drafts import column_of
from archivist.intake.proposal import ChangeObject, CreateObject, Proposal, SaveParty
from archivist.intake.words import read
from archivist.model import (
    STATEMENT_FIELDS,
    Certainty,
    Note,
    ObjectRecord,
    Observation,
    Party,
    Statement,
    Title,
)
from archivist.model.base import Polarity
from archivist.reading.result import Mention
from archivist.reading.tables import Tables

_ASSERTED = Polarity.ASSERTED

TRUSTED = 0.7
"""The confidence of a rule below which what it read is shown among the doubtful. A choice of
ours."""


class SaidOfPiece(NamedTuple):
    """The new statements of one item, those in doubt first; `kept` are headings whose words are
    kept as words, `item` the number by which the item is refused."""

    item: int
    name: str
    doubtful: tuple[Statement, ...]
    plain: tuple[Statement, ...]
    kept: tuple[str, ...]


def is_doubtful(statement: Statement) -> bool:
    """Whether a statement is less than the writer's plain word: doubted, denied, reported, or read
    by a rule that is often wrong."""
    reading = statement.reading
    return (
        statement.certainty is not Certainty.CERTAIN
        or bool(statement.who)
        or (_is_a_value(statement) and reading is not None and reading.polarity is not _ASSERTED)
        or (reading is not None and float(reading.confidence) < TRUSTED)
    )


def _is_a_value(statement: Statement) -> bool:
    """Whether to deny a statement leaves it in doubt: 'no cracks' is a plain word on condition."""
    return not isinstance(statement, Observation)


def said_of_pieces(proposal: Proposal) -> Iterator[SaidOfPiece]:
    """What each accepted item that makes or changes a record would file."""
    for number, item in enumerate(proposal.items, start=1):
        if not item.accept or not isinstance(item, CreateObject | ChangeObject):
            continue
        record = item.record if isinstance(item, CreateObject) else item.adds
        name = _name(record) if isinstance(item, CreateObject) else item.name
        statements = [s for field in STATEMENT_FIELDS for s in getattr(record, field)]
        told = [s for s in statements if not isinstance(s, Note) and not _is_the_name(s)]
        yield SaidOfPiece(
            number,
            name,
            tuple(s for s in told if is_doubtful(s)),
            tuple(s for s in told if not is_doubtful(s)),
            tuple(dict.fromkeys(s.heading for s in statements if isinstance(s, Note))),
        )


def _name(record: ObjectRecord) -> str:
    return f"{record.stock_number}  {record.title}".strip()


def _is_the_name(statement: Statement) -> bool:
    """Whether a statement is the title that already stands above all others."""
    return isinstance(statement, Title) and statement.preferred


def mentions_in(proposal: Proposal, number: int, tables: Tables) -> Iterator[tuple[str, Mention]]:
    """What the cells of an item name and do not say of the piece, each with its column.

    They are no part of a proposal: the cells are read once more, as they were read for it.
    """
    item = proposal.items[number - 1]
    if not isinstance(item, CreateObject | ChangeObject):
        return
    source = next((s for s in proposal.sources if s.id == item.source), None)
    columns = {(c.table, c.heading): c for c in source.columns} if source else {}
    by_heading = {heading: column for (_, heading), column in columns.items()}
    for heading, text in item.cells.items():
        column = by_heading.get(heading) or column_of(columns, "", heading)
        for mention in read(column.role, text, tables, column.unit).mentions:
            yield heading, mention


def parties_named(proposal: Proposal, known: Mapping[str, Party]) -> dict[str, Party]:
    """The parties that statements may name: of the catalogue, and those that are proposed."""
    new = {i.party.id: i.party for i in proposal.items if isinstance(i, SaveParty)}
    return {**known, **new}
