"""The frequencies a picture has under every cut of its sides, to find cut copies by."""

from __future__ import annotations

from functools import cache
from typing import Any

from archivist.intake.pictures.look import FREQUENCIES
from archivist.intake.pictures.pixels import coarser

CUTS = (0.0, 0.04, 0.08)
"""Shares of a side that may have been cut from it, tried on all four sides."""

_ENOUGH = 48
"""Samples along the longer side that suffice for eight frequencies under a cut. Few enough, too,
for linear algebra to stay on one core, where handing work over would cost more than doing it."""


@cache
def _cut_waves(samples: int) -> Any:
    """The cosines over every cut of a side: cuts * 8 rows, so many columns, nought where cut."""
    import numpy as np

    rows = []
    for first in CUTS:
        for last in CUTS:
            start, length = first * samples, samples * (1 - first - last)
            places = (np.arange(samples) + 0.5 - start) / length
            inside = (places > 0) & (places < 1)
            for k in range(FREQUENCIES):
                weight = np.sqrt((1 if k == 0 else 2) / length)
                rows.append(np.where(inside, np.cos(np.pi * k * places) * weight, 0))
    return np.array(rows, np.float32)


def cut_frequencies(grey: Any) -> Any:
    """The frequencies of the picture under every cut: 81 rows of 64, each of length one."""
    import numpy as np

    grey = coarser(grey, _ENOUGH)
    many = len(CUTS) ** 2
    low = _cut_waves(grey.shape[0]) @ grey @ _cut_waves(grey.shape[1]).T
    table = low.reshape(many, FREQUENCIES, many, FREQUENCIES).transpose(0, 2, 1, 3).copy()
    table[:, :, 0, 0] = 0
    rows = table.reshape(many * many, FREQUENCIES * FREQUENCIES)
    return rows / np.maximum(np.sqrt((rows * rows).sum(axis=1, keepdims=True)), 1e-6)


def cut_of(row: int) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a row of `cut_frequencies`."""
    many = len(CUTS)
    down, across = divmod(row, many * many)
    return CUTS[across // many], CUTS[down // many], CUTS[across % many], CUTS[down % many]
