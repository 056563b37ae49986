"""A cell that holds several facts of one dealing: 'A. Voss, 12.6.1998, £350'."""

from __future__ import annotations

import re
from typing import NamedTuple

from archivist.model.dates import Date
from archivist.reading.moments import find_dates
from archivist.reading.provenance.naming import Holder
from archivist.reading.provenance.parse import parse
from archivist.reading.sums import sums_in, without_sums
from archivist.reading.tables import Tables

_BETWEEN = re.compile(r"\s*(?:\n|;|\||\s/\s|\s[-–—]\s)\s*")
_NUMBER_AFTER = re.compile(r"\s+\d[\d.,]+$")
_ROLES = ("receiver", "giver", "agent")
_LONGEST = 400
"""Characters beyond which a cell tells a story, and not one dealing."""


class Dealing(NamedTuple):
    """With whom, where, when and for how much, as far as one cell says so; `sum` is as written."""

    name: str = ""
    place: str = ""
    date: Date | None = None
    sum: str = ""


def dealing_in(text: str, tables: Tables) -> Dealing:
    """The one dealing that a cell tells of: no day and no sum is part of a name.

    Where it holds several days or several sums none of them is taken for that of the dealing.
    """
    if len(text) > _LONGEST:
        return Dealing()
    words = _BETWEEN.sub(", ", text.strip())
    sums = sums_in(words, tables)
    plain = without_sums(words, tables)
    dates = [when for when in find_dates(plain, tables) if when.date is not None]
    event = parse(plain, tables)
    holder = next((event.holders[role] for role in _ROLES if role in event.holders), Holder())
    return Dealing(
        name=_NUMBER_AFTER.sub("", holder.name) if any(map(str.isalpha, holder.name)) else "",
        place=holder.place or event.place,
        date=dates[0].date if len(dates) == 1 else None,
        sum=sums[0] if len(sums) == 1 else "",
    )
