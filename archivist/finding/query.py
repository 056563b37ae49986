"""What is asked for when pieces are looked for, and how sizes are written."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from archivist.errors import SelectionError
from archivist.model import Unit
from archivist.model.measurements import MILLIMETRES

Years = tuple[int | None, int | None]
"""The first and the last year (astronomical), None where open."""

Sizes = tuple[Decimal | None, Decimal | None]
"""The least and the greatest size in millimetres, None where open."""


class Order(StrEnum):
    """How the pieces found are put in order; what has no date stands last."""

    DATE = "date"
    LATEST = "latest"
    NUMBER = "number"
    TITLE = "title"


@dataclass(frozen=True)
class Query:
    """What is asked for; every part that is given must hold.

    `words` are begun words that a piece has, or names that mean the same; `made` the years that
    the date held may lie in, `certainly` only those it lies in whole; `height` and `across` may
    overlap what is recorded; `facets` are values under the name of each facet, any of which will
    do; `ids` are UUIDs to choose from, None for all.
    """

    words: str = ""
    made: Years = (None, None)
    certainly: bool = False
    height: Sizes = (None, None)
    across: Sizes = (None, None)
    facets: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    ids: tuple[str, ...] | None = None
    order: Order = Order.DATE


LENGTHS = tuple(unit.value for unit in MILLIMETRES)
"""The units in which a size can be asked for."""

_END = re.compile(rf"([0-9]+(?:[.,][0-9]+)?)\s*({'|'.join(LENGTHS)})?", re.IGNORECASE)


def sizes_of(interval: str) -> Sizes:
    """'5cm/20cm', '../8in', '120mm', '5/20' (centimetres) as millimetres.

    A unit at the end is that of both ends.

    Raises:
        SelectionError: where it is no such range.
    """
    begin, slash, end = interval.partition("/")
    texts = [begin.strip(), (end if slash else begin).strip()]
    matches = [_END.fullmatch(text) for text in texts]
    open_ended = [text in ("", "..") for text in texts]
    bad = any(not (match or is_open) for match, is_open in zip(matches, open_ended, strict=True))
    if bad or all(open_ended):
        raise SelectionError(
            f"'{interval}' is not a range of sizes.",
            f"Write sizes as 5cm/20cm, 8in, ../120mm or 5/20; units are {', '.join(LENGTHS)}, "
            "and centimetres where none is said.",
        )
    last = matches[1].group(2) if matches[1] else None
    low, high = (
        Decimal(match.group(1).replace(",", "."))
        * MILLIMETRES[Unit((match.group(2) or last or Unit.CENTIMETRE).lower())]
        if match
        else None
        for match in matches
    )
    if low is not None and high is not None and low > high:
        raise SelectionError(f"'{interval}' ends before it begins.", "Swap its two ends.")
    return low, high
