"""Free text of any length: a description, a letter, a label."""

from __future__ import annotations

from archivist.reading.result import Understood
from archivist.reading.standing import Position
from archivist.reading.tables import Tables
from archivist.reading.titles import read_title


def read_description(text: str, tables: Tables) -> Understood:
    """What free text says of its piece: in prose nothing without a licence."""
    return read_title(text, tables, position=Position.DESCRIPTION)
