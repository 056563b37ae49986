"""The years of a piece as a picture: what is held, what others hold, what a mark claims.

Each is a line of its own, so that none can be taken for another. Pure numbers for a drawing of
`WIDTH` units; the page draws them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Aspect, Date, Standing, not_rejected, standing_of

WIDTH = 1000
STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
MOST_TICKS = 7


@dataclass(frozen=True)
class Span:
    """A line of the drawing: `kind` is 'held', 'other', 'rejected' or 'claimed'."""

    kind: str
    label: str
    left: float
    right: float
    open_left: bool = False
    open_right: bool = False


@dataclass(frozen=True)
class Tick:
    """A year on the scale."""

    place: float
    label: str


@dataclass(frozen=True)
class Timeline:
    """The whole drawing."""

    spans: tuple[Span, ...]
    ticks: tuple[Tick, ...]


def timeline(piece: Piece) -> Timeline | None:
    """The years of `piece`, None where no date has any."""
    said = [(kind, label, date) for kind, label, date in _dates(piece) if _known(date)]
    if not said:
        return None
    years = [y for _, _, date in said for y in (date.earliest, date.latest) if y is not None]
    low, high, step = _scale(min(years), max(years))

    def place(year: float) -> float:
        return round((year - low) / (high - low) * WIDTH, 1)

    spans = tuple(
        Span(
            kind,
            label,
            0.0 if date.earliest is None else place(date.earliest),
            float(WIDTH) if date.latest is None else place(date.latest + 1),
            date.earliest is None,
            date.latest is None,
        )
        for kind, label, date in said
    )
    ticks = tuple(Tick(place(y), wording.year_shown(y)) for y in range(low, high + 1, step))
    return Timeline(spans, ticks)


KINDS: dict[Standing, str] = {
    Standing.HELD: "held",
    Standing.AGREES: "other",
    Standing.OTHER: "other",
    Standing.REJECTED: "rejected",
}
"""How a date is drawn; what is of a part or of a later hand is no date of the piece."""


def _dates(piece: Piece) -> list[tuple[str, str, Date]]:
    """Every date of making that is said of the piece, and every one that a mark claims."""
    found: list[tuple[str, str, Date]] = []
    attributions = piece.record.attributions
    for said, standing in zip(attributions, standing_of(attributions), strict=True):
        kind = KINDS.get(standing, "")
        date = piece.record.date if standing is Standing.HELD else said.date
        if said.aspect is Aspect.DATE and date is not None and kind:
            found.append((kind, wording.years_shown(date), date))
    for mark in not_rejected(piece.record.marks):
        if mark.claims is not None:
            found.append(("claimed", wording.years_shown(mark.claims), mark.claims))
    return sorted(found, key=lambda date: ("held", "other", "rejected", "claimed").index(date[0]))


def _known(date: Date) -> bool:
    return date.earliest is not None or date.latest is not None


def _scale(earliest: int, latest: int) -> tuple[int, int, int]:
    """Round years around all that is drawn, with some air, and the step between ticks."""
    air = max(5, (latest - earliest) // 5)
    low, high = earliest - air, latest + 1 + air
    step = next((s for s in STEPS if (high - low) / s <= MOST_TICKS), STEPS[-1])
    return math.floor(low / step) * step, math.ceil(high / step) * step, step
