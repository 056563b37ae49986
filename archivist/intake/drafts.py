"""A row becomes a record, and the questions its words leave open."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

import msgspec

from archivist.catalogue.catalogue import Version
from archivist.hooks import Cell, FoundRow
from archivist.intake.cells import CellReader, Said, number_of
from archivist.intake.mapping import Column
from archivist.intake.proposal import Asked, ChangeObject, Choice
from archivist.intake.roles import ATTRIBUTED, DEALINGS, Role
from archivist.intake.words import CONTEXT
from archivist.model import (
    STATEMENT_FIELDS,
    Aspect,
    Attribution,
    ObjectRecord,
    Rights,
    Source,
    Statement,
    Title,
)
from archivist.reading.result import Span

Columns = Mapping[tuple[str, str], Column]

NOT_SAID = "not said of this piece"
"""The answer beside a single reading; the words stay as words."""


def lasting_id(source: str, kind: str, key: str) -> str:
    """A UUID that the same thing of the same source always gets (RFC 9562, version 5)."""
    return str(uuid.uuid5(uuid.UUID(source), f"{kind}\n{key}"))


def column_of(columns: Columns, table: str, heading: str) -> Column:
    """How a column is read; one that nobody described is kept word for word, for the owner."""
    found = columns.get((table, heading)) or columns.get(("", heading))
    return found or Column(heading=heading, table=table, role=Role.KEEP, private=True)


def number_in(row: FoundRow, columns: Columns) -> str:
    """The stock number of a row, '' where it has none."""
    for cell in row.cells:
        if column_of(columns, row.table, cell.column).role is Role.STOCK_NUMBER:
            return number_of(cell.text)
    return ""


def read_cells(
    cells: tuple[Cell, ...],
    table: str,
    columns: Columns,
    reader: CellReader,
    held: Iterable[Statement] = (),
) -> Said:
    """What cells of one row say, in the order of `_turn`.

    What descriptions say besides comes last, as far as neither the row nor `held` says it.
    """
    said = Said()
    found = [(column_of(columns, table, cell.column), cell) for cell in cells]
    context = tuple(cell.text for column, cell in found if column.role in CONTEXT)
    for column, cell in sorted(found, key=lambda pair: _turn(pair[0].role)):
        reader.read(said, column, cell, context if column.role is Role.DATE else ())
    for column, cell in found:
        if column.role is Role.DESCRIPTION:
            reader.describe(said, column, cell, held)
    return said


def _turn(role: Role) -> int:
    """When a column is read: those first that name whom it was bought from or sold to.

    A column of its own for the date or the place comes before the title, since of what cannot both
    be the first that was said is held.
    """
    if role in DEALINGS:
        return 0
    return 1 if role in ATTRIBUTED else 2


def record_of(said: Said, object_id: str) -> ObjectRecord:
    """The record that a whole row makes; of its titles the first is preferred."""
    fields: dict[str, Any] = {name: tuple(s) for name, s in said.fields.items()}
    named = (said.naming,) if said.naming is not None else ()
    fields["titles"] = _first_preferred(fields.get("titles", ()) or named)
    return ObjectRecord(
        id=object_id,
        stock_number=said.stock_number,
        other_numbers=tuple(said.other_numbers),
        composition=said.composition,
        rights=Rights(credit=said.credit) if said.credit else None,
        **fields,
    )


def _first_preferred(titles: tuple[Title, ...]) -> tuple[Title, ...]:
    """Marks the first title that others may see, unless one is marked.

    Attributions are not marked: which of them is held is weighed from what they say, and a mark is
    a person's word that outweighs that.
    """
    if any(title.preferred for title in titles):
        return titles
    first = next((t for t in titles if not t.private), None)
    return tuple(msgspec.structs.replace(t, preferred=True) if t is first else t for t in titles)


def _about(statement: Title | Attribution) -> Aspect | None:
    return statement.aspect if isinstance(statement, Attribution) else None


def from_cell(record: ObjectRecord, source: str, row: str, column: str) -> dict[str, list[Any]]:
    """The statements of a record that came from one cell, by field."""
    found: dict[str, list[Any]] = {}
    for name in STATEMENT_FIELDS:
        for statement in getattr(record, name):
            origin = statement.source
            if (
                origin is not None
                and origin.column == column
                and origin.row == row
                and origin.source == source
            ):
                found.setdefault(name, []).append(statement)
    return found


def changes_of_cell(
    versions: Iterable[Version], source: str, row: str, column: str
) -> Iterator[Version]:
    """Those versions of a record, oldest first, that changed what came from one cell; the first
    changes nothing."""
    before: dict[str, list[Any]] | None = None
    for version in versions:
        value = version.value()
        if not isinstance(value, ObjectRecord):
            continue
        now = from_cell(value, source, row, column)
        if before is not None and now != before:
            yield version
        before = now


def partial(object_id: str, fields: Mapping[str, list[Any]], **single: Any) -> ObjectRecord:
    """A record that holds only those statements."""
    held: dict[str, Any] = {name: tuple(statements) for name, statements in fields.items()}
    return ObjectRecord(id=object_id, **held, **single)


def keep_preference(
    removed: Mapping[str, list[Any]], added: Mapping[str, list[Any]]
) -> dict[str, list[Any]]:
    """What is added takes over the preference of what it replaces."""
    result = {name: list(statements) for name, statements in added.items()}
    for name in ("titles", "attributions"):
        preferred = {_about(s) for s in removed.get(name, ()) if s.preferred}
        for place, statement in enumerate(result.get(name, ())):
            if _about(statement) in preferred and not statement.preferred:
                preferred.discard(_about(statement))
                result[name][place] = msgspec.structs.replace(statement, preferred=True)
    return result


def questions_of(
    said: Said,
    record: ObjectRecord,
    source: str,
    key: str,
    stands: Callable[[str], Mapping[str, list[Any]]],
) -> list[Asked]:
    """What the readers of words could not decide, each reading a choice.

    `stands` gives the statements that stand for a column; a choice takes the place of those that
    were read from the words it is about.
    """
    asked = []
    for doubt in said.questions:
        span, column = doubt.question.span, doubt.cell.column
        about = doubt.cell.text[span.start : span.end] or doubt.cell.text
        there = within(stands(column), span)
        choices = {}
        for number, reading in enumerate(doubt.readings, start=1):
            come = Said()
            for statement in reading:
                come.add(statement)
            answer = "; ".join(told_shortly(statement) for statement in reading) or str(number)
            choices[answer] = Choice(
                answer=answer,
                items=(
                    ChangeObject(
                        accept=True,
                        key=f"{key}\n{column}\n{about}\n{number}",
                        source=source,
                        name=record.name,
                        row=key,
                        removes=partial(record.id, there),
                        adds=partial(record.id, keep_preference(there, come.fields)),
                    ),
                ),
            )
        if len(choices) == 1 or doubt.question.reason == "day":
            choices[NOT_SAID] = Choice(answer=NOT_SAID)
        asked.append(
            Asked(
                key=f"{key}\n{column}\n{about}\n{doubt.question.asks}",
                source=source,
                asks=doubt.question.asks,
                about=f"{record.name}, {doubt.cell.place}: '{about}'",
                choices=tuple(choices.values()),
                reason=doubt.question.reason,
            )
        )
    return asked


def within(fields: Mapping[str, list[Any]], span: Span) -> dict[str, list[Any]]:
    """The statements that were read from within those words."""
    found: dict[str, list[Any]] = {}
    for name, statements in fields.items():
        for statement in statements:
            reading = statement.reading
            if reading is not None and span.start <= reading.start < reading.end <= span.end:
                found.setdefault(name, []).append(statement)
    return found


def told_shortly(statement: Any) -> str:
    """A reading in a few words, so that an owner can choose it by name."""
    for name in ("date", "claims"):
        date = getattr(statement, name, None)
        if date is not None and (date.edtf or date.earliest is not None):
            return date.edtf or f"{date.earliest} to {date.latest}"
    term = getattr(statement, "term", None)
    if term is not None:
        kind = getattr(statement, "kind", "")
        return f"{term.label} ({kind})" if kind else str(term.label)
    if hasattr(statement, "low"):
        size = (
            statement.low
            if statement.low == statement.high
            else f"{statement.low}-{statement.high}"
        )
        return f"{statement.dimension} {size} {statement.unit}"
    return str(getattr(statement, "value", "") or statement.as_stated)


def cells_of(row: FoundRow) -> dict[str, str]:
    """The words of a row's cells, to be compared with at the next intake."""
    return {cell.column: cell.text for cell in row.cells if cell.text}


def completed(record: ObjectRecord, source: str, row: str, original: str) -> ObjectRecord:
    """The record with the full origin of every statement that names only its column and place."""
    changed: dict[str, Any] = {}
    for name in STATEMENT_FIELDS:
        statements = getattr(record, name)
        if statements:
            changed[name] = tuple(_completed(s, source, row, original) for s in statements)
    return msgspec.structs.replace(record, **changed)


def _completed(statement: Any, source: str, row: str, original: str) -> Any:
    origin = statement.source
    if origin is None or origin.source:
        return statement
    full = Source(
        source=source, row=row, column=origin.column, original=original, place=origin.place
    )
    return msgspec.structs.replace(statement, source=full)
