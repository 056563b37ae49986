"""How long `archivist --version` takes beyond bare Python.

    python tests/benchmarks/startup.py [--rounds 21]

Each round runs both, another one first each time; the median of the differences is given.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import time

OURS = ("-m", "archivist", "--version")
BARE = ("-c", "pass")


def seconds(words: tuple[str, ...]) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], capture_output=True, check=True)
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=21)
    rounds = parser.parse_args().rounds
    seconds(OURS)
    bare: list[float] = []
    ours: list[float] = []
    for number in range(rounds):
        order = ((BARE, bare), (OURS, ours)) if number % 2 else ((OURS, ours), (BARE, bare))
        for words, times in order:
            times.append(seconds(words))
    more = [1000 * (a - b) for a, b in zip(ours, bare, strict=True)]
    print(f"bare python          {1000 * statistics.median(bare):6.1f} ms (median of {rounds})")
    print(f"archivist --version  {1000 * statistics.median(ours):6.1f} ms")
    print(
        f"beyond bare python   {statistics.median(more):6.1f} ms ({min(more):.1f}-{max(more):.1f})"
    )


if __name__ == "__main__":
    main()
