"""What reading one spreadsheet may cost, whatever the file claims."""

from __future__ import annotations

LARGEST_MEMORY = 450 << 20
"""Bytes of memory of the process that reads a workbook; 100,000 rows of 13 columns take 260 MB."""

LONGEST_TIME = 120
"""Seconds of processor time of that process."""

LONGEST_CELL = 1 << 20
"""Characters of a cell; Excel's own limit is 32,767 ('Excel specifications and limits')."""

LARGEST_TEXT = 1 << 28
"""Bytes of a csv or tsv file."""

ROWS_AT_ONCE = 200
"""Rows that are handed over together."""
