"""A cell and its column's role become statements, each with its words and where they stood."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TypeVar

import msgspec

from archivist.hooks import Cell
from archivist.intake import words
from archivist.intake.days import Day, read_day
from archivist.intake.mapping import Column
from archivist.intake.money import read_amount
from archivist.intake.parties import Parties, name_in, tells_no_dealing
from archivist.intake.roles import (
    ATTRIBUTIONS,
    DAYS,
    DEALINGS,
    FEATURES,
    PRICES,
    PRIVATE,
    TELLINGS,
    TRADE,
    Role,
)
from archivist.intake.said_already import said_already
from archivist.model import (
    Attribution,
    Citation,
    Composition,
    Feature,
    Mark,
    MarkKind,
    Measurement,
    Note,
    Observation,
    ProvenanceEvent,
    Relation,
    SaleFact,
    SaleStage,
    Source,
    Statement,
    Title,
    Unit,
)
from archivist.reading.provenance import dealing_in
from archivist.reading.result import Question, ReadStatement, Understood
from archivist.reading.tables import Tables

AnyStatement = TypeVar("AnyStatement", bound=Statement)

FIELDS: dict[type[Statement], str] = {
    Title: "titles",
    Attribution: "attributions",
    Feature: "features",
    Measurement: "measurements",
    Mark: "marks",
    Observation: "observations",
    ProvenanceEvent: "provenance",
    Citation: "citations",
    Relation: "relations",
    SaleFact: "sales",
    Note: "notes",
}
"""Where in a record a statement of each kind stands."""

READ = frozenset(
    {Role.DATE, Role.PERIOD, Role.OPINION, Role.TITLE, Role.MARK, Role.CONDITION, Role.PROVENANCE}
    | {Role.SIZE, *words.DIMENSIONS, *FEATURES, *ATTRIBUTIONS}
)
"""Roles whose words are read by the readers of words."""

ALWAYS_KEPT = frozenset({Role.OPINION, Role.NOTE, Role.PRIVATE_NOTE, Role.SHELF, Role.KEEP})
"""Roles whose words also stand as they are, however much of them was read."""


@dataclass(frozen=True)
class Doubt:
    """What the words of a cell leave open, and each reading with its statements filed."""

    cell: Cell
    question: Question
    readings: tuple[tuple[Statement, ...], ...]


@dataclass
class Said:
    """What a row says: the parts of a record, gathered cell by cell."""

    stock_number: str = ""
    other_numbers: list[str] = field(default_factory=list)
    credit: str = ""
    composition: Composition | None = None
    fields: dict[str, list[Statement]] = field(default_factory=dict)
    questions: list[Doubt] = field(default_factory=list)
    dealt_with: dict[SaleStage, str] = field(default_factory=dict)
    naming: Title | None = None
    """The clause of a description that names the piece, the title where no column has one."""

    def add(self, statement: Statement, place: str = "") -> None:
        """Files a statement where its kind belongs, or in the field `place`."""
        self.fields.setdefault(place or FIELDS[type(statement)], []).append(statement)


class CellReader:
    """Reads cells; keeps nothing of them but the parties they name."""

    def __init__(self, tables: Tables, parties: Parties) -> None:
        self.tables = tables
        self.parties = parties

    def read(self, said: Said, column: Column, cell: Cell, context: tuple[str, ...] = ()) -> None:
        """Adds to `said` what `cell` says in the role of its column.

        `context` are other words of the row that may help to read a date.
        """
        role, text = column.role, cell.text.strip()
        if role is Role.LEAVE_OUT or not text:
            return
        if role is Role.STOCK_NUMBER:
            self._numbered(said, column, cell)
            return
        if role is Role.OTHER_NUMBER:
            said.other_numbers.append(text)
            return
        if role is Role.CREDIT:
            said.credit = text
            return
        private = column.private or role in PRIVATE - {Role.KEEP, Role.PHOTOGRAPHS}
        common = Common(Source(column=cell.column, place=cell.place), private)
        if role in READ:
            self._read_words(said, column, cell, common, context)
        elif role is Role.DESCRIPTION:
            note = Note(heading=cell.column, as_stated=text)
            said.add(common.on(note), "descriptions")
        elif tells_no_dealing(text, self.tables):
            note = Note(heading=cell.column, as_stated=text)
            said.add(Common(common.source, private or role in TRADE).on(note))
        elif not self._dealing(said, column, text, common):
            said.add(common.on(Note(heading=cell.column, as_stated=text)))

    def _numbered(self, said: Said, column: Column, cell: Cell) -> None:
        """A stock number; words in brackets after it are none of it: 'KB 0512 (pair)'."""
        text = cell.text.strip()
        said.stock_number = number_of(text)
        if said.stock_number == text:
            return
        common = Common(Source(column=cell.column, place=cell.place), column.private)
        said.add(common.on(Note(heading=cell.column, as_stated=text)))
        words_beside = text.removeprefix(said.stock_number).strip(" ()[]")
        found = _understood(Role.TITLE, words_beside, self.tables, None, ())
        said.composition = said.composition or found.composition

    def describe(self, said: Said, column: Column, cell: Cell, held: Iterable[Statement]) -> None:
        """Adds to `said` what a description says that neither it nor `held` says already."""
        common = Common(Source(column=cell.column, place=cell.place), column.private)
        understood = self.filed(_understood(column.role, cell.text, self.tables, None, ()), common)
        known = [*held, *(s for statements in said.fields.values() for s in statements)]
        for statement in understood.statements:
            if isinstance(statement, Title):
                said.naming = said.naming or statement
            elif not said_already(statement, known):
                known.append(statement)
                said.add(statement)
        for question in understood.questions:
            if not any(said_already(s, known) for reading in question.readings for s in reading):
                said.questions.append(Doubt(cell, question, question.readings))

    def _read_words(
        self,
        said: Said,
        column: Column,
        cell: Cell,
        common: Common,
        context: tuple[str, ...],
    ) -> None:
        """Dates, sizes, marks, condition, provenance and titles, by the readers of words."""
        text, role = cell.text.strip(), column.role
        understood = self.filed(_understood(role, text, self.tables, column.unit, context), common)
        if role is Role.TITLE:
            said.add(common.on(Title(value=text, as_stated=text)))
        for statement in understood.statements:
            if not isinstance(statement, Title):
                said.add(statement)
        if understood.composition is not None and said.composition is None:
            said.composition = understood.composition
        for question in understood.questions:
            said.questions.append(Doubt(cell, question, question.readings))
        kinds = {type(statement) for statement in understood.statements}
        if role is Role.TITLE:
            return
        if role is Role.MARK and not kinds:
            said.add(common.on(Mark(kind=MarkKind.UNDETERMINED, as_stated=text)))
            return
        if role is Role.PROVENANCE and not kinds:
            said.add(common.on(ProvenanceEvent(as_stated=text)))
            return
        whole = bool(kinds) and not understood.unread
        if role in ALWAYS_KEPT or not whole:
            said.add(common.on(Note(heading=cell.column, as_stated=text)))

    def _dealing(self, said: Said, column: Column, text: str, common: Common) -> bool:
        """Prices, days and parties of the dealer's own trade; whether the role is one of them."""
        role = column.role
        if role in PRICES:
            amount = read_amount(text, self.tables, column.currency)
            fact = SaleFact(stage=PRICES[role], as_stated=text)
            if amount is None and self._is_a_dealing(text, PRICES[role]):
                self._dealt(said, PRICES[role], text, column, common)
                return True
            if amount:
                fact = msgspec.structs.replace(fact, amount=amount.amount, currency=amount.currency)
            said.add(common.on(fact))
        elif role in DAYS:
            day = _day(text, self.tables, column.days)
            fact = SaleFact(stage=DAYS[role], as_stated=text)
            if self._is_a_dealing(text, DAYS[role]):
                self._dealt(said, DAYS[role], text, column, common)
                return True
            if day:
                fact = msgspec.structs.replace(fact, date=day[0], reading=day[1], certainty=day[2])
            said.add(common.on(fact))
        elif role in DEALINGS:
            self._dealt(said, DEALINGS[role], text, column, common)
        elif role is Role.INVOICE:
            said.add(common.on(SaleFact(stage=SaleStage.SOLD, as_stated=text, invoice=text)))
        elif role in TELLINGS:
            stage, what = TELLINGS[role]
            said.add(common.on(Note(heading=column.heading, as_stated=text)))
            if stage in said.dealt_with:
                self.parties.tell(said.dealt_with[stage], what, text)
        else:
            return False
        return True

    def _is_a_dealing(self, text: str, stage: SaleStage) -> bool:
        """Whether a cell of days or prices of a purchase or sale holds a name besides."""
        if stage not in (SaleStage.BOUGHT, SaleStage.SOLD):
            return False
        dealing = dealing_in(text, self.tables)
        named = bool(dealing.name) and name_in(dealing.name, self.tables) is not None
        return named and bool(dealing.sum or dealing.date is not None)

    def _dealt(
        self, said: Said, stage: SaleStage, text: str, column: Column, common: Common
    ) -> None:
        """The other side of a dealing, and its day and sum where the cell has them too."""
        fact = SaleFact(stage=stage, as_stated=text)
        dealing = dealing_in(text, self.tables)
        if dealing.date is None and not dealing.sum:
            party = self.parties.in_words(text)
        else:
            party = self.parties.in_words(", ".join(filter(None, (dealing.name, dealing.place))))
            amount = read_amount(_digits_on(dealing.sum), self.tables, column.currency)
            fact = msgspec.structs.replace(fact, date=dealing.date)
            if amount:
                fact = msgspec.structs.replace(fact, amount=amount.amount, currency=amount.currency)
        if party:
            said.dealt_with[stage] = party.id
            fact = msgspec.structs.replace(fact, party=party.id)
        said.add(common.on(fact))

    def filed(self, understood: Understood, common: Common) -> Understood:
        """What was understood, its statements and the readings of its questions with their source
        and with lasting parties."""
        readings = (s for q in understood.questions for one in q.readings for s in one)
        speakers = {s.who for s in (*understood.statements, *readings) if s.who}
        lasting = {
            party.id: (
                self.parties.speaking(party.name)
                if party.id in speakers
                else self.parties.named(party.name, party.place, party.kind)
            ).id
            for party in understood.parties
            if party.name
        }

        def file(statements: tuple[ReadStatement, ...]) -> tuple[ReadStatement, ...]:
            return tuple(common.on(_renamed(statement, lasting)) for statement in statements)

        return msgspec.structs.replace(
            understood,
            statements=file(understood.statements),
            questions=tuple(
                msgspec.structs.replace(q, readings=tuple(file(r) for r in q.readings))
                for q in understood.questions
            ),
        )


@dataclass(frozen=True)
class Common:
    """What all statements of one cell share."""

    source: Source
    private: bool

    def on(self, statement: AnyStatement) -> AnyStatement:
        """The statement with its source, kept with the owner where the column is."""
        if self.private:
            return msgspec.structs.replace(statement, source=self.source, private=True)
        return msgspec.structs.replace(statement, source=self.source)


_BESIDE_A_NUMBER = re.compile(r"(.*\d\S*)\s*[(\[]([^()\[\]]*[^\W\d_]{3}[^()\[\]]*)[)\]]")


def number_of(text: str) -> str:
    """The stock number in its cell, without words in brackets behind it."""
    beside = _BESIDE_A_NUMBER.fullmatch(text.strip())
    return beside[1].strip() if beside else text.strip()


def _digits_on(words: str) -> str:
    """A sum without the word of price before it: 'for $4,500'."""
    return re.sub(r"^[a-z]+\s+(?=\W?\S*\d)", "", words)


_NAMES_OF_PARTIES = ("who", "giver", "receiver", "agent", "written_by", "party")


def _renamed(statement: AnyStatement, lasting: dict[str, str]) -> AnyStatement:
    """The statement with lasting identifiers of parties instead of its text's own."""
    if not lasting:
        return statement
    changed = {
        name: lasting[value]
        for name in _NAMES_OF_PARTIES
        if (value := getattr(statement, name, "")) in lasting
    }
    return msgspec.structs.replace(statement, **changed) if changed else statement


@functools.lru_cache(maxsize=4096)
def _understood(
    role: Role, text: str, tables: Tables, unit: Unit | None, context: tuple[str, ...]
) -> Understood:
    return words.read(role, text, tables, unit, context)


@functools.lru_cache(maxsize=4096)
def _day(text: str, tables: Tables, order: str) -> Day | None:
    return read_day(text, tables, order)
