"""What is asked about a row whose words alone do not decide what becomes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from archivist.catalogue.catalogue import Version
from archivist.hooks import Cell
from archivist.intake.drafts import partial
from archivist.intake.proposal import AnyItem, Asked, ChangeObject, Choice, CreateObject
from archivist.model import STATEMENT_FIELDS, ObjectRecord


def asked_of_sum(create: CreateObject, place: str) -> Asked:
    """A row that seems to be a sum and no piece; nothing is made of it unless it is one."""
    words = create.record.stock_number or create.record.title
    return Asked(
        key=f"{create.key}\nsum",
        reason="sum",
        source=create.source,
        asks=f"'{words}' seems to be a sum of the rows above. Is it a piece?",
        about=place,
        choices=(
            Choice(answer="no piece", items=()),
            Choice(answer="a piece", items=(create,)),
        ),
    )


def asked_of_band(create: CreateObject, place: str) -> Asked:
    """A row of one cell, which may be a heading of those below it."""
    words = next(iter(create.cells.values()), "")
    return Asked(
        key=f"{create.key}\nheading",
        reason="heading",
        source=create.source,
        asks=f"'{words}' stands alone in its row. Is it a piece, or a heading of the rows below?",
        about=place,
        choices=(
            Choice(answer="a heading", items=()),
            Choice(answer="a piece", items=(create,)),
        ),
    )


def asked_of_table(table: str, source: str, creates: Sequence[CreateObject]) -> Asked:
    """A table in which nothing tells of pieces; nothing is made of its rows unless they are."""
    name = f"the sheet '{table}'" if table else "this table"
    first = "; ".join(_first_words(create) for create in creates[:_SHOWN])
    return Asked(
        key=f"{table}\n{len(creates)}\nno pieces",
        reason="no pieces",
        source=source,
        asks=f"Does {name} hold pieces? Its columns seem to tell of something else.",
        about=f"{len(creates)} rows: {first}{' ...' if creates[_SHOWN:] else ''}",
        choices=(
            Choice(answer="no pieces", items=()),
            Choice(answer="pieces", items=tuple(creates)),
        ),
    )


_SHOWN = 3
"""Rows that are named where something is about many."""


def asked_of_twins(create: CreateObject, twins: Sequence[ObjectRecord], place: str) -> Asked:
    """A row whose number another source's record bears: the same piece, or another one?"""
    record = create.record
    same = tuple(
        Choice(
            answer="the same" if len(twins) == 1 else f"the same as {twin.title}",
            items=(_joining(create, twin),),
        )
        for twin in twins
    )
    titles = "; ".join(f"'{twin.title}'" for twin in twins)
    return Asked(
        key=f"{create.key}\nsame number",
        reason="same number",
        source=create.source,
        asks=f"'{record.title}' bears the number of {titles}. Is it the same piece?",
        about=f"{record.stock_number}, {place}",
        choices=(*same, Choice(answer="another", items=(create,))),
    )


def asked_of_edit(change: ChangeObject, edit: Version, cell: Cell) -> Asked:
    """A cell with other words than last time, of which a person changed what came: which holds?"""
    nothing = ObjectRecord(id=change.removes.id)
    keep = msgspec.structs.replace(change, reasons=(), removes=nothing, adds=nothing)
    return Asked(
        key=f"{change.key}\nedited",
        reason="changed in both",
        source=change.source,
        asks=(
            f"The cell says '{cell.text}', but {edit.action.who} changed what came "
            f"from it in the catalogue on {edit.action.at[:10]}. Which holds?"
        ),
        about=f"{change.name}, {cell.place or cell.column}",
        choices=(
            Choice(answer="the catalogue", items=(keep,)),
            Choice(answer="the spreadsheet", items=(change,)),
        ),
    )


def asked_of_likeness(
    key: str,
    source: str,
    record: ObjectRecord,
    place: str,
    number: str,
    same: tuple[AnyItem, ...],
    another: tuple[AnyItem, ...],
) -> Asked:
    """A row much like one that was taken in: `same` and `another` are what follows of either."""
    return Asked(
        key=key,
        reason="much alike",
        source=source,
        asks=(
            f"{place} is much like what '{record.name}' ({record.title}) was taken in "
            "from. Is it the same piece, with changes?"
        ),
        about=f"{number or 'no number'}, {place}",
        choices=(Choice(answer="the same", items=same), Choice(answer="another", items=another)),
    )


def _first_words(create: CreateObject) -> str:
    return ", ".join(list(create.cells.values())[:2])


def _joining(create: CreateObject, twin: ObjectRecord) -> ChangeObject:
    """What a row says, as statements that join another record."""
    record = create.record
    fields = {name: list(s) for name in STATEMENT_FIELDS if (s := getattr(record, name))}
    return ChangeObject(
        accept=True,
        key=create.key,
        source=create.source,
        name=twin.name,
        removes=ObjectRecord(id=twin.id),
        adds=partial(twin.id, _unpreferred(fields)),
        row=create.row,
        cells=create.cells,
    )


def _unpreferred(fields: Mapping[str, list[Any]]) -> dict[str, list[Any]]:
    """Statements that join a record are none of them preferred there."""
    return {
        name: [
            msgspec.structs.replace(s, preferred=False) if getattr(s, "preferred", False) else s
            for s in statements
        ]
        for name, statements in fields.items()
    }
