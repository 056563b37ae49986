"""The one door from intake to the readers of words."""

from __future__ import annotations

from collections.abc import Callable

from archivist.intake.roles import Role
from archivist.model import Aspect, Attribution, Dimension, Feature, FeatureAspect, Term, Unit
from archivist.reading.condition import read_condition
from archivist.reading.dates import read_date_cell, read_dates
from archivist.reading.descriptions import read_description
from archivist.reading.features import read_features
from archivist.reading.marks import read_marks
from archivist.reading.measurements import read_measurements
from archivist.reading.provenance import read_provenance
from archivist.reading.result import Understood
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
        dimension = DIMENSIONS.get(role)
        return read_measurements(text, tables, default_unit=unit, default_dimension=dimension)
    if role in (Role.DATE, Role.PERIOD):
        return read_date_cell(text, tables, context=context)
    reader = _READERS.get(role)
    return reader(text, tables) if reader else Understood(text=text)


def term_of(words: str, aspect: Aspect | FeatureAspect, tables: Tables) -> Term:
    """The vocabulary's term where all of `words` is one of its names, else the words as a term."""
    found = read_features(words, tables).statements
    if len(found) == 1 and found[0].as_stated == words:
        statement = found[0]
        if isinstance(statement, Attribution | Feature) and statement.aspect is aspect:
            return statement.term or Term(label=words)
    return Term(label=words)
