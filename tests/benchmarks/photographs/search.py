"""How the search among fingerprints grows with their number.

Run: python tests/benchmarks/photographs/search.py [--counts 3000 30000 100000]

Fingerprints are drawn with the fall of frequencies of real pictures, in families of alike ones, one
in three a copy of another; printed are seconds, seconds for each n log n in units of the first, and
the share of copies that were found.
"""

from __future__ import annotations

import argparse
import math
import resource
import time

import numpy as np
from numpy.typing import NDArray

from archivist.intake.pictures.near import near_pairs


def drawn(count: int) -> tuple[NDArray[np.float32], int]:
    """So many fingerprints, the last third copies of the first, and how many copies there are."""
    random = np.random.default_rng(count)
    rise, run = np.mgrid[0:8, 0:8]
    fall = (1 / (1 + rise + run) ** 1.2).ravel()
    fall[0] = 0
    copies = count // 3
    rows = count - copies
    families = random.normal(size=(max(1, rows // 10), 64)) * fall
    table = families[random.integers(0, len(families), rows)]
    table = table + random.normal(size=(rows, 64)) * fall * 0.6
    table = np.concatenate([table, table[:copies] + random.normal(size=(copies, 64)) * fall * 0.06])
    table /= np.linalg.norm(table, axis=1, keepdims=True)
    return table.astype(np.float32), copies


def main() -> None:
    """Prints a line for each number."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--counts", type=int, nargs="+", default=[3000, 30000, 100000])
    first = 0.0
    for count in parser.parse_args().counts:
        table, copies = drawn(count)
        started = time.perf_counter()
        pairs = near_pairs(table)
        took = time.perf_counter() - started
        unit = took / (count * math.log(count))
        first = first or unit
        plain = pairs[pairs[:, 2] == 0]
        found = {(int(a), int(b)) for a, b in plain[:, :2]}
        share = sum((n, count - copies + n) in found for n in range(copies)) / copies
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        print(
            f"{count} fingerprints: {took:.1f} s, {unit / first:.2f} times n log n, "
            f"{len(pairs) / count:.1f} pairs each, {share:.4f} of copies found, {memory} MB",
            flush=True,
        )


if __name__ == "__main__":
    main()
