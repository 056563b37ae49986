"""The one door from intake to the readers of words."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable
from typing import NamedTuple

import msgspec

from archivist.intake.roles import ATTRIBUTIONS, FEATURES, Role
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Dimension,
    Feature,
    FeatureAspect,
    Reading,
    Term,
    Unit,
)
from archivist.reading.condition import read_condition
from archivist.reading.dates import read_date_cell
from archivist.reading.descriptions import read_description
from archivist.reading.features import read_features
from archivist.reading.marks import read_marks
from archivist.reading.measurements import read_measurements
from archivist.reading.provenance import read_provenance
from archivist.reading.result import Question, ReadStatement, Span, Understood
from archivist.reading.standing import Position, understood
from archivist.reading.standing.signals import languages_of, signs_in
from archivist.reading.tables import Tables
from archivist.reading.titles import read_title
from archivist.reading.words import Words, covered, fold

DIMENSIONS = {
    Role.HEIGHT: Dimension.HEIGHT,
    Role.WIDTH: Dimension.WIDTH,
    Role.DEPTH: Dimension.DEPTH,
    Role.LENGTH: Dimension.LENGTH,
    Role.DIAMETER: Dimension.DIAMETER,
    Role.WEIGHT: Dimension.WEIGHT,
    Role.CAPACITY: Dimension.CAPACITY,
}

CONTEXT = frozenset({Role.PLACE, Role.CULTURE, Role.PERIOD, Role.KILN})
"""Roles whose words help to read a date: 'Kangxi' and 'Joseon' are told apart by a country."""


class _Reader(NamedTuple):
    """Who reads the words of a role, and where they stand, which is a licence by itself."""

    read: Callable[[str, Tables], Understood]
    position: Position = Position.CELL


_READERS: dict[Role, _Reader] = {
    Role.OPINION: _Reader(
        functools.partial(read_title, position=Position.OPINION), Position.OPINION
    ),
    Role.TITLE: _Reader(read_title, Position.CAPTION),
    Role.DESCRIPTION: _Reader(read_description, Position.DESCRIPTION),
    Role.MARK: _Reader(read_marks),
    Role.CONDITION: _Reader(read_condition),
    Role.PROVENANCE: _Reader(read_provenance),
}


def read(
    role: Role, text: str, tables: Tables, unit: Unit | None = None, context: tuple[str, ...] = ()
) -> Understood:
    """What the words of a cell in that role say; roles that are not read give nothing.

    `unit` is that of bare numbers, `context` other words of the row. What becomes of each value
    (said of the piece, only mentioned, asked) is decided by the stage of standing.
    """
    if role in DIMENSIONS or role is Role.SIZE:
        if _troy(tables).search(text):
            return Understood(text=text, unread=(Span(start=0, end=len(text)),))
        dimension = DIMENSIONS.get(role)
        found = read_measurements(text, tables, default_unit=unit, default_dimension=dimension)
        return _judged(found, tables, Position.CELL)
    if role in (Role.DATE, Role.PERIOD):
        found = _with_places(read_date_cell(text, tables, context=context), tables)
        return _without_days(_judged(found, tables, Position.CELL))
    if role in FEATURES:
        return _named(text, FEATURES[role], tables)
    if role in ATTRIBUTIONS:
        return _named(text, ATTRIBUTIONS[role], tables)
    reader = _READERS.get(role)
    if reader is None:
        return Understood(text=text)
    return _judged(reader.read(text, tables), tables, reader.position)


def _judged(found: Understood, tables: Tables, position: Position) -> Understood:
    """What a reader found, by the stage of standing, unless the reader asked it already.

    Where the values are all there is in the cell no word is left that could take them away.
    """
    if not any(s.reading is not None and not s.reading.licence for s in found.statements):
        return found
    words = Words(found.text)
    spans = [(s.reading.start, s.reading.end) for s in found.statements if s.reading is not None]
    if all(span != (0, 0) for span in spans):
        taken = covered(len(found.text), spans)
        left = (start for start in words.starts if not taken[start])
        if not any(found.text[start].isalnum() for start in left):
            return msgspec.structs.replace(
                found, statements=tuple(_licensed(s) for s in found.statements)
            )
    unread = covered(len(found.text), ((s.start, s.end) for s in found.unread))
    known = [(a, b) for a, b in zip(words.starts, words.ends, strict=True) if not unread[a]]
    return understood(
        words,
        found.statements,
        tables,
        position,
        questions=found.questions,
        parties=found.parties,
        composition=found.composition,
        spans=known,
    )


def _without_days(found: Understood) -> Understood:
    """What a cell of dates says, days of our own time asked about: they are more often those of a
    sale than of the making."""
    days = [s for s in found.statements if _is_a_recent_day(s)]
    if not days:
        return found
    others = [q for q in found.questions if all(q.span != _span_of(s) for s in days)]
    asked = []
    for day in days:
        same = next((q for q in found.questions if q.span == _span_of(day)), None)
        asked.append(
            Question(
                span=_span_of(day),
                asks="Is it the day when the piece was made?",
                readings=same.readings if same is not None else ((day,),),
                reason="day",
            )
        )
    return msgspec.structs.replace(
        found,
        statements=tuple(s for s in found.statements if s not in days),
        questions=(*others, *asked),
    )


def _span_of(statement: ReadStatement) -> Span:
    reading = statement.reading
    return Span(start=reading.start, end=reading.end) if reading else Span(start=0, end=0)


def _is_a_recent_day(statement: ReadStatement) -> bool:
    if not isinstance(statement, Attribution) or statement.date is None or statement.ground:
        return False
    date = statement.date
    recent = date.earliest is not None and date.earliest >= RECENT
    rule = statement.reading.rule if statement.reading is not None else ""
    return recent and (_DAY.match(date.edtf) is not None or rule.startswith(_IN_FIGURES))


RECENT = 1900
"""The first year of which a day in a column of dates is asked about. A choice of ours."""

_IN_FIGURES = "day in figures"
"""How the rules are called that read '12.3.2004', of which only the year may be known."""

_DAY = re.compile(r"\d{4}-\d{2}(?:-\d{2})?")


def _licensed(statement: ReadStatement) -> ReadStatement:
    """A statement that is all of its cell: the column licenses it."""
    reading = statement.reading
    if reading is None or reading.licence:
        return statement
    licensed = msgspec.structs.replace(reading, licence=Position.CELL.value)
    return msgspec.structs.replace(statement, reading=licensed)


def _named(text: str, aspect: Aspect | FeatureAspect, tables: Tables) -> Understood:
    """What a column of names says: 'Arita', 'probably Arita', 'not Arita', 'Hodota?'.

    Words that are no sign of doubt, denial or a speaker are the name, known or not, so that no
    name is lost for standing in no table.
    """
    doubts = text.count("?")
    words = Words(text)
    if either := _alternatives(text, aspect, tables):
        return _judged(Understood(text=text, statements=either), tables, Position.CELL)
    first, end = _name_at(words, tables)
    if first == end or fold(words.between(first, end)) in _no_names(tables):
        return Understood(text=text, unread=(Span(start=0, end=len(text)),))
    name = words.between(first, end)
    whole = not any(t[0].isalnum() for t in (*words.folded[:first], *words.folded[end:]))
    name = " ".join(_QUERY.sub(" ", text if whole else name).split()) if doubts else name
    label = text if whole and not doubts else name
    reading = None
    if not whole:
        span = (words.starts[first], words.ends[end - 1])
        reading = Reading(rule="column of names", start=span[0], end=span[1])
    make = Feature if isinstance(aspect, FeatureAspect) else Attribution
    statement: ReadStatement = make(
        aspect=aspect,  # type: ignore[arg-type]
        term=term_of(label, aspect, tables),
        as_stated=text,
        certainty=_DOUBTS[min(doubts, len(_DOUBTS) - 1)],
        reading=reading,
    )
    return _judged(Understood(text=text, statements=(statement,)), tables, Position.CELL)


def _alternatives(
    text: str, aspect: Aspect | FeatureAspect, tables: Tables
) -> tuple[ReadStatement, ...]:
    """'London or Delft': each of the names, known or with capitals; neither is certain."""
    parts = list(_EITHER.finditer(text))
    if len(parts) < _FEWEST_ALTERNATIVES:
        return ()
    make = Feature if isinstance(aspect, FeatureAspect) else Attribution
    found: list[ReadStatement] = []
    for part in parts:
        term = term_of(part.group(), aspect, tables)
        if not (term.vocabulary or part.group().istitle()):
            return ()
        found.append(
            make(
                aspect=aspect,  # type: ignore[arg-type]
                term=term,
                as_stated=part.group(),
                certainty=Certainty.POSSIBLE,
                reading=Reading(rule="alternatives", start=part.start(), end=part.end()),
            )
        )
    return tuple(found)


_EITHER = re.compile(r"[^\W\d_](?:(?!\s+(?:or|oder|ou|of|o)\s+|\s*/\s*|\?).)*(?<!\s)")
_FEWEST_ALTERNATIVES = 2


def _name_at(words: Words, tables: Tables) -> tuple[int, int]:
    """The tokens of a name between words of doubt, denial and speakers; all where they stand
    within it."""
    signs, _ = signs_in(words.folded, languages_of(words.folded, tables), tables)
    around = bytearray(len(words))
    for sign in signs:
        if sign.signal.effect in _AROUND_A_NAME:
            around[sign.first : sign.end] = b"\x01" * (sign.end - sign.first)
    held = [i for i, token in enumerate(words.folded) if token[0].isalnum() and not around[i]]
    if not held:
        return 0, 0
    first, end = held[0], held[-1] + 1
    return (0, len(words)) if any(around[first:end]) else (first, end)


@functools.lru_cache(maxsize=1)
def _no_names(tables: Tables) -> frozenset[str]:
    """What says that there is no name, as 'unknown' does."""
    return frozenset(fold(n) for row in tables.terms("no name") for n in row.names)


_QUERY = re.compile(r"\(\s*\?+\s*\)|\?")
_DOUBTS = (Certainty.CERTAIN, Certainty.POSSIBLE, Certainty.DOUBTFUL)
"""How sure a name is with no question mark, one, or more."""

_AROUND_A_NAME = frozenset({"deny", "hedge", "affirm", "undecided"})
"""Effects of words that stand before or after a name and are no part of it."""


@functools.lru_cache(maxsize=1)
def _troy(tables: Tables) -> re.Pattern[str]:
    """Words of troy weight, whose ounce is not the one that sizes are read in: '14 oz 10 dwt'.

    Such a cell is kept as its words, as 14 ounces would be a wrong weight that looks right.
    """
    names = (re.escape(name) for row in tables.terms("troy weight") for name in row.names)
    return re.compile(rf"(?<![^\W\d_])(?:{'|'.join(names)})(?![^\W_])", re.IGNORECASE)


def _with_places(found: Understood, tables: Tables) -> Understood:
    """What a cell of dates says, with the place or culture beside its date: 'Delft, 17th c.'.

    Only where all of the unread words are one known name; others stay unread.
    """
    if not found.statements:
        return found
    statements = list(found.statements)
    unread: list[Span] = []
    for span in found.unread:
        named = _place_at(found.text, span, tables)
        if named is None:
            unread.append(span)
        else:
            statements.append(named)
    return msgspec.structs.replace(found, statements=tuple(statements), unread=tuple(unread))


def _place_at(text: str, span: Span, tables: Tables) -> ReadStatement | None:
    """The attribution to a place or culture that all words at `span` are, or None."""
    words = text[span.start : span.end].strip(" ,;:.()")
    found = read_features(words, tables)
    if len(found.statements) != 1 or found.questions or found.unread:
        return None
    named = found.statements[0]
    if not isinstance(named, Attribution) or named.aspect not in (Aspect.PLACE, Aspect.CULTURE):
        return None
    if named.as_stated != words or named.reading is None:
        return None
    if named.certainty is Certainty.REJECTED:
        return None
    start = text.index(words, span.start)
    placed = msgspec.structs.replace(named.reading, start=start, end=start + len(words))
    return msgspec.structs.replace(named, reading=placed)


def term_of(words: str, aspect: Aspect | FeatureAspect, tables: Tables) -> Term:
    """The vocabulary's term where all of `words` is one of its names, else the words as a term."""
    found = read_features(words, tables).statements
    if len(found) == 1 and found[0].as_stated == words:
        statement = found[0]
        if isinstance(statement, Attribution | Feature) and statement.aspect is aspect:
            return statement.term or Term(label=words)
    return Term(label=words)
