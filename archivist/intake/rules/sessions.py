"""The days' work of cameras: which photographs were taken together of one piece, by the clock, the
order of their numbers and how they look, whatever their folders are called."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from archivist.intake.pictures.sequences import Shot, part

LARGEST_UNTOLD = 12
"""Pictures without a clock that may be of one piece for all that is known."""


class Sessions:
    """The runs into which everything that one camera took falls, in the order it was taken."""

    def __init__(self, shots: Sequence[Shot]) -> None:
        cameras: dict[str, list[int]] = defaultdict(list)
        for place, shot in enumerate(shots):
            if shot.moment is not None:
                cameras[shot.camera].append(place)
        self._run: dict[int, tuple[str, int]] = {}
        for camera, places in cameras.items():
            for number, run in enumerate(part([shots[place] for place in places])):
                self._run.update({places[n]: (camera, number) for n in run.places})

    def runs(self, places: Iterable[int]) -> int:
        """In how many runs photographs lie; 0 where no clock tells."""
        return len({self._run[place] for place in places if place in self._run})

    def belong_together(self, places: Sequence[int], most: int) -> bool:
        """Whether photographs may be of one piece: in no more than `most` runs, or where no clock
        tells, no more than may be."""
        runs = self.runs(places)
        return runs <= most if runs else len(places) <= max(LARGEST_UNTOLD, 4 * most)
