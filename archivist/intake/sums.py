"""Rows of a stock book that tell of no piece: totals, subtotals, what is carried forward."""

from __future__ import annotations

import functools
import re

from archivist.catalogue.entities import folded
from archivist.hooks import FoundRow
from archivist.reading.tables import Tables

_AFTER = re.compile(r"[\s:.=]*(?:[\d/ ]{0,9})$")


def looks_like_sum(row: FoundRow, tables: Tables) -> bool:
    """Whether words stand in one cell alone, and are a word for a sum ('Total 2004:').

    What else the row has are numbers: 'Total | | 1,240.50'. A row of words, as a description that
    begins with 'Total', is none.
    """
    wordy = [c.text for c in row.cells if any(character.isalpha() for character in c.text)]
    if len(wordy) != 1:
        return False
    return _AFTER.sub("", folded(wordy[0])) in _words(tables)


@functools.lru_cache(maxsize=1)
def _words(tables: Tables) -> frozenset[str]:
    return frozenset(folded(n) for row in tables.terms("sum") for n in row.names)
