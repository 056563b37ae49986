"""Parts a row of photographs into pieces: by gaps of time, by likeness, by where a series begins.

A photographer puts a piece down, takes a few pictures of it and then needs time to put down the
next. The gap that parts pieces is found in the row itself, since one works in seconds and another
in minutes; a clock that is wrong is wrong all day, so that gaps hold.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from archivist.intake.pictures.look import Look
from archivist.model import Certainty

_NUMBERS = re.compile(r"(\d+)")

USUAL_GAP = 75.0
"""Seconds that part pieces where a row does not show it by itself. Our judgement, no source."""

SURE, HARDLY = 2.0, 0.7
"""Odds (natural logarithm) from which a part is sure, and below which it is named as thin."""


@dataclass(frozen=True)
class Shot:
    """A photograph of a row: its plain name, when it was taken (seconds) by which camera, how it
    looks."""

    name: str
    moment: float | None
    camera: str
    look: Look | None


@dataclass(frozen=True)
class Run:
    """Photographs of one piece, as places in the row; `before` is the place of the one before,
    `thin` says why the part between them may be none."""

    places: tuple[int, ...]
    certainty: Certainty
    because: str
    before: int = -1
    thin: str = ""


def part(shots: Sequence[Shot]) -> list[Run]:
    """The runs, in the order they were taken (by name where no clock says)."""
    order = sorted(range(len(shots)), key=lambda n: _place(shots[n]))
    if not order:
        return []
    gaps = [_gap(shots[a], shots[b]) for a, b in itertools.pairwise(order)]
    usual = _parting_gap([g for g in gaps if g is not None])
    runs: list[Run] = []
    current, begun, thin, before = [order[0]], Certainty.PROBABLE, "", -1
    because = "they follow each other"
    for place, gap in zip(order[1:], gaps, strict=True):
        odds = _odds(gap, usual, shots, current, place)
        if odds > 0:
            runs.append(Run(tuple(current), begun, because, before, thin))
            before, current = current[-1], [place]
            thin = _thin(odds, gap)
            begun = Certainty.PROBABLE if odds >= SURE else Certainty.POSSIBLE
        else:
            current.append(place)
            if odds > -HARDLY or gap is None:
                begun = Certainty.POSSIBLE
        because = _because(gap, usual)
    runs.append(Run(tuple(current), begun, because, before, thin))
    return runs


def _because(gap: float | None, usual: float) -> str:
    if gap is None:
        return "they follow each other by their numbers and look alike"
    return f"taken one after the other; pieces are parted by gaps of over {round(usual)} seconds"


def _thin(odds: float, gap: float | None) -> str:
    if odds >= HARDLY:
        return ""
    after = "without a clock to tell" if gap is None else f"after {round(gap)} seconds"
    return f"whether a new piece begins here is doubtful ({after})"


def _place(shot: Shot) -> tuple[object, ...]:
    parts = tuple((int(p), "") if p.isdigit() else (-1, p) for p in _NUMBERS.split(shot.name))
    if shot.moment is None:
        return (1, 0.0, parts)
    return (0, shot.moment, parts)


def _gap(one: Shot, other: Shot) -> float | None:
    if one.moment is None or other.moment is None or one.camera != other.camera:
        return None
    return max(0.0, other.moment - one.moment)


def _parting_gap(gaps: Sequence[float]) -> float:
    """The gap that best parts short ones from long ones: where the logarithms fall into two
    groups that are each as alike as can be (Otsu's criterion)."""
    logs = sorted(math.log(g + 1) for g in gaps if g < 6 * 3600)
    if len(logs) < 8:
        return USUAL_GAP
    best, where = 0.0, math.log(USUAL_GAP)
    below = list(itertools.accumulate(logs))
    for cut in range(2, len(logs) - 1):
        many = len(logs) - cut
        apart = (below[-1] - below[cut - 1]) / many - below[cut - 1] / cut
        score = cut * many * apart * apart
        if score > best:
            best, where = score, (logs[cut - 1] + logs[cut]) / 2
    return min(600.0, max(30.0, math.exp(where) - 1))


def _odds(
    gap: float | None, usual: float, shots: Sequence[Shot], current: Sequence[int], place: int
) -> float:
    """How likely (as a logarithm) it is that a new piece begins at `place`."""
    time = -0.6 if gap is None else max(-5.0, min(5.0, 2.4 * math.log((gap + 1) / (usual + 1))))
    look = shots[place].look
    looks = [known for n in current[-6:] if (known := shots[n].look) is not None]
    if look is None or not looks:
        return time
    apart = min(palette_apart(look, other) for other in looks)
    return time + (2.2 if gap is None else 1.3) * max(-1.0, min(1.2, (apart - 0.55) * 2.5))


def palette_apart(one: Look, other: Look) -> float:
    """How far the colours in the middle of two pictures are apart, 0 to 1."""
    return sum(abs(a - b) for a, b in zip(one.palette, other.palette, strict=True)) / 510
