"""The one door from intake to the readers of words."""

from __future__ import annotations

from archivist.intake.roles import Role
from archivist.model import Dimension, Unit
from archivist.reading.result import Understood
from archivist.reading.tables import Tables

DIMENSIONS = {
    Role.HEIGHT: Dimension.HEIGHT,
    Role.WIDTH: Dimension.WIDTH,
    Role.DEPTH: Dimension.DEPTH,
    Role.LENGTH: Dimension.LENGTH,
    Role.DIAMETER: Dimension.DIAMETER,
    Role.WEIGHT: Dimension.WEIGHT,
    Role.CAPACITY: Dimension.CAPACITY,
}


def read(role: Role, text: str, tables: Tables, unit: Unit | None = None) -> Understood:
    """What the words of a cell in that role say; roles that are not read give nothing."""
    import importlib

    def landed(place: str, name: str):
        try:
            return getattr(importlib.import_module(place), name, None)
        except Exception:
            return None

    if role in DIMENSIONS or role is Role.SIZE:
        f = landed("archivist.reading.measurements", "read_measurements")
        if f:
            return f(text, tables, default_unit=unit, default_dimension=DIMENSIONS.get(role))
        return Understood(text=text)
    m = {
        Role.DATE: ("archivist.reading.dates", "read_dates"),
        Role.PERIOD: ("archivist.reading.dates", "read_dates"),
        Role.OPINION: ("archivist.reading.dates", "read_dates"),
        Role.TITLE: ("archivist.reading.titles", "read_title"),
        Role.MARK: ("archivist.reading.marks", "read_marks"),
        Role.CONDITION: ("archivist.reading.condition", "read_condition"),
        Role.PROVENANCE: ("archivist.reading.provenance", "read_provenance"),
    }.get(role)
    f = (landed("archivist.reading", m[1]) or landed(*m)) if m else None
    return f(text, tables) if f else Understood(text=text)
