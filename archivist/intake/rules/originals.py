"""Which of several files of one picture is the camera's own: what the camera wrote in it, the size
that camera gives its files, pixels, generation, marks and names, weighed together.

No one of these decides: a copy for a website may be a PNG without loss, larger by a white border,
and keep what the camera wrote. The weights are our judgement, no source; the benchmark `originals`
measures them.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from archivist.intake.pictures.keeping import Picture
from archivist.intake.pictures.pixels import fitted, grey_of

CAMERAS_OWN, CAMERAS_SIZE, CAMERAS_NAME = 4.0, 3.0, 1.0
SCANNERS_OWN = CAMERAS_OWN + CAMERAS_SIZE + 1.5
GREY, MARKED, COPY_BY_NAME, COPY_BY_PLACE = -3.0, -3.0, -2.0, -1.5
LOSSLESS, HALF_THE_PIXELS, TEN_OF_QUALITY = 1.5, -2.0, 0.5

_FINE = 92
"""The quality of a JPEG from which on more of it says nothing: who saves an edited copy often takes
the highest."""

_USUAL = 0.2
"""The share of a camera's files that have a size from which on it is one that the camera makes."""

_STRUCTURE = 1.25
"""Times the fine structure that a picture has where it differs, when something was put on it."""

_DIFFERS, _LEAST, _MOST = 14.0, 0.002, 0.35
"""How much brightness differs where something was put on, and on which share of the picture."""

Point = tuple[float, str]


class Originals:
    """Weighs the files of one picture, among all pictures of a survey."""

    def __init__(self, pictures: Sequence[Picture], pixels: Callable[[int], Any]) -> None:
        """`pixels` gives the small picture at a place, as rows, columns and three colours."""
        self._pictures = pictures
        self._pixels = pixels
        self._sizes = _usual_sizes(pictures)

    def best(self, members: Sequence[int]) -> tuple[int, tuple[str, ...]]:
        """The best original of several files, and why it is."""
        marked = self._marked(members)
        said = {m: self._points(m, members, m in marked) for m in members}
        sums = {m: sum(points for points, _ in said[m]) for m in members}
        keeper = min(members, key=lambda m: (-round(sums[m], 3), *self._rest(m)))
        others = {reason for m in members if m != keeper for _, reason in said[m]}
        because = [r for points, r in said[keeper] if points > 0 and r and r not in others]
        because += [
            f"of others {reason}"
            for reason in dict.fromkeys(
                r for m in members if m != keeper for points, r in said[m] if points < 0 and r
            )
            if not any(reason == r for _, r in said[keeper])
        ]
        return keeper, tuple(because) or ("as good as the others; its name is the plainest",)

    def _points(self, place: int, members: Sequence[int], marked: bool) -> list[Point]:
        """What speaks for one file, and against it."""
        picture = self._pictures[place]
        among = [self._pictures[m] for m in members]
        look = picture.look
        size = (look.width, look.height)
        largest = max(p.look.width * p.look.height for p in among)
        share = max(1, look.width * look.height) / max(1, largest)
        points: list[Point] = []
        if picture.camera:
            points.append((CAMERAS_OWN, "it has what its camera wrote"))
        if picture.scanned and picture.lossless and not picture.camera and not picture.worked:
            points.append((SCANNERS_OWN, "it is a scanner's file, saved without loss"))
        if _upright(size) in self._sizes.get(picture.camera, frozenset()):
            points.append((CAMERAS_SIZE, f"it has a size of its camera ({size[0]} x {size[1]})"))
        if picture.series and not picture.called_copy:
            points.append((CAMERAS_NAME, "it has the name that a camera gave"))
        many = f"the most pixels ({size[0]} x {size[1]})" if share == 1 else "fewer pixels"
        alone = sum(p.look.width * p.look.height == largest for p in among) == 1
        if share == 1 and alone:
            points.append((0.001, many))
        points.append((-HALF_THE_PIXELS * math.log2(share), many if share < 1 else ""))
        if look.grey and not all(p.look.grey for p in among):
            points.append((GREY, "it is grey"))
        if marked:
            points.append((MARKED, "something was put on it, or its edges were sharpened"))
        if picture.called_copy:
            points.append((COPY_BY_NAME, "its name is that of a copy"))
        elif picture.worked:
            points.append((COPY_BY_PLACE, "it lies where copies lie"))
        if picture.lossless and (picture.camera or not any(p.camera for p in among)):
            points.append((LOSSLESS, "it is saved without loss"))
        quality = look.quality or _FINE
        least = min(_FINE, max((p.look.quality or _FINE) for p in among))
        loss = (min(quality, _FINE) - _FINE) / 10 * TEN_OF_QUALITY
        points.append((loss, "more compressed" if quality < least else ""))
        return points

    def _rest(self, place: int) -> tuple[Any, ...]:
        """What decides between files for which as much speaks."""
        picture = self._pictures[place]
        return (-picture.told, -picture.look.quality, len(picture.path), picture.path)

    def _marked(self, members: Sequence[int]) -> set[int]:
        """The files on which something was put that is not on another of the picture."""
        found: set[int] = set()
        for one in members:
            for other in members:
                if one != other and self._has_more(one, other):
                    found.add(one)
        return found if len(found) < len(members) else set()

    def _has_more(self, one: int, other: int) -> bool:
        """Whether one picture differs from another in places, and has more structure there."""
        import numpy as np

        a, b = self._pixels(one), self._pixels(other)
        if abs(math.log(a.shape[0] * b.shape[1] / (a.shape[1] * b.shape[0]))) > 0.03:
            return False
        longest = min(max(a.shape[:2]), max(b.shape[:2]))
        mine, theirs = grey_of(fitted(a, longest)), grey_of(fitted(b, longest))
        rows, columns = min(mine.shape[0], theirs.shape[0]), min(mine.shape[1], theirs.shape[1])
        mine, theirs = mine[:rows, :columns], theirs[:rows, :columns]
        gain, offset = np.polyfit(theirs.ravel(), mine.ravel(), 1)
        off = np.abs(mine - gain * theirs - offset)
        where = off > max(_DIFFERS, 4 * float(np.median(off)))
        if not _LEAST < float(where.mean()) < _MOST:
            return False
        return bool(_structure(mine, where) > _STRUCTURE * abs(gain) * _structure(theirs, where))


def _structure(grey: Any, where: Any) -> float:
    """The mean fine structure of a picture in some places."""
    import numpy as np

    fine = np.abs(np.gradient(grey)[0]) + np.abs(np.gradient(grey)[1])
    return float(fine[where].mean())


def _upright(size: tuple[int, int]) -> tuple[int, int]:
    """A size with the longer side first: cameras are held upright too."""
    return (max(size), min(size))


def _usual_sizes(pictures: Sequence[Picture]) -> Mapping[str, frozenset[tuple[int, int]]]:
    """The sizes that each camera gives its files."""
    sizes: dict[str, Counter[tuple[int, int]]] = defaultdict(Counter)
    for picture in pictures:
        if picture.camera:
            sizes[picture.camera][_upright((picture.look.width, picture.look.height))] += 1
    return {
        camera: frozenset(s for s, n in counted.items() if n >= _USUAL * counted.total())
        for camera, counted in sizes.items()
        if counted.total() > 2
    }
