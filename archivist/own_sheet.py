"""The archive's own spreadsheet: how a record is laid out in it.

A cell has one line a statement, so that an edit of one line is a change of one statement. Each row
carries the record's identifier and the digest of the version it was written from. What is rejected,
doubted or said by somebody else, or of a part alone, says so in its line. Parts, related pieces,
literature and exhibitions are told, and edited elsewhere.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import msgspec

from archivist import wording
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    CitationKind,
    Feature,
    FeatureAspect,
    Mark,
    Measurement,
    Note,
    ObjectRecord,
    Observation,
    Presence,
    ProvenanceEvent,
    Relation,
    SaleFact,
    SaleStage,
    Statement,
    Title,
    only_reported,
)

RECORD = "Record (leave as it is)"
VERSION = "Version (leave as it is)"
PARTS = "Parts (leave as it is)"
RELATED = "Related pieces (leave as it is)"
LITERATURE = "Literature (leave as it is)"
EXHIBITIONS = "Exhibitions (leave as it is)"
LEAVE_AS_IT_IS = (RECORD, VERSION, PARTS, RELATED, LITERATURE, EXHIBITIONS)
"""Headings of what an edit of a sheet does not change."""

CUT_MARK = "[cut here: a cell holds no more"
CUT = f"\n{CUT_MARK}; all of it stands in records.csv]"
"""The end of a cell that is too long for a workbook."""

NOT_HELD = "not held"
"""Stands before what was rejected."""


_DOUBTED = (Certainty.PROBABLE, Certainty.POSSIBLE, Certainty.DOUBTFUL)
_DOUBT = re.compile(rf"(.+) \(({'|'.join(_DOUBTED)})\)", re.DOTALL)
_HOLDER = re.compile(r"(.+) \(according to (.+)\)", re.DOTALL)

Names = Callable[[str], str]
"""The name of a party by its identifier, '' where it is not known."""


@dataclass(frozen=True)
class SheetColumn:
    """One column: its heading, its role, the field its statements stand in, and which they are.

    A role is one of the words by which columns of any spreadsheet are described.
    """

    heading: str
    role: str
    field: str
    holds: Callable[[Any], bool] = lambda statement: True
    private: bool = False


def _of_aspect(aspect: Aspect | FeatureAspect) -> Callable[[Any], bool]:
    return lambda statement: statement.aspect is aspect


def _sale(stages: tuple[SaleStage, ...], what: str) -> Callable[[Any], bool]:
    return lambda fact: fact.stage in stages and _sale_is(fact) == what


def _sale_is(fact: SaleFact) -> str:
    """What a fact of trade is of: a party, an amount, a day, an invoice; words alone are a party's
    where there can be one."""
    if fact.party:
        return "party"
    if fact.amount:
        return "amount"
    if fact.date is not None:
        return "day"
    if fact.invoice:
        return "invoice"
    return "party" if fact.stage in (SaleStage.BOUGHT, SaleStage.SOLD) else "amount"


_BOUGHT, _SOLD = (SaleStage.BOUGHT,), (SaleStage.SOLD,)
_ASKED = (SaleStage.ASKED, SaleStage.OFFERED)

COLUMNS: tuple[SheetColumn, ...] = (
    SheetColumn("Title", "title", "titles"),
    *(
        SheetColumn(aspect.value.capitalize(), aspect.value, "features", _of_aspect(aspect))
        for aspect in FeatureAspect
    ),
    SheetColumn("Date made", "date made", "attributions", _of_aspect(Aspect.DATE)),
    SheetColumn("Period", "period", "attributions", _of_aspect(Aspect.PERIOD)),
    SheetColumn("Place made", "place made", "attributions", _of_aspect(Aspect.PLACE)),
    SheetColumn("Culture", "culture", "attributions", _of_aspect(Aspect.CULTURE)),
    SheetColumn("Kiln", "kiln", "attributions", _of_aspect(Aspect.KILN)),
    SheetColumn("Maker", "maker", "attributions", _of_aspect(Aspect.MAKER)),
    SheetColumn("Size", "size", "measurements"),
    SheetColumn("Mark", "mark", "marks"),
    SheetColumn("Condition", "condition", "observations"),
    SheetColumn("Provenance", "provenance", "provenance"),
    SheetColumn("Description", "description", "descriptions", lambda note: not note.private),
    SheetColumn("Bought from", "bought from", "sales", _sale(_BOUGHT, "party")),
    SheetColumn("Bought on", "bought on", "sales", _sale(_BOUGHT, "day")),
    SheetColumn("Price paid", "price paid", "sales", _sale(_BOUGHT, "amount")),
    SheetColumn("Price asked", "price asked", "sales", _sale(_ASKED, "amount")),
    SheetColumn("Buyer", "buyer", "sales", _sale(_SOLD, "party")),
    SheetColumn("Sold on", "sold on", "sales", _sale(_SOLD, "day")),
    SheetColumn("Price sold", "price sold", "sales", _sale(_SOLD, "amount")),
    SheetColumn("Invoice number", "invoice number", "sales", _sale(_SOLD, "invoice")),
    SheetColumn("Value", "value", "sales", _sale((SaleStage.INSURED,), "amount")),
    SheetColumn("Notes", "note", "notes", lambda note: not note.private),
    SheetColumn("Private notes", "private note", "notes", lambda note: note.private, private=True),
)
STOCK_NUMBER = "Stock number"
HEADINGS = (
    RECORD,
    VERSION,
    STOCK_NUMBER,
    *(column.heading for column in COLUMNS),
    *LEAVE_AS_IT_IS[2:],
)


def laid_out(record: ObjectRecord, names: Names) -> dict[str, str]:
    """The cells of a record by heading, with the state that they tell of."""
    cells = {RECORD: record.id, VERSION: "", STOCK_NUMBER: record.stock_number}
    for column in COLUMNS:
        cells[column.heading] = "\n".join(lines(record, column, names))
    for heading, told in _told(record, names).items():
        cells[heading] = "\n".join(dict.fromkeys(line for line in told if line))
    cells[VERSION] = state_of(cells)
    return cells


def state_of(cells: Mapping[str, str]) -> str:
    """What tells the state of a record that its cells were written from: a digest of the cells.

    It is of the words and not of the record, since what is written is a copy made for whoever it
    is written for, and only its words come back.
    """
    said = sorted((name, words) for name, words in cells.items() if name != VERSION and words)
    return hashlib.sha256(msgspec.json.encode(said)).hexdigest()


def _told(record: ObjectRecord, names: Names) -> dict[str, list[str]]:
    """What is told and not edited here, by heading."""
    parts = record.composition.parts if record.composition else ()
    cited = {
        kind: [
            _qualified(wording.citation_shown(citation), citation, names)
            for citation in record.citations
            if citation.kind is kind
        ]
        for kind in CitationKind
    }
    return {
        PARTS: [_qualified(wording.part_shown(part), part, names) for part in parts],
        RELATED: [_related(relation, names) for relation in record.relations],
        LITERATURE: cited[CitationKind.LITERATURE],
        EXHIBITIONS: cited[CitationKind.EXHIBITION],
    }


def _related(relation: Relation, names: Names) -> str:
    other = relation.as_stated or relation.object
    return _qualified(f"{relation.kind.value}: {other}", relation, names) if other else ""


def lines(record: ObjectRecord, column: SheetColumn, names: Names) -> tuple[str, ...]:
    """The lines of one cell, each once."""
    return tuple(dict.fromkeys(line for line, _ in said_in(record, column, names) if line))


def said_in(record: ObjectRecord, column: SheetColumn, names: Names) -> list[tuple[str, Statement]]:
    """Each statement of a cell with its line."""
    return [
        (line_of(statement, names), statement)
        for statement in getattr(record, column.field)
        if column.holds(statement)
    ]


def line_of(statement: Statement, names: Names) -> str:
    """A statement on one line: its words as stated, else its value in words."""
    said = statement.as_stated or _value(statement, names)
    if isinstance(statement, SaleFact) and statement.date is not None and said.isdigit():
        said = statement.date.edtf  # a serial number of a day tells a reader nothing
    if isinstance(statement, Note) and statement.heading:
        said = f"{statement.heading}: {said}"
    about = about_of(statement)
    said = f"{about}: {said}" if about and said else said
    return _qualified(" ".join(said.split()), statement, names)


def about_of(statement: Statement) -> str:
    """Of which part a statement is, and what was done then or there; '' for the piece itself."""
    if isinstance(statement, Feature):
        return " ".join(statement.part.split())
    if not isinstance(statement, Attribution):
        return ""
    role = "" if statement.role is AttributionRole.MADE else statement.role.value
    return " ".join(wording.listed((statement.part, role)).split())


def _qualified(line: str, statement: Statement, names: Names) -> str:
    """A line with what keeps it from being the owner's own and certain word."""
    if not line:
        return ""
    certainty = statement.certainty
    if certainty is Certainty.REJECTED:
        line = f"{NOT_HELD}: {line}"
    elif certainty in _DOUBTED and certainty.value not in line.casefold():
        line = f"{line} ({certainty.value})"
    if only_reported(statement) and statement.reading is not None:
        line = f"{line} ({statement.reading.polarity.value})"
    holder = names(statement.who) or (statement.who and "somebody not named here")
    return f"{line} (according to {holder})" if holder else line


@dataclass(frozen=True)
class Line:
    """A line as its words and what is said beside them; `certainty` is None where nothing is."""

    words: str
    certainty: Certainty | None = None
    holder: str = ""


def taken_apart(line: str) -> Line:
    """The line as `line_of` put it together."""
    words, certainty, holder = line, None, ""
    if found := _HOLDER.fullmatch(words):
        words, holder = found[1], found[2]
    if words.startswith(f"{NOT_HELD}: "):
        words, certainty = words.removeprefix(f"{NOT_HELD}: "), Certainty.REJECTED
    elif found := _DOUBT.fullmatch(words):
        words, certainty = found[1], Certainty(found[2])
    return Line(words, certainty, holder)


def _value(statement: Statement, names: Names) -> str:
    """The value of a statement that nobody put in words."""
    match statement:
        case Title():
            return statement.value
        case Attribution() if statement.date is not None:
            return statement.date.edtf or f"{statement.date.earliest} to {statement.date.latest}"
        case Attribution() | Feature():
            return statement.term.label if statement.term else ""
        case Measurement():
            size = (
                statement.low
                if statement.low == statement.high
                else f"{statement.low}-{statement.high}"
            )
            dimension = "" if statement.dimension == "unstated" else f"{statement.dimension} "
            about = "about " if statement.approximate else ""
            return f"{dimension}{statement.part} {about}{size} {statement.unit}"
        case Mark():
            return statement.characters or statement.romanised or statement.claim or statement.kind
        case Observation():
            absent = "no " if statement.presence is Presence.ABSENT else ""
            part = f", {statement.part}" if statement.part else ""
            open_ = ", not decided" if statement.presence is Presence.UNKNOWN else ""
            return f"{absent}{statement.term.label}{part} {statement.extent}{open_}"
        case ProvenanceEvent():
            hands = (names(statement.giver), names(statement.receiver), statement.place)
            date = statement.date.edtf if statement.date else ""
            return ", ".join(w for w in (statement.kind.value, *hands, date) if w)
        case SaleFact():
            date = statement.date.edtf if statement.date else ""
            money = f"{statement.amount} {statement.currency}".strip()
            return ", ".join(w for w in (names(statement.party), money, date) if w)
    return ""
