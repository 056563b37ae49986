"""Dates in words and figures become dates of the model.

- `words`, `tokens`: the text as tokens with senses; `lore`: the tables, compiled
- `items`, with `parts`, `centuries`, `days`, `named`, `regnal`, `characters`: one date each;
  `misspelt`: date words with a slip of the typist's
- `sequence`: items in order; `borrowing`: how they settle one another; `settle`: an item as years
- `statements`: 'before', 'dated', 'or later' around a sequence; `combine`: it as one date
- `reader`: all statements of a text; `whole`: the date of all of them
"""

from archivist.reading.dates.reader import (
    claimed_date,
    dates_in,
    read_date_cell,
    read_dates,
)
from archivist.reading.dates.whole import narrowest, overall

__all__ = ["claimed_date", "dates_in", "narrowest", "overall", "read_date_cell", "read_dates"]
