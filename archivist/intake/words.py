"""The one door from intake to the readers of words."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable

import msgspec

from archivist.intake.roles import Role
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Dimension,
    Feature,
    FeatureAspect,
    Term,
    Unit,
)
from archivist.reading.condition import read_condition
from archivist.reading.dates import read_date_cell, read_dates
from archivist.reading.descriptions import read_description
from archivist.reading.features import read_features
from archivist.reading.marks import read_marks
from archivist.reading.measurements import read_measurements
from archivist.reading.provenance import read_provenance
from archivist.reading.result import ReadStatement, Span, Understood
from archivist.reading.tables import Tables
from archivist.reading.titles import read_title

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

_READERS: dict[Role, Callable[[str, Tables], Understood]] = {
    Role.OPINION: read_dates,
    Role.TITLE: read_title,
    Role.DESCRIPTION: read_description,
    Role.MARK: read_marks,
    Role.CONDITION: read_condition,
    Role.PROVENANCE: read_provenance,
}


def read(
    role: Role, text: str, tables: Tables, unit: Unit | None = None, context: tuple[str, ...] = ()
) -> Understood:
    """What the words of a cell in that role say; roles that are not read give nothing.

    `unit` is that of bare numbers, `context` other words of the row.
    """
    if role in DIMENSIONS or role is Role.SIZE:
        if _troy(tables).search(text):
            return Understood(text=text, unread=(Span(start=0, end=len(text)),))
        dimension = DIMENSIONS.get(role)
        return read_measurements(text, tables, default_unit=unit, default_dimension=dimension)
    if role in (Role.DATE, Role.PERIOD):
        return _with_places(read_date_cell(text, tables, context=context), tables)
    reader = _READERS.get(role)
    return reader(text, tables) if reader else Understood(text=text)


@functools.lru_cache(maxsize=1)
def _troy(tables: Tables) -> re.Pattern[str]:
    """Words of troy weight, whose ounce is not the one that sizes are read in: '14 oz 10 dwt'.

    Such a cell is kept as its words, as 14 ounces would be a wrong weight that looks right.
    """
    names = (re.escape(name) for row in tables.terms("troy weight") for name in row.names)
    return re.compile(rf"(?<![^\W\d_])(?:{'|'.join(names)})(?![^\W_])", re.IGNORECASE)


def _with_places(understood: Understood, tables: Tables) -> Understood:
    """What a cell of dates says, with the place or culture beside its date: 'Delft, 17th c.'.

    Only where all of the unread words are one known name; others stay unread.
    """
    if not understood.statements:
        return understood
    statements = list(understood.statements)
    unread: list[Span] = []
    for span in understood.unread:
        named = _place_at(understood.text, span, tables)
        if named is None:
            unread.append(span)
        else:
            statements.append(named)
    return msgspec.structs.replace(understood, statements=tuple(statements), unread=tuple(unread))


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
