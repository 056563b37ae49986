"""Which files are one picture, which is the best original, and what the others are to it."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from archivist.intake.pictures.apart import same_clock, told_apart
from archivist.intake.pictures.joining import Link, joined
from archivist.intake.pictures.judging import DISPLACED, fits, hue_apart
from archivist.intake.pictures.keeping import Cluster, Picture, what_it_is, worth
from archivist.intake.pictures.laying import Found, Laying, Way
from archivist.intake.pictures.near import MIRRORED, TURNS, near_pairs
from archivist.intake.rules.originals import Originals

LIKELY = 0.85
"""The least likeness, under the best cut, of two pictures that are laid over each other."""

LIKELY_OF_KIN = 0.7
"""The same of pictures that clocks or names speak for: a name stamped across hides much."""

LIKELY_MIRRORED = 0.95
"""The same of a picture and another's mirror image: round pots are nearly their own."""

MIRROR_IMAGE = "one is the mirror image of the other: turned over, or the other side of a round pot"

TRIES = 5
"""Pictures that are laid over one in vain, the likeliest first, before it counts as by itself.
Pictures that clocks or names speak for are laid over each other all the same."""

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
    groups, nearly = search.run()
    originals = Originals(search.pictures, search.laying.pixels)
    clusters = [_cluster(members, search, looked, originals) for members in groups]
    return clusters, [Nearly(looked[n.one], looked[n.other], n.because) for n in nearly]


class _Search:
    """Lays likely pairs over each other, the likeliest first, and joins those that are one."""

    def __init__(
        self, pictures: Sequence[Picture], table: Any, small: Callable[[str], bytes]
    ) -> None:
        self.pictures = pictures
        self.table = table
        self.laying = Laying(pictures, table, small)

    def run(self) -> tuple[list[list[int]], list[Nearly]]:
        """The groups of places that are one picture, and pairs in doubt."""
        links, nearly = self._links()
        groups, refused = joined(
            len(self.pictures), links, self._apart, self._agree, lambda n: worth(self.pictures[n])
        )
        home = {member: number for number, group in enumerate(groups) for member in group}
        nearly += [Nearly(r.one, r.other, r.because) for r in refused]
        return groups, [n for n in nearly if n.one not in home or home[n.one] != home.get(n.other)]

    def _links(self) -> tuple[list[Link], list[Nearly]]:
        """The pairs that are one picture when laid over each other, and those that nearly are."""
        failures = [0] * len(self.pictures)
        met: list[set[int]] = [{n} for n in range(len(self.pictures))]
        links: list[Link] = []
        nearly: list[Nearly] = []
        for one, other, way in self._likely():
            if way.turn == MIRRORED:
                if other not in met[one] and self.laying.mirrored(one, other, way):
                    nearly.append(Nearly(one, other, MIRROR_IMAGE))
                continue
            if len(met[one] & met[other]) >= ENOUGH:
                continue
            if min(failures[one], failures[other]) >= TRIES and not self._kin(one, other):
                continue
            found = self.laying.found(one, other, way)
            if found.same:
                met[one].add(other)
                met[other].add(one)
                links.append(Link(self._order(one, other, found), one, other))
                continue
            failures[one] += 1
            failures[other] += 1
            if found.verdict:
                nearly.append(Nearly(one, other, found.verdict))
        return links, nearly

    def _order(self, one: int, other: int, found: Found) -> tuple[Any, ...]:
        """Whole pictures before cut ones, then those that clocks or names speak for, then by what
        is left between them."""
        a, b = self.pictures[one], self.pictures[other]
        return (
            not found.whole,
            not same_clock(a.clock, b.clock),
            not (a.stem and a.stem == b.stem),
            found.laid.rest if found.laid else 255.0,
        )

    def _apart(self, one: int, other: int) -> str:
        """Why two pictures are never one: by their cameras, or since they were laid over each other
        and things lie elsewhere."""
        told = told_apart(self.pictures[one], self.pictures[other])
        if told:
            return told
        known = self.laying.known(one, other)
        return DISPLACED if known is not None and known.verdict == DISPLACED else ""

    def _agree(self, one: int, other: int) -> str:
        """Why the best originals of two groups are two pictures; '' where they may be one."""
        found = self.laying.found(one, other)
        if found.same:
            return ""
        return found.verdict or "the best originals of both are two pictures"

    def _likely(self) -> Iterator[tuple[int, int, Way]]:
        """Pairs with their likeness under the best cut, the likeliest first."""
        import numpy as np

        pairs = np.unique(np.concatenate([near_pairs(self.table), self._families()]), axis=0)
        order = np.argsort(pairs[:, 0], kind="stable")
        found = [
            (one, other, way)
            for one, other, turn in pairs[order].tolist()
            if self._may_be(one, other)
            and (way := self.laying.way(one, other, turn)).likeness >= self._least(one, other, turn)
        ]
        found.sort(key=lambda item: (-item[2].likeness, item[0], item[1], item[2].turn))
        return iter(found)

    def _kin(self, one: int, other: int) -> bool:
        """Whether clocks or names speak for two pictures."""
        a, b = self.pictures[one], self.pictures[other]
        return same_clock(a.clock, b.clock) or (bool(a.stem) and a.stem == b.stem)

    def _least(self, one: int, other: int, turn: int) -> float:
        """The least likeness from which a pair is laid over each other."""
        if turn == MIRRORED:
            return LIKELY_MIRRORED
        return LIKELY_OF_KIN if self._kin(one, other) else LIKELY

    def _families(self) -> Any:
        """Pairs that clocks or names speak for, whatever they look like, in every turn that their
        proportions allow."""
        import numpy as np

        families: dict[str, list[int]] = {}
        for place, picture in enumerate(self.pictures):
            if picture.clock:
                families.setdefault(f"clock {picture.clock[:19]}", []).append(place)
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
        if told_apart(a, b):
            return False
        return a.look.grey or b.look.grey or hue_apart(a.look, b.look) < 0.5


def _cluster(
    members: list[int], search: _Search, looked: list[int], originals: Originals
) -> Cluster:
    """The best original of several files, and what each other is to it."""
    keeper, because = originals.best(members)
    others = []
    for member in members:
        if member != keeper:
            found = search.laying.found(keeper, member)
            same = what_it_is(
                keeper, member, search.pictures, found.laid, found.way.turn, found.way.swapped
            )
            others.append(replace(same, picture=looked[member]))
    return Cluster(looked[keeper], because, tuple(others))
