"""Dates in words and figures become dates of the model.

- `words`, `tokens`: the text as tokens with senses; `lore`: the tables, compiled
- `items`, with `parts`, `days`, `named`, `regnal`: one date each
- `sequence`: items that settle one another; `settle`: an item as years
- `statements`: 'before', 'dated', 'or later' around a sequence
- `reader`: all statements of a text; `overall`: the date of the whole
"""

from archivist.reading.dates.reader import (
    claimed_date,
    overall,
    overlapping_years,
    read_date_cell,
    read_dates,
)

__all__ = ["claimed_date", "overall", "overlapping_years", "read_date_cell", "read_dates"]
