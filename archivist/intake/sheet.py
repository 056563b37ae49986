"""What an edited spreadsheet of the archive's own changes.

A cell that still says what the version says that it was written from is not an edit, whatever
happened in the catalogue since; one that says something else is, and is a conflict where the
catalogue says something else too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.sources import imported
from archivist.hooks import Cell, FoundRow, Trouble
from archivist.intake.cells import CellReader, Said
from archivist.intake.days import read_day
from archivist.intake.drafts import column_of, keep_preference, partial, questions_of
from archivist.intake.mapping import Column
from archivist.intake.proposal import AnyItem, Asked, ChangeObject, Choice
from archivist.intake.roles import Role
from archivist.intake.rows import RowIntake, by_row
from archivist.model import Attribution, Feature, ObjectRecord, Party, Statement
from archivist.own_sheet import (
    COLUMNS,
    CUT_MARK,
    HEADINGS,
    LEAVE_AS_IT_IS,
    RECORD,
    STOCK_NUMBER,
    VERSION,
    Line,
    SheetColumn,
    about_of,
    laid_out,
    lines,
    said_in,
    taken_apart,
)


def is_own_sheet(rows: Sequence[FoundRow]) -> bool:
    """Whether rows are of a sheet that an archive wrote."""
    return any(cell.column == RECORD for row in rows[:50] for cell in row.cells)


_MAPPING = {
    **{("", h): Column(heading=h, role=Role.LEAVE_OUT) for h in LEAVE_AS_IT_IS},
    ("", STOCK_NUMBER): Column(heading=STOCK_NUMBER, role=Role.STOCK_NUMBER),
    **{
        ("", c.heading): Column(heading=c.heading, role=Role(c.role), private=c.private)
        for c in COLUMNS
    },
}


@dataclass
class Edits:
    """What an edited sheet comes to."""

    items: list[AnyItem] = field(default_factory=list)
    questions: list[Asked] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)
    records: list[ObjectRecord] = field(default_factory=list)
    unchanged: int = 0


class SheetIntake:
    """Compares an edited sheet with the versions it was written from, and with the catalogue."""

    def __init__(self, catalogue: Catalogue, source: str, reader: CellReader) -> None:
        self.catalogue = catalogue
        self.source = source
        self.reader = reader
        self.imported = by_row(imported(catalogue, source))
        self.result = Edits()
        self._parties = {party.id: party.name for party in catalogue.all(Party)}

    def names(self, id_: str) -> str:
        """The name of a party."""
        return self._parties.get(id_, "")

    def take(self, rows: Sequence[FoundRow]) -> Edits:
        """Goes through all rows; those without an identifier are new records."""
        headings = {cell.column for row in rows for cell in row.cells}
        fresh = [row for row in rows if not _text(row, RECORD)]
        known = [row for row in rows if _text(row, RECORD)]
        mapping = {
            **_MAPPING,
            **{
                ("", h): Column(heading=h, role=Role.KEEP, private=True)
                for h in headings - set(HEADINGS)
            },
        }
        self._rows = RowIntake(self.catalogue, self.source, mapping, self.reader, self.imported, ())
        seen: set[str] = set()
        for row in known:
            id_ = _text(row, RECORD).strip()
            if id_ in seen:
                self._trouble(row, "the record stands in the sheet twice; the first row was used")
                continue
            seen.add(id_)
            self._record(row, id_, headings)
        if fresh:
            result = self._rows.take(fresh)
            self.result.items.extend(result.items)
            self.result.questions.extend(result.questions)
            self.result.records.extend(result.records)
            self.result.unchanged += result.unchanged
        return self.result

    def _trouble(self, row: FoundRow, reason: str, remedy: str = "") -> None:
        place = f"row {row.number}"
        self.result.troubles.append(Trouble(place=place, reason=reason, remedy=remedy))

    def _record(self, row: FoundRow, id_: str, headings: set[str]) -> None:
        """One row of a record that was exported."""
        record = self.catalogue.get(id_, ObjectRecord)
        if record is None:
            self._trouble(
                row,
                f"the record {id_} is not in this archive",
                "Empty its first two cells to take the row in as a new record.",
            )
            return
        base = self._base(id_, _text(row, VERSION).strip())
        before = len(self.result.items) + len(self.result.questions)
        for column in COLUMNS:
            if column.heading in headings:
                self._cell(row, id_, record, base, column)
        if STOCK_NUMBER in headings:
            self._stock_number(row, id_, record, base)
        for heading in sorted(headings - set(HEADINGS)):
            self._other(row, id_, record, heading)
        if len(self.result.items) + len(self.result.questions) == before:
            self.result.unchanged += 1

    def _base(self, id_: str, version: str) -> ObjectRecord | None:
        """The version that a row was written from, None where it is not known.

        A row tells it by the digest of its cells; sheets that were written before tell it by the
        digest of the record.
        """
        for candidate in reversed(self.catalogue.versions(id_)):
            value = candidate.value()
            if isinstance(value, ObjectRecord) and version in (
                candidate.sha256,
                laid_out(value, self.names)[VERSION],
            ):
                return value
        return None

    def _cell(
        self,
        row: FoundRow,
        id_: str,
        record: ObjectRecord,
        base: ObjectRecord | None,
        column: SheetColumn,
    ) -> None:
        """One cell: the same as its base or as the catalogue, else an edit or a conflict."""
        text = _text(row, column.heading)
        said = _lines(text)
        current = lines(record, column, self.names)
        if CUT_MARK in text:
            if not _begins(current, text):
                self._trouble(
                    row,
                    f"the cell under '{column.heading}' was cut when written, and was edited",
                    "Nothing of it was taken in. Edit it in records.csv, or with 'archivist edit'.",
                )
            return
        taken = self.imported.get(id_, {}).get(column.heading)
        if said == current or (taken is not None and _lines(taken.text) == said):
            return
        origin = lines(base, column, self.names) if base is not None else None
        if said == origin or (origin is not None and self._same_days(column, said, origin)):
            return
        cell = _cell_of(row, column.heading)
        if taken is not None:
            self._rows._changed(row, id_, record, cell, taken)
            self.result.items.extend(self._rows.result.items)
            self.result.questions.extend(self._rows.result.questions)
            self._rows.result.items, self._rows.result.questions = [], []
            return
        change, doubts = self._change(id_, record, current, said, column, cell)
        if origin == current:
            self.result.items.append(change)
            self.result.questions.extend(doubts)
        else:
            self._conflict(record, change, cell, current, base is None)

    def _change(
        self,
        id_: str,
        record: ObjectRecord,
        current: tuple[str, ...],
        said: tuple[str, ...],
        column: SheetColumn,
        cell: Cell,
    ) -> tuple[ChangeObject, list[Asked]]:
        """Lines that are gone take their statements along; new lines are read as new ones."""
        gone: dict[str, list[Any]] = {}
        for line, statement in said_in(record, column, self.names):
            if line not in said:
                gone.setdefault(column.field, []).append(statement)
        come = Said()
        described = column_of(_MAPPING, "", column.heading)
        for line in said:
            if line not in current:
                self._read(come, described, _said(cell, line), column, record)
        removed = " / ".join(line for line in current if line not in said)
        added = " / ".join(line for line in said if line not in current)
        fields = keep_preference(gone, come.fields)
        change = ChangeObject(
            accept=True,
            key=f"{id_}\n{column.heading}\n{cell.text}",
            source=self.source,
            reasons=(f"{cell.place}: {_told(removed, added)}",),
            name=record.name,
            removes=partial(record.id, gone),
            adds=partial(record.id, fields),
            row=id_,
            cells={column.heading: cell.text},
        )
        return change, questions_of(come, record, self.source, id_, lambda _: fields)

    def _read(
        self, come: Said, described: Column, cell: Cell, column: SheetColumn, record: ObjectRecord
    ) -> None:
        """A new line: its words are read, and what stands beside them is kept to."""
        whole = taken_apart(cell.text)
        who = next((id_ for id_, name in self._parties.items() if name == whole.holder), "")
        if whole.holder and not who:
            whole = Line(cell.text)
        known = {about_of(s): s for s in getattr(record, column.field) if about_of(s)}
        about, mark, rest = whole.words.partition(": ")
        changes: dict[str, Any] = {"who": who} if who else {}
        if whole.certainty is not None:
            changes["certainty"] = whole.certainty
        like = known.get(about) if mark else None
        if isinstance(like, Attribution):
            changes |= {"part": like.part, "role": like.role}
            whole = Line(rest)
        elif isinstance(like, Feature):
            changes |= {"part": like.part}
            whole = Line(rest)
        read = Said()
        self.reader.read(read, described, _said(cell, whole.words))
        for field_, statements in read.fields.items():
            fitting = [_with(statement, changes) for statement in statements]
            come.fields.setdefault(field_, []).extend(fitting)
        for doubt in read.questions:
            readings = tuple(tuple(_with(s, changes) for s in one) for one in doubt.readings)
            come.questions.append(replace(doubt, readings=readings))

    def _conflict(
        self,
        record: ObjectRecord,
        change: ChangeObject,
        cell: Cell,
        current: tuple[str, ...],
        unknown: bool,
    ) -> None:
        """The catalogue changed too, or nobody knows from what: a person decides."""
        why = (
            "it is not known which version the sheet was written from"
            if unknown
            else "the catalogue was changed too"
        )
        self.result.questions.append(
            Asked(
                key=f"{change.key}\nconflict",
                reason="changed in both",
                source=self.source,
                asks=(
                    f"The sheet says '{' / '.join(_lines(cell.text))}', the catalogue "
                    f"'{' / '.join(current)}', and {why}. Which holds?"
                ),
                about=f"{record.name}, {cell.column}",
                choices=(
                    Choice(answer="the catalogue"),
                    Choice(answer="the spreadsheet", items=(change,)),
                ),
            )
        )

    def _stock_number(
        self, row: FoundRow, id_: str, record: ObjectRecord, base: ObjectRecord | None
    ) -> None:
        """The stock number; zeros that a spreadsheet program took from its front are no edit."""
        said = _text(row, STOCK_NUMBER).strip()
        origin = base.stock_number if base is not None else None
        kept = {record.stock_number, origin, record.stock_number.lstrip("0")}
        if said in kept or (origin is not None and said == origin.lstrip("0")):
            return
        cell = _cell_of(row, STOCK_NUMBER)
        change = ChangeObject(
            accept=True,
            key=f"{id_}\n{STOCK_NUMBER}\n{said}",
            source=self.source,
            reasons=(f"{cell.place}: {_told(record.stock_number, said)}",),
            name=record.name,
            removes=ObjectRecord(id=record.id, stock_number=record.stock_number),
            adds=ObjectRecord(id=record.id, stock_number=said),
        )
        if origin == record.stock_number:
            self.result.items.append(change)
        else:
            self._conflict(record, change, cell, (record.stock_number,), base is None)

    def _other(self, row: FoundRow, id_: str, record: ObjectRecord, heading: str) -> None:
        """A column that the owner added: its words are kept as a note."""
        cell = _cell_of(row, heading)
        taken = self.imported.get(id_, {}).get(heading)
        if (taken.text if taken else "") == cell.text:
            return
        self._rows._changed(row, id_, record, cell, taken)
        self.result.items.extend(self._rows.result.items)
        self.result.questions.extend(self._rows.result.questions)
        self._rows.result.items, self._rows.result.questions = [], []

    def _same_days(
        self, column: SheetColumn, said: tuple[str, ...], origin: tuple[str, ...]
    ) -> bool:
        """Whether a day was only written another way, as spreadsheet programs do by themselves."""
        if column.role not in (Role.BOUGHT_ON, Role.SOLD_ON) or len(said) != len(origin):
            return False
        for one, other in zip(said, origin, strict=True):
            days = [read_day(words, self.reader.tables) for words in (one, other)]
            if one != other and (None in days or days[0][0] != days[1][0]):  # type: ignore[index]
                return False
        return True


def _with(statement: Statement, changes: dict[str, Any]) -> Statement:
    """The statement with those of `changes` that it has fields for."""
    fitting = {name: value for name, value in changes.items() if hasattr(statement, name)}
    return msgspec.structs.replace(statement, **fitting)


def _lines(text: str) -> tuple[str, ...]:
    """The lines of a cell, white space made one, empty lines left out, each once."""
    plain = (" ".join(line.split()) for line in text.splitlines())
    return tuple(dict.fromkeys(line for line in plain if line))


def _text(row: FoundRow, heading: str) -> str:
    return next((cell.text for cell in row.cells if cell.column == heading), "")


def _cell_of(row: FoundRow, heading: str) -> Cell:
    found = next((cell for cell in row.cells if cell.column == heading), None)
    return found or Cell(column=heading, text="", place=f"row {row.number}")


def _begins(current: Sequence[str], text: str) -> bool:
    """Whether what stands before the cut is how the lines `current` begin."""
    before = _lines(text.partition(CUT_MARK)[0])
    return "\n".join(current).startswith("\n".join(before))


def _said(cell: Cell, text: str) -> Cell:
    return Cell(column=cell.column, text=text, place=cell.place)


def _told(removed: str, added: str) -> str:
    if removed and added:
        return f"'{removed}' became '{added}'"
    return f"'{added}' was added" if added else f"'{removed}' was taken out"
