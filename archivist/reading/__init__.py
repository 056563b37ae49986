"""Words -> model: dates, measurements, marks, condition, features, provenance and titles.

Every reader is a pure function `(text, tables) -> Understood`: no I/O, no clock, no locale, the
same result for the same text, and no exception whatever the text. What is not read stays in
`Understood.unread`, what has two readings in `Understood.questions`.

    >>> from archivist.reading import load_tables, overall, read_dates
    >>> overall(read_dates("Qianlong mark and period", load_tables())).edtf
    '1736/1795'

The names below are loaded when they are first asked for, so that a command which reads no words
does not pay for it.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from archivist.reading.condition import read_condition
    from archivist.reading.contradictions import Contradiction, contradictions
    from archivist.reading.dates import claimed_date, overall, read_date_cell, read_dates
    from archivist.reading.features import read_features
    from archivist.reading.marks import read_marks
    from archivist.reading.measurements.read import read_measurements
    from archivist.reading.provenance import print_provenance
    from archivist.reading.provenance.read import read_provenance
    from archivist.reading.result import Question, Span, Understood
    from archivist.reading.tables import Tables, load_tables
    from archivist.reading.titles import read_title

_PLACES = {
    "Contradiction": "contradictions",
    "Question": "result",
    "Span": "result",
    "Tables": "tables",
    "Understood": "result",
    "claimed_date": "dates",
    "contradictions": "contradictions",
    "load_tables": "tables",
    "overall": "dates",
    "print_provenance": "provenance",
    "read_condition": "condition",
    "read_date_cell": "dates",
    "read_dates": "dates",
    "read_features": "features",
    "read_marks": "marks",
    "read_measurements": "measurements.read",
    "read_provenance": "provenance.read",
    "read_title": "titles",
}

__all__ = [
    "Contradiction",
    "Question",
    "Span",
    "Tables",
    "Understood",
    "claimed_date",
    "contradictions",
    "load_tables",
    "overall",
    "print_provenance",
    "read_condition",
    "read_date_cell",
    "read_dates",
    "read_features",
    "read_marks",
    "read_measurements",
    "read_provenance",
    "read_title",
]


def __getattr__(name: str) -> Any:
    """A public name, from the module that defines it."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_PLACES[name]}"), name)
