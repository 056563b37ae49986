"""Which files are one picture, which is the best original, and what the others are to it."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from archivist.intake.pictures.compare import Laid, lay, lay_whole
from archivist.intake.pictures.cuts import cut_frequencies, cut_of
from archivist.intake.pictures.judging import displaced, fits, hue_apart, judge, proportions_apart
from archivist.intake.pictures.keeping import Cluster, Picture, what_it_is, why_best, worth
from archivist.intake.pictures.near import INVERSE, TURNS, near_pairs, turn_picture, turned
from archivist.intake.pictures.pixels import grey_of, unpacked

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
            if fits(self.pictures[one].look, self.pictures[other].look, turn)
        ]
        return np.array(rows, np.int64).reshape(-1, 3)

    def _may_be(self, one: int, other: int) -> bool:
        """Whether clocks and colours leave it open that two pictures are one."""
        a, b = self.pictures[one], self.pictures[other]
        if a.clock and b.clock and a.clock != b.clock:
            return False
        return a.look.grey or b.look.grey or hue_apart(a.look, b.look) < 0.5

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
        if proportions_apart(*sizes) < 0.012:
            laid = lay_whole(whole, part)
            if judge(laid, *sizes, kin=kin) == "same":
                if sizes[0] == sizes[1] and not clock and displaced(whole, part, laid):
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
            if not fits(self.pictures[keeper].look, self.pictures[other].look, turn):
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
        if proportions_apart(*sizes) < 0.012:
            laid = lay_whole(whole, part)
            if judge(laid, *sizes) == "same":
                return laid, turn, swapped
        return lay(whole, part, cut_of(row)), turn, swapped


def _cluster(
    members: list[int], pictures: Sequence[Picture], search: _Search, looked: list[int]
) -> Cluster:
    """The best original of several files, and what each other is to it."""
    keeper = min(members, key=lambda n: worth(pictures[n]))
    places = {place: n for n, place in enumerate(looked)}
    others = []
    for member in members:
        if member != keeper:
            laid, turn, swapped = search.relate(places[keeper], places[member])
            others.append(what_it_is(keeper, member, pictures, laid, turn, swapped))
    return Cluster(keeper, why_best(keeper, members, pictures), tuple(others))
