"""Pairs of pictures laid over each other: in which turn, with which cut, and what comes of it."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from archivist.intake.pictures.apart import same_clock
from archivist.intake.pictures.compare import Laid, lay, lay_whole
from archivist.intake.pictures.cuts import cut_frequencies, cut_of
from archivist.intake.pictures.judging import (
    DISPLACED,
    NEARER,
    SAME,
    displaced,
    fits,
    hardly_resized,
    judge,
    leans,
    proportions_apart,
)
from archivist.intake.pictures.keeping import Picture
from archivist.intake.pictures.near import INVERSE, TURNS, turn_picture, turned
from archivist.intake.pictures.pixels import grey_of, unpacked

_CLEARLY = 1.03
"""Times the pixels from which on one picture is clearly the larger one."""

Proportions = tuple[tuple[int, int], tuple[int, int]]


@dataclass(frozen=True)
class Way:
    """How one picture may lie on another: the likeness, the turn of the other, whether the first
    is the part of the other (`swapped`), and the cut as a row of `cut_frequencies`."""

    likeness: float
    turn: int
    swapped: bool
    row: int


@dataclass(frozen=True)
class Found:
    """What came of a pair: how it lies (None where it cannot), the way, and the verdict: 'same',
    '' or why it is nearly so."""

    laid: Laid | None
    way: Way
    verdict: str

    @property
    def same(self) -> bool:
        """Whether they are one picture."""
        return self.verdict == SAME

    @property
    def whole(self) -> bool:
        """Whether nothing was cut."""
        laid = self.laid
        return laid is not None and max(laid.left, laid.top, laid.right, laid.bottom) < 0.008


class Laying:
    """Lays pictures over each other and remembers what came of it."""

    def __init__(
        self, pictures: Sequence[Picture], table: Any, small: Callable[[str], bytes]
    ) -> None:
        """`table` has the frequencies of each picture, a row for each; `small` gives the small
        picture of a look, by the digest of its file."""
        self.pictures = pictures
        self.table = table
        self.pixels = functools.lru_cache(maxsize=2048)(
            lambda place: unpacked(small(pictures[place].sha256))
        )
        self.cut = functools.lru_cache(maxsize=1024)(
            lambda place: cut_frequencies(grey_of(self.pixels(place)))
        )
        self._found: dict[tuple[int, int], Found] = {}

    def way(self, one: int, other: int, turn: int) -> Way:
        """The likeliest cut of either under a turn of the other."""
        larger = self._larger(one, other)
        best = Way(-1.0, turn, False, 0)
        if larger >= 0:
            best = self._best(one, other, turn, swapped=False)
        if larger <= 0 and best.likeness < 0.995:
            back = self._best(other, one, INVERSE[turn], swapped=True)
            if back.likeness > best.likeness:
                best = Way(back.likeness, turn, True, back.row)
        return best

    def _larger(self, one: int, other: int) -> int:
        """1 where the first has clearly more pixels, so that it is no part of the second, -1 where
        it has clearly less, else 0."""
        a, b = self.pictures[one].look, self.pictures[other].look
        by = a.width * a.height / max(1, b.width * b.height)
        return (by > _CLEARLY) - (by < 1 / _CLEARLY)

    def _best(self, whole: int, part: int, turn: int, *, swapped: bool) -> Way:
        rows = self.cut(whole) @ turned(self.table[part], turn)
        row = int(rows.argmax())
        return Way(float(rows[row]), turn, swapped, row)

    def found(self, one: int, other: int, way: Way | None = None) -> Found:
        """What comes of a pair, as found before or in that way; else in the likeliest."""
        known = self.known(one, other)
        if known is not None and known.same:
            return known
        way = way or self._likeliest(one, other)
        if way is None:
            return known or Found(None, Way(0.0, 0, False, 0), "")
        if known is None or known.way != way:
            found = self._compared(one, other, way)
            if known is None or found.same or known.verdict != DISPLACED:
                known = found
        self._found.pop((other, one), None)
        self._found[one, other] = known
        return known

    def known(self, one: int, other: int) -> Found | None:
        """What came of a pair, if it was laid over each other before."""
        if (one, other) in self._found:
            return self._found[one, other]
        back = self._found.get((other, one))
        if back is None:
            return None
        likeness, turn, swapped, row = (
            back.way.likeness, back.way.turn, back.way.swapped, back.way.row,
        )  # fmt: skip
        return Found(back.laid, Way(likeness, INVERSE[turn], not swapped, row), back.verdict)

    def _likeliest(self, one: int, other: int) -> Way | None:
        """The likeliest way in any turn that the proportions allow."""
        looks = self.pictures[one].look, self.pictures[other].look
        ways = [self.way(one, other, turn) for turn in TURNS if fits(*looks, turn)]
        return max(ways, key=lambda way: way.likeness, default=None)

    def mirrored(self, one: int, other: int, way: Way) -> bool:
        """Whether one picture is the other one's mirror image, changed or not."""
        return self._compared(one, other, way).same

    def _compared(self, one: int, other: int, way: Way) -> Found:
        a, b = self.pictures[one], self.pictures[other]
        clock = same_clock(a.clock, b.clock)
        kin = clock or (bool(a.stem) and a.stem == b.stem)
        sizes = self._sizes(one, other, way)
        if way.swapped:
            whole = self.pixels(other)
            part = turn_picture(self.pixels(one), INVERSE[way.turn])
        else:
            whole, part = self.pixels(one), turn_picture(self.pixels(other), way.turn)
        if proportions_apart(*sizes) < 0.012:
            laid = lay_whole(whole, part)
            if judge(laid, *sizes, kin=kin) == SAME:
                if not clock and displaced(whole, part, laid):
                    return Found(laid, way, DISPLACED)
                return Found(laid, way, SAME)
        named = (bool(a.stem) and a.stem == b.stem) or (clock and len(a.clock) == len(b.clock) > 19)
        closer = lay(whole, part, cut_of(way.row))
        if named and (closer is None or judge(closer, *sizes, kin=kin) != SAME):
            leaning = lay(whole, part, cut_of(way.row), lean=True)
            if leaning is not None and leans(leaning, *sizes):
                closer = leaning
        if closer is None:
            return Found(None, way, "")
        verdict = judge(closer, *sizes, kin=kin)
        if verdict == SAME and hardly_resized(closer, *sizes):
            verdict, closer = _as_cut_only(whole, part, sizes, closer)
        return Found(closer, way, verdict)

    def _sizes(self, one: int, other: int, way: Way) -> Proportions:
        """The sizes of the whole and, turned as it lies, of the part."""
        whole, part = (other, one) if way.swapped else (one, other)
        a, b = self.pictures[whole].look, self.pictures[part].look
        return (a.width, a.height), ((b.height, b.width) if way.turn & 4 else (b.width, b.height))


_WORSE = 0.004
"""How much less alike the fine structure may be when a cut copy is laid in its own size: what the
rounding of small pictures makes of it."""


def _as_cut_only(whole: Any, part: Any, sizes: Proportions, free: Laid) -> tuple[str, Laid]:
    """The verdict on a picture that seems cut and hardly resized: it lies as well in its own size,
    or it is another exposure."""
    scale = (sizes[1][0] / sizes[0][0], sizes[1][1] / sizes[0][1])
    fixed = lay(whole, part, (free.left, free.top, free.right, free.bottom), scale)
    if fixed is None or fixed.detail < free.detail - _WORSE:
        return NEARER, free
    return SAME, fixed
