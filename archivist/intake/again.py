"""The kept words of cells read once more: what is read otherwise now than when it was taken in.

A cell whose statements nobody touched is corrected; one that a person edited, or answered a
question about, stays as it is.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.sources import ImportedCell, imported, sources
from archivist.hooks import Cell
from archivist.intake.cells import CellReader, Said
from archivist.intake.drafts import (
    changes_of_cell,
    column_of,
    completed,
    from_cell,
    keep_preference,
    partial,
    questions_of,
    read_cells,
    told_shortly,
)
from archivist.intake.earlier import Earlier
from archivist.intake.mapping import Column, read_mapping, taken_in_beside
from archivist.intake.proposal import AnyItem, Asked, ChangeObject, ProposedSource
from archivist.intake.rows import INTAKE, by_row
from archivist.model import STATEMENT_FIELDS, Note, ObjectRecord, Statement

NAME = "read again"
"""What a proposal of corrections is called, by which its own corrections are known later."""

_CORRECTED = re.compile(r"-read-again-\d+\.json$")
_SHOWN = 4


@dataclass
class ReadAgain:
    """What reading the kept words once more comes to."""

    items: list[AnyItem] = field(default_factory=list)
    questions: list[Asked] = field(default_factory=list)
    sources: list[ProposedSource] = field(default_factory=list)
    untouched: int = 0


def read_again(archive: Archive, reader: CellReader, earlier: Earlier) -> ReadAgain:
    """Corrections for every cell of every table that was taken in."""
    result = ReadAgain()
    for source in sources(archive.catalogue):
        columns = _columns(archive, source.id)
        if not columns:
            continue
        again = _Source(archive, source.id, columns, reader, earlier, result)
        before = len(result.items) + len(result.questions)
        for key, cells in by_row(imported(archive.catalogue, source.id)).items():
            again.row(key, cells)
        if len(result.items) + len(result.questions) > before:
            result.sources.append(
                ProposedSource(id=source.id, reader=source.reader, location=source.location)
            )
    return result


def _columns(archive: Archive, source: str) -> dict[tuple[str, str], Column]:
    """How the columns of a source were read when it was taken in, by heading alone.

    A heading that means one thing in one sheet and another in the next is left out, as kept words
    do not tell of which sheet they are.
    """
    files = sorted(archive.proposals.glob(f"*.{source[:8]}.toml"))
    if not files:
        return {}
    taken = taken_in_beside(files[0])
    found: dict[str, list[Column]] = {}
    for column in read_mapping(taken if taken.exists() else files[0]).column:
        found.setdefault(column.heading, []).append(column)
    return {
        ("", heading): msgspec.structs.replace(columns[0], table="")
        for heading, columns in found.items()
        if all(columns[0].reads_as(other) for other in columns)
    }


class _Source:
    """Reads the rows of one source again."""

    def __init__(
        self,
        archive: Archive,
        source: str,
        columns: Mapping[tuple[str, str], Column],
        reader: CellReader,
        earlier: Earlier,
        result: ReadAgain,
    ) -> None:
        self.catalogue = archive.catalogue
        self.source = source
        self.columns = columns
        self.reader = reader
        self.earlier = earlier
        self.result = result
        rows = self.catalogue.connection.execute(
            'SELECT row, "column", action.number AS number FROM imported '
            "JOIN action ON action.id = imported.action WHERE source = ?",
            (source,),
        )
        self._taken: dict[tuple[str, str], set[int]] = {}
        for row in rows:
            self._taken.setdefault((row["row"], row["column"]), set()).add(row["number"])

    def row(self, key: str, cells: Mapping[str, ImportedCell]) -> None:
        """One row: each of its cells that is read otherwise now, and that nobody touched."""
        record = self.catalogue.get(next(iter(cells.values())).object, ObjectRecord)
        if record is None or record.withdrawn or record.merged_into:
            return
        known = {c: cell for c, cell in cells.items() if ("", c) in self.columns}
        held = {name: from_cell(record, self.source, key, name) for name in known}
        places = {n: _origin(s) for n, fields in held.items() for s in _all(fields)[:1]}
        words = tuple(
            Cell(column=c, text=cell.text, place=places[c].place if c in places else "")
            for c, cell in known.items()
        )
        ours = {id(s) for fields in held.values() for s in _all(fields)}
        others = [
            s for name in STATEMENT_FIELDS for s in getattr(record, name) if id(s) not in ours
        ]
        said = read_cells(words, "", self.columns, self.reader, others)
        original = next((origin.original for origin in places.values()), "")
        fresh = completed(partial(record.id, said.fields), self.source, key, original)
        for cell in words:
            come = from_cell(fresh, self.source, key, cell.column)
            self._cell(record, key, cell, held[cell.column], come, said)

    def _cell(
        self,
        record: ObjectRecord,
        key: str,
        cell: Cell,
        gone: dict[str, list[Any]],
        come: dict[str, list[Any]],
        said: Said,
    ) -> None:
        if _content(gone) == _content(come):
            return
        if self._is_touched(record.id, key, cell.column):
            self.result.untouched += 1
            return
        mine = Said(questions=[d for d in said.questions if d.cell.column == cell.column])
        come = keep_preference(gone, come)
        role = column_of(self.columns, "", cell.column).role
        change = ChangeObject(
            accept=True,
            key=f"{key}\n{cell.column}\n{role}\n{cell.text}\nread again",
            source=self.source,
            reasons=(_reason(cell, gone, come),),
            name=record.name,
            removes=partial(record.id, gone),
            adds=partial(record.id, come),
            row=key,
            cells={cell.column: cell.text},
        )
        self.result.items.append(change)
        self.result.questions.extend(
            questions_of(mine, record, self.source, key, lambda column: come)
        )

    def _is_touched(self, object_id: str, key: str, column: str) -> bool:
        """Whether anything but taking the cell in changed what came from it, or a person answered
        a question about it."""
        if self.earlier.was_answered(self.source, key, column):
            return True
        taken = self._taken.get((key, column), set())
        versions = self.catalogue.versions(object_id)
        for version in changes_of_cell(versions, self.source, key, column):
            action = version.action
            corrected = action.kind == INTAKE and _CORRECTED.search(action.why)
            if action.number not in taken and not corrected:
                return True
        return False


def _all(fields: Mapping[str, list[Any]]) -> list[Any]:
    return [s for statements in fields.values() for s in statements]


def _origin(statement: Statement) -> Any:
    return statement.source


def _content(fields: Mapping[str, list[Any]]) -> Counter[bytes]:
    """What statements say, without how they were read and where exactly they stood."""
    return Counter(msgspec.json.encode(_bare(s)) for s in _all(fields))


def _bare(statement: Any) -> Any:
    plain = msgspec.structs.replace(statement, source=None, reading=None)
    return msgspec.structs.replace(plain, preferred=False) if hasattr(plain, "preferred") else plain


def _reason(cell: Cell, gone: Mapping[str, list[Any]], come: Mapping[str, list[Any]]) -> str:
    old, new = _content(gone), _content(come)
    lost = [s for s in _all(gone) if msgspec.json.encode(_bare(s)) not in new]
    won = [s for s in _all(come) if msgspec.json.encode(_bare(s)) not in old]
    place = cell.place or cell.column
    return f"{place}: '{cell.text[:80]}' was read as {_told(lost)}, is now read as {_told(won)}"


def _told(statements: Iterable[Any]) -> str:
    told = [
        f"{told_shortly(s)} ({s.certainty.value})"
        if s.certainty.value != "certain"
        else told_shortly(s)
        for s in statements
        if not isinstance(s, Note)
    ]
    return "; ".join(told[:_SHOWN]) or "words"
