"""Which files are one picture, which is the best original, and what the others are to it."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from archivist.intake.pictures.compare import (
    Laid,
    cut_frequencies,
    cut_of,
    grey_of,
    lay,
    lay_whole,
    unpacked,
)
from archivist.intake.pictures.findings import Relation
from archivist.intake.pictures.look import Look
from archivist.intake.pictures.near import INVERSE, TURNS, near_pairs, turn_picture, turned
from archivist.model import Certainty

LIKELY = 0.85
"""The least likeness, under the best cut, of two pictures that are laid over each other."""

TRIES = 3
"""Pictures that are laid over one in vain, the likeliest first, before it counts as by itself."""


LARGEST_FAMILY = 12
"""Pictures of one name or one second beyond which that says nothing: 'scan0001' in each folder."""

ENOUGH = 3
"""Pictures that two have met in common, themselves among them, from which on they are not laid
over each other any more: they will be joined by way of these."""


@dataclass(frozen=True)
class Picture:
    """One picture, known by its digest; `clock` is when its camera says it was taken (to the
    second, '' if it does not say), `told` how much its file says of itself, `path` where it lies,
    `stem` its name without what copies are called by, `worked` that its name says it is a copy."""

    sha256: str
    path: str
    look: Look
    clock: str = ""
    stem: str = ""
    told: int = 0
    worked: bool = False
    lossless: bool = False


@dataclass(frozen=True)
class Same:
    """That a picture is the keeper changed: how, how sure, and why."""

    picture: int
    relations: tuple[Relation, ...]
    certainty: Certainty
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Cluster:
    """Files of one picture: the place of the best original in the list, why, and the others."""

    keeper: int
    because: tuple[str, ...]
    others: tuple[Same, ...]


@dataclass(frozen=True)
class Nearly:
    """Two pictures that are nearly, but perhaps not, one."""

    one: int
    other: int
    because: str


@dataclass
class _Joined:
    """Pictures that were found to be one so far, and when cameras say they were taken."""

    members: list[int]
    clocks: set[str] = field(default_factory=set)


def same_pictures(
    pictures: Sequence[Picture], small: Callable[[str], bytes]
) -> tuple[list[Cluster], list[Nearly]]:
    """The pictures of which there are several files, and pairs that a person should look at.

    `small` gives the small picture of a look, by the digest of its file.
    """
    import numpy as np

    looked = [n for n, picture in enumerate(pictures) if not picture.look.plain]
    if len(looked) < 2:
        return [], []
    table = np.stack([np.frombuffer(pictures[n].look.frequencies, "<f4") for n in looked])
    search = _Search([pictures[n] for n in looked], table, small)
    joined, nearly = search.run()
    clusters = [
        _cluster([looked[n] for n in members], pictures, search, looked) for members in joined
    ]
    return clusters, [Nearly(looked[n.one], looked[n.other], n.because) for n in nearly]


class _Search:
    """Lays likely pairs over each other, the likeliest first, and joins those that are one."""

    def __init__(
        self, pictures: Sequence[Picture], table: Any, small: Callable[[str], bytes]
    ) -> None:
        self.pictures = pictures
        self.table = table

        @functools.lru_cache(maxsize=2048)
        def pixels(place: int) -> Any:
            return unpacked(small(pictures[place].sha256))

        self.pixels = pixels
        self.found: dict[tuple[int, int], tuple[Laid, int, bool]] = {}

    def run(self) -> tuple[list[list[int]], list[Nearly]]:
        """The groups of places that are one picture, and pairs in doubt."""
        failures = [0] * len(self.pictures)
        links: list[tuple[float, int, int]] = []
        met: list[set[int]] = [{n} for n in range(len(self.pictures))]
        nearly: list[Nearly] = []
        for _, one, other, turn, swapped, row in self._likely():
            if min(failures[one], failures[other]) >= TRIES or len(met[one] & met[other]) >= ENOUGH:
                continue
            laid, why = self.compare(one, other, turn, swapped, row)
            if laid is None:
                failures[one] += 1
                failures[other] += 1
                if why:
                    nearly.append(Nearly(one, other, why))
                continue
            self.found[one, other] = (laid, turn, swapped)
            met[one].add(other)
            met[other].add(one)
            links.append((laid.quiet_detail, one, other))
        joined = [_Joined([n], {p.clock} - {""}) for n, p in enumerate(self.pictures)]
        for _, one, other in sorted(links, key=lambda link: (-link[0], link[1], link[2])):
            first, second = joined[one], joined[other]
            if first is second or (
                first.clocks and second.clocks and first.clocks != second.clocks
            ):
                continue
            first.members += second.members
            first.clocks |= second.clocks
            for member in second.members:
                joined[member] = first
        groups = {id(group): sorted(group.members) for group in joined if len(group.members) > 1}
        return sorted(groups.values()), [n for n in nearly if joined[n.one] is not joined[n.other]]

    def _likely(self) -> list[tuple[float, int, int, int, bool, int]]:
        """Pairs with their likeness under the best cut, the likeliest first."""
        import numpy as np

        pairs = np.concatenate([near_pairs(self.table), self._kin()])
        pairs = np.unique(pairs, axis=0)
        order = np.argsort(pairs[:, 0], kind="stable")
        found: list[tuple[float, int, int, int, bool, int]] = []
        cuts = functools.lru_cache(maxsize=256)(lambda n: cut_frequencies(grey_of(self.pixels(n))))
        for one, other, turn in pairs[order].tolist():
            if not self._may_be(one, other):
                continue
            whole = cuts(one) @ turned(self.table[other], turn)
            row, swapped = int(whole.argmax()), False
            best = float(whole[row])
            if best < 0.995:
                back = cuts(other) @ turned(self.table[one], INVERSE[turn])
                if float(back.max()) > best:
                    row, swapped, best = int(back.argmax()), True, float(back.max())
            if best >= LIKELY:
                found.append((best, one, other, turn, swapped, row))
        found.sort(key=lambda item: (-item[0], item[1], item[2], item[3]))
        return found

    def _kin(self) -> Any:
        """Pairs that clocks or names speak for, whatever they look like, in every turn that their
        proportions allow."""
        import numpy as np

        families: dict[str, list[int]] = {}
        for place, picture in enumerate(self.pictures):
            if picture.clock:
                families.setdefault(f"clock {picture.clock}", []).append(place)
            if picture.stem:
                families.setdefault(f"stem {picture.stem}", []).append(place)
        rows = [
            (one, other, turn)
            for family in families.values()
            if len(family) <= LARGEST_FAMILY
            for one, other in itertools.combinations(family, 2)
            for turn in TURNS
            if _fits(self.pictures[one].look, self.pictures[other].look, turn)
        ]
        return np.array(rows, np.int64).reshape(-1, 3)

    def _may_be(self, one: int, other: int) -> bool:
        """Whether clocks and colours leave it open that two pictures are one."""
        a, b = self.pictures[one], self.pictures[other]
        if a.clock and b.clock and a.clock != b.clock:
            return False
        return a.look.grey or b.look.grey or _hue_apart(a.look, b.look) < 0.5

    def compare(
        self, one: int, other: int, turn: int, swapped: bool, row: int
    ) -> tuple[Laid | None, str]:
        """How one lies over the other where they are one picture; else None, and why it is near."""
        a, b = self.pictures[one], self.pictures[other]
        clock = bool(a.clock) and a.clock == b.clock
        kin = clock or (bool(a.stem) and a.stem == b.stem)
        if swapped:
            whole, part = self.pixels(other), turn_picture(self.pixels(one), INVERSE[turn])
            sizes = self._sizes(other, one, turn)
        else:
            whole, part = self.pixels(one), turn_picture(self.pixels(other), turn)
            sizes = self._sizes(one, other, turn)
        if _proportions_apart(*sizes) < 0.012:
            laid = lay_whole(whole, part)
            if judge(laid, *sizes, kin=kin) == "same":
                if sizes[0] == sizes[1] and not clock and _displaced(whole, part, laid):
                    return None, "the same things a little displaced: rather two exposures"
                return laid, ""
        closer = lay(whole, part, cut_of(row))
        if closer is None:
            return None, ""
        verdict = judge(closer, *sizes, kin=kin)
        return (closer, "") if verdict == "same" else (None, verdict)

    def _sizes(self, whole: int, part: int, turn: int) -> tuple[tuple[int, int], tuple[int, int]]:
        a, b = self.pictures[whole].look, self.pictures[part].look
        return (a.width, a.height), ((b.height, b.width) if turn & 4 else (b.width, b.height))

    def relate(self, keeper: int, other: int) -> tuple[Laid | None, int, bool]:
        """How a picture of the same group lies on its keeper, the turn, and whether the keeper is
        the part; as it was found, else tried in every turn and cut."""
        if (keeper, other) in self.found:
            return self.found[keeper, other]
        if (other, keeper) in self.found:
            laid_back, turn, swapped = self.found[other, keeper]
            return laid_back, INVERSE[turn], not swapped
        best: tuple[float, int, bool, int] = (-1.0, 0, False, 0)
        for turn in INVERSE:
            if not _fits(self.pictures[keeper].look, self.pictures[other].look, turn):
                continue
            whole = cut_frequencies(grey_of(self.pixels(keeper))) @ turned(self.table[other], turn)
            back = cut_frequencies(grey_of(self.pixels(other))) @ turned(
                self.table[keeper], INVERSE[turn]
            )
            for swapped, scores in ((False, whole), (True, back)):
                if float(scores.max()) > best[0] + (0.002 if swapped else 0):
                    best = (float(scores.max()), turn, swapped, int(scores.argmax()))
        _, turn, swapped, row = best
        if swapped:
            whole, part = self.pixels(other), turn_picture(self.pixels(keeper), INVERSE[turn])
        else:
            whole, part = self.pixels(keeper), turn_picture(self.pixels(other), turn)
        sizes = self._sizes(*((other, keeper) if swapped else (keeper, other)), turn)
        if _proportions_apart(*sizes) < 0.012:
            laid = lay_whole(whole, part)
            if judge(laid, *sizes) == "same":
                return laid, turn, swapped
        return lay(whole, part, cut_of(row)), turn, swapped


def judge(laid: Laid, whole: tuple[int, int], part: tuple[int, int], *, kin: bool = True) -> str:
    """'same' where the second picture is the first one changed; else '' or why it is nearly so.

    `whole` and `part` are the sizes of the files in pixels. A copy keeps its proportions,
    shows nothing that is not on the whole, and a copy from which something was cut has
    fewer pixels than the whole has, or other proportions. Where a stamp lies most of the picture
    must agree the better, and of
    pictures that are kin (by their clocks or names) less must agree than of others.
    """
    cuts = (laid.left, laid.top, laid.right, laid.bottom)
    uneven = abs(
        math.log((laid.scale[0] * whole[0] / part[0]) / (laid.scale[1] * whole[1] / part[1]))
    )
    if laid.rest > 1.8 or laid.colour > 3.0 or laid.fading > 0.25 or laid.quiet < 0.6:
        return ""
    poor = laid.structured < 12
    clear = laid.detail > (0.94 if kin else 0.95) and laid.agreeing > 0.93 and laid.quiet > 0.93
    # Where there is little fine structure noise hides how alike it is; then nothing may differ.
    least = (0.75 if laid.structured < 22 else 0.9) + (0.0 if kin else 0.07)
    still = laid.quiet > 0.98 and laid.rest < (1.2 if kin else 1.05) and laid.rough < 4.0
    clear = (clear and laid.rough < 9) or (still and laid.agreeing > 0.9 and laid.detail > least)
    if max(cuts) == 0:
        return "same" if clear or _stamped(laid, kin) else "much of it agrees, and much does not"
    if min(cuts) < -0.004 or max(cuts) > 0.105 or uneven > 0.014 or laid.inside < 0.98:
        return "they are alike, but do not lie on each other" if laid.detail > 0.97 else ""
    if whole == part:
        return "the same things a little displaced: rather two exposures" if clear else ""
    if max(cuts) < 0.008:
        return "same" if clear and laid.detail > 0.985 else ""
    if clear and not poor and laid.detail > (0.95 if kin else 0.96) and laid.quiet > 0.95:
        return "same"
    if kin and clear and poor and laid.quiet > 0.99 and laid.rest < 0.8:
        return "same"
    return "it may be a part of the other" if laid.detail > 0.9 else ""


def _displaced(whole: Any, part: Any, laid: Laid) -> bool:
    """Whether pictures of one size agree better once one is moved, which no copy needs."""
    if laid.detail > 0.995:
        return False
    moved = lay(whole, part, (0.0, 0.0, 0.0, 0.0))
    if moved is None:
        return False
    by = max(abs(c) for c in (moved.left, moved.top, moved.right, moved.bottom))
    return by > 0.0015 and moved.detail > laid.detail + 0.002


def _stamped(laid: Laid, kin: bool) -> bool:
    """Whether all is as it was but for what is lighter, or darker, all over: a name, a frame.

    Most of the picture must be as it was and what differs all of one sign; the fine structure of
    the rest must agree, unless there is little of it.
    """
    if laid.stamp < 0.95 or laid.quiet < 0.78 or laid.rest > 1.3:
        return False
    if laid.quiet_agreeing > 0.95 and laid.quiet_detail > 0.985 and laid.rough > 2:
        return True
    if laid.rough < 4.5:
        return False
    if laid.quiet_agreeing > 0.8 and laid.quiet_detail > (0.94 if kin else 0.97):
        return True
    weak = laid.structured < 34 and laid.rest < 1.0 and laid.stamp > 0.98 and laid.rough > 8
    return weak and laid.quiet > 0.8 and (kin or laid.quiet_detail > 0.9 or laid.structured < 20)


def _hue_apart(one: Look, other: Look) -> float:
    """How far the colours of middle and border are apart, whatever the brightness."""
    apart = 0.0
    for a, b in ((one.colour, other.colour), (one.background, other.background)):
        light_a, light_b = sum(a) + 30, sum(b) + 30
        apart = max(
            apart, *(abs(3 * x / light_a - 3 * y / light_b) for x, y in zip(a, b, strict=True))
        )
    return apart


def _proportions_apart(whole: tuple[int, int], part: tuple[int, int]) -> float:
    return abs(math.log(whole[0] * part[1] / (whole[1] * part[0])))


def _fits(one: Look, other: Look, turn: int) -> bool:
    """Whether proportions allow that turn, a cut of a tenth included."""
    wide, high = (other.height, other.width) if turn & 4 else (other.width, other.height)
    return abs(math.log(one.width * high / (one.height * wide))) < 0.25


def _cluster(
    members: list[int], pictures: Sequence[Picture], search: _Search, looked: list[int]
) -> Cluster:
    """The best original of several files, and what each other is to it."""
    keeper = min(members, key=lambda n: _worth(pictures[n]))
    places = {place: n for n, place in enumerate(looked)}
    others = []
    for member in members:
        if member != keeper:
            laid, turn, swapped = search.relate(places[keeper], places[member])
            others.append(_same(keeper, member, pictures, laid, turn, swapped))
    return Cluster(keeper, _why_best(keeper, members, pictures), tuple(others))


def _worth(picture: Picture) -> tuple[Any, ...]:
    """The best first: most pixels, then least loss, then most said; then plain names."""
    look = picture.look
    pixels = look.width * look.height
    return (
        -round(math.log(max(1, pixels)) * 50),
        look.grey,
        not picture.lossless,
        picture.worked,
        -look.quality,
        -picture.told,
        -look.sharpness,
        len(picture.path),
        picture.path,
    )


def _why_best(keeper: int, members: Sequence[int], pictures: Sequence[Picture]) -> tuple[str, ...]:
    best = pictures[keeper]
    others = [pictures[m] for m in members if m != keeper]
    reasons = []
    pixels = best.look.width * best.look.height
    if all(pixels > p.look.width * p.look.height for p in others):
        reasons.append(f"the most pixels ({best.look.width} x {best.look.height})")
    if best.look.quality and all(best.look.quality > p.look.quality for p in others):
        reasons.append(f"the least compressed (quality {best.look.quality})")
    if best.told and all(best.told > p.told for p in others):
        reasons.append("says the most of itself")
    return tuple(reasons) or ("as good as the others; its name is the plainest",)


def _same(
    keeper: int,
    member: int,
    pictures: Sequence[Picture],
    laid: Laid | None,
    turn: int,
    swapped: bool,
) -> Same:
    """What one file is to the keeper."""
    best, other = pictures[keeper].look, pictures[member].look
    relations: list[Relation] = []
    if turn:
        relations.append(Relation.ROTATED)
    if other.grey and not best.grey:
        relations.append(Relation.GREY)
    cut = max(laid.left, laid.top, laid.right, laid.bottom) if laid else 0.0
    if laid and not swapped and cut > 0.008:
        relations.append(Relation.CROPPED)
    if laid and (laid.quiet < 0.9 or laid.fading > 0.05):
        relations.append(Relation.ALTERED)
    sides = (max(best.width, best.height), max(other.width, other.height))
    if sides[1] < 0.97 * sides[0] * (1 - 2 * max(0.0, cut)):
        relations.append(Relation.RESIZED)
    if not relations:
        plain = laid and laid.rest < 0.2 and best.quality == other.quality
        relations.append(Relation.METADATA if plain else Relation.RECOMPRESSED)
    certainty = Certainty.CERTAIN
    reasons = []
    if laid is None:
        certainty = Certainty.PROBABLE
        reasons.append("by way of other copies of it")
    else:
        reasons.append(
            f"laid over each other {round(100 * laid.agreeing)} % of the structured parts agree"
        )
        if laid.agreeing < 0.8:
            certainty = Certainty.PROBABLE
    if turn:
        reasons.append(f"turned by {_DEGREES[turn]} degrees")
    if Relation.CROPPED in relations and laid:
        reasons.append(f"up to {round(100 * cut)} % of a side is cut")
    if Relation.RESIZED in relations:
        reasons.append(f"{other.width} x {other.height} of {best.width} x {best.height} pixels")
    return Same(member, tuple(relations), certainty, tuple(reasons))


_DEGREES = {3: 180, 5: 270, 6: 90}
"""Clockwise, from the keeper to the copy."""
