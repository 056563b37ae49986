"""The rows of a source against what the archive has of them: what is new, changed, or in doubt."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import msgspec

from archivist.catalogue.catalogue import Catalogue, Version
from archivist.catalogue.numbers import number_key
from archivist.catalogue.sources import ImportedCell
from archivist.hooks import Cell, FoundRow
from archivist.intake.bands import Band, Bands
from archivist.intake.cells import CellReader
from archivist.intake.drafts import (
    Columns,
    cells_of,
    changes_of_cell,
    column_of,
    from_cell,
    keep_preference,
    lasting_id,
    number_in,
    partial,
    questions_of,
    read_cells,
    record_of,
)
from archivist.intake.proposal import (
    AnyItem,
    Asked,
    ChangeObject,
    CreateObject,
)
from archivist.intake.roles import Role
from archivist.intake.row_keys import Imported, row_keys
from archivist.intake.row_questions import (
    asked_of_band,
    asked_of_edit,
    asked_of_likeness,
    asked_of_sum,
    asked_of_table,
    asked_of_twins,
)
from archivist.intake.sums import looks_like_sum
from archivist.model import STATEMENT_FIELDS, Certainty, ObjectRecord

INTAKE = "intake"
"""The kind of action that `apply` is; other kinds are a person's own edits."""


@dataclass
class Rows:
    """What was made of the rows of one source."""

    items: list[AnyItem] = field(default_factory=list)
    questions: list[Asked] = field(default_factory=list)
    records: list[ObjectRecord] = field(default_factory=list)
    headings: list[FoundRow] = field(default_factory=list)
    unchanged: int = 0


def by_row(cells: Mapping[tuple[str, str], ImportedCell]) -> dict[str, dict[str, ImportedCell]]:
    """Imported cells by row key, then by column."""
    result: dict[str, dict[str, ImportedCell]] = {}
    for (row, column), cell in cells.items():
        result.setdefault(row, {})[column] = cell
    return result


class RowIntake:
    """Compares the rows of one source with the catalogue."""

    def __init__(
        self,
        catalogue: Catalogue,
        source: str,
        columns: Columns,
        reader: CellReader,
        imported: Imported,
        records: Iterable[ObjectRecord],
        recast: Collection[tuple[str, str]] = (),
        doubted: Collection[str] = (),
    ) -> None:
        """`recast` are columns (table, heading) whose role changed since they were taken in,
        `doubted` the tables that perhaps hold no pieces."""
        self.catalogue = catalogue
        self.source = source
        self.columns = columns
        self.reader = reader
        self.imported = imported
        self.recast = recast
        self.doubted = doubted
        self._of_doubted: dict[str, list[CreateObject]] = {}
        self._bands = Bands((), columns)
        self.by_number: dict[tuple[str, ...], list[ObjectRecord]] = {}
        for record in records:
            for number in (record.stock_number, *record.other_numbers):
                if key := number_key(number):
                    self.by_number.setdefault(key, []).append(record)
        self.result = Rows()

    def take(self, rows: Sequence[FoundRow]) -> Rows:
        """Goes through all rows of the source, but for headings that stand between them."""
        self._bands = Bands(rows, self.columns)
        self.result.headings = [row for row in rows if self._bands.of(row) is Band.HEADING]
        if self.result.headings:
            rows = [row for row in rows if self._bands.of(row) is not Band.HEADING]
        numbers = [number_in(row, self.columns) for row in rows]
        keys, reviewed = row_keys(rows, numbers, self.imported)
        headings = {(row.table, cell.column) for row in rows for cell in row.cells}
        for row, number, key in zip(rows, numbers, keys, strict=True):
            if key in self.imported:
                self._known(row, key, headings)
            elif key in reviewed:
                self._perhaps_known(row, key, reviewed[key], headings)
            else:
                self._new(row, key, number)
        self.result.questions.extend(
            asked_of_table(table, self.source, creates)
            for table, creates in self._of_doubted.items()
        )
        return self.result

    # New rows

    def _new(self, row: FoundRow, key: str, number: str) -> None:
        """A row that was never taken in."""
        object_id = lasting_id(self.source, "object", key)
        said = read_cells(row.cells, row.table, self.columns, self.reader)
        record = record_of(said, object_id)
        twins = [r for r in self.by_number.get(number_key(number), ()) if r.id != object_id]
        place = _place(row)
        create = CreateObject(
            accept=True,
            key=key,
            source=self.source,
            reasons=(f"{place} is new",),
            record=record,
            row=key,
            cells=cells_of(row),
        )
        if row.table in self.doubted:
            self._of_doubted.setdefault(row.table, []).append(create)
            return
        self.result.questions.extend(
            questions_of(said, record, self.source, key, lambda c: from_cell(record, "", "", c))
        )
        if "#" in key and number:
            reason = f"{place}: the number {number} is used more than once in this source"
            create = _because(create, reason, Certainty.PROBABLE)
        if looks_like_sum(row, self.reader.tables):
            self.result.questions.append(asked_of_sum(create, place))
        elif self._bands.of(row) is Band.PERHAPS:
            self.result.questions.append(asked_of_band(create, place))
        elif twins:
            self.result.questions.append(asked_of_twins(create, twins, place))
        else:
            self.result.items.append(create)
            self.result.records.append(record)

    # Rows that were taken in before

    def _known(self, row: FoundRow, key: str, headings: set[tuple[str, str]]) -> None:
        """A row that was taken in before: only cells whose words changed count."""
        before = self.imported[key]
        now = {cell.column: cell for cell in row.cells}
        changed = [
            column
            for column in {**before, **now}
            if (
                _text(before, column) != _text(now, column)
                and (column in now or (row.table, column) in headings)
            )
            or (column in now and self._is_recast(row.table, column))
        ]
        if not changed:
            self.result.unchanged += 1
            return
        object_id = next(iter(before.values())).object
        record = self.catalogue.get(object_id, ObjectRecord)
        if record is None:
            self._new(row, key, number_in(row, self.columns))
            return
        for column in changed:
            cell = now.get(column) or Cell(column=column, text="", place=_place(row))
            self._changed(row, key, record, cell, before.get(column))

    def _is_recast(self, table: str, column: str) -> bool:
        return (table, column) in self.recast or ("", column) in self.recast

    def _changed(
        self,
        row: FoundRow,
        key: str,
        record: ObjectRecord,
        cell: Cell,
        before: ImportedCell | None,
    ) -> None:
        """A cell with other words than last time: its statements are replaced, unless edited."""
        gone = from_cell(record, self.source, key, cell.column)
        held = (
            s for name, kept in _statements(record) for s in kept if s not in gone.get(name, ())
        )
        said = read_cells((cell,), row.table, self.columns, self.reader, held)
        come = keep_preference(gone, said.fields)
        role = column_of(self.columns, row.table, cell.column).role
        words = before.text if before else ""
        reason = f"{cell.place or _place(row)} said '{words}', now '{cell.text}'"
        if words == cell.text:
            reason = f"the column '{cell.column}' is now read as '{role}'"
        single_gone, single_come = _singles(record, said, before, row, self.columns, cell.column)
        change = ChangeObject(
            accept=True,
            key=f"{key}\n{cell.column}\n{role}\n{cell.text}",
            source=self.source,
            reasons=(reason,),
            name=record.name,
            removes=partial(record.id, gone, **single_gone),
            adds=partial(record.id, come, **single_come),
            row=key,
            cells={cell.column: cell.text},
        )
        edit = self._edited_since(record.id, key, cell.column)
        if edit is None:
            self.result.items.append(change)
            self.result.questions.extend(
                questions_of(said, record, self.source, key, lambda column: come)
            )
            return
        self.result.questions.append(asked_of_edit(change, edit, cell))

    def _edited_since(self, object_id: str, key: str, column: str) -> Version | None:
        """The edit that last changed what came from a cell, if none was an intake since."""
        last: Version | None = None
        versions = self.catalogue.versions(object_id)
        for version in changes_of_cell(versions, self.source, key, column):
            last = None if version.action.kind == INTAKE else version
        return last

    def _perhaps_known(
        self, row: FoundRow, key: str, like: str, headings: set[tuple[str, str]]
    ) -> None:
        """A row that may be one that was taken in before, with another number or other words."""
        before = self.imported[like]
        record = self.catalogue.get(next(iter(before.values())).object, ObjectRecord)
        if record is None:
            self._new(row, key, number_in(row, self.columns))
            return
        place = _place(row)
        other = RowIntake(
            self.catalogue, self.source, self.columns, self.reader, {like: before}, ()
        )
        other._known(row, like, headings)
        fresh = RowIntake(self.catalogue, self.source, self.columns, self.reader, {}, ())
        fresh._new(row, key, number_in(row, self.columns))
        self.result.questions.append(
            asked_of_likeness(
                f"{key}\nlike\n{like}",
                self.source,
                record,
                place,
                number_in(row, self.columns),
                tuple(other.result.items),
                tuple(fresh.result.items),
            )
        )


def _text(cells: Mapping[str, ImportedCell] | Mapping[str, Cell], column: str) -> str:
    return cells[column].text if column in cells else ""


def _place(row: FoundRow) -> str:
    return f"sheet {row.table}, row {row.number}" if row.table else f"row {row.number}"


def _because(item: CreateObject, reason: str, certainty: Certainty) -> CreateObject:
    return msgspec.structs.replace(item, reasons=(*item.reasons, reason), certainty=certainty)


def _statements(record: ObjectRecord) -> Iterable[tuple[str, tuple[Any, ...]]]:
    return ((name, getattr(record, name)) for name in STATEMENT_FIELDS)


def _singles(
    record: ObjectRecord,
    said: Any,
    before: ImportedCell | None,
    row: FoundRow,
    columns: Columns,
    heading: str,
) -> tuple[dict[str, Any], dict[str, Any]]:
    """What changes of the fields that are no statements: numbers and composition."""
    role = column_of(columns, row.table, heading).role
    gone: dict[str, Any] = {}
    come: dict[str, Any] = {}
    if role is Role.STOCK_NUMBER:
        gone["stock_number"], come["stock_number"] = record.stock_number, said.stock_number
    elif role is Role.OTHER_NUMBER:
        if before is not None and before.text.strip() in record.other_numbers:
            gone["other_numbers"] = (before.text.strip(),)
        come["other_numbers"] = tuple(said.other_numbers)
    elif role is Role.TITLE and said.composition != record.composition and said.composition:
        gone["composition"], come["composition"] = record.composition, said.composition
    return gone, come
