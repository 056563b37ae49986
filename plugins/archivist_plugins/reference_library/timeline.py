"""The years of a piece as a picture: what is held, what others hold, what a mark claims.

Each is a line of its own, so that none can be taken for another. Pure numbers for a drawing of
`WIDTH` units; the page draws them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Aspect, Certainty, Date, Statement
from archivist.wording.facts import held

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


def _dates(piece: Piece) -> list[tuple[str, str, Date]]:
    """Every date of making that is said of the piece, and every one that a mark claims."""
    found: list[tuple[str, str, Date]] = []
    chosen = held(piece, Aspect.DATE)
    for attribution in piece.record.attributions:
        if attribution.aspect is not Aspect.DATE or attribution.date is None:
            continue
        kind = "held" if attribution is chosen else _other(attribution)
        found.append((kind, wording.years_shown(attribution.date), attribution.date))
    for mark in piece.record.marks:
        if mark.claims is not None and mark.certainty is not Certainty.REJECTED:
            found.append(("claimed", wording.years_shown(mark.claims), mark.claims))
    return sorted(found, key=lambda date: ("held", "other", "rejected", "claimed").index(date[0]))


def _other(statement: Statement) -> str:
    return "rejected" if statement.certainty is Certainty.REJECTED else "other"


def _known(date: Date) -> bool:
    return date.earliest is not None or date.latest is not None


def _scale(earliest: int, latest: int) -> tuple[int, int, int]:
    """Round years around all that is drawn, with some air, and the step between ticks."""
    air = max(5, (latest - earliest) // 5)
    low, high = earliest - air, latest + 1 + air
    step = next((s for s in STEPS if (high - low) / s <= MOST_TICKS), STEPS[-1])
    return math.floor(low / step) * step, math.ceil(high / step) * step, step
