"""What the benchmarks of photographs share: pairs, scores, and the commands that an owner uses."""

from __future__ import annotations

import subprocess
import sys
from collections import defaultdict
from collections.abc import Hashable, Iterable
from itertools import combinations
from pathlib import Path

Pair = tuple[str, str]


def pairs(groups: Iterable[Iterable[str]]) -> set[Pair]:
    """All pairs of files that stand in one group."""
    return {pair for group in groups for pair in combinations(sorted(set(group)), 2)}


def scores(found: set[Pair], true: set[Pair]) -> tuple[float, float, float]:
    """Precision, recall and F1; 1 where there was nothing to find and nothing was found."""
    both = len(found & true)
    precision = both / len(found) if found else 1.0
    recall = both / len(true) if true else 1.0
    total = precision + recall
    return precision, recall, 2 * precision * recall / total if total else 0.0


def by(rows: list[dict[str, str]], column: str) -> list[list[str]]:
    """The paths of rows, those of one value together."""
    groups: dict[Hashable, list[str]] = defaultdict(list)
    for row in rows:
        groups[row[column]].append(row["path"])
    return list(groups.values())


_RUN = "from archivist.cli.main import main; main()"


def archivist(*words: object) -> str:
    """Runs a command and gives what it prints; findings (status 1) are no failure."""
    done = subprocess.run(
        [sys.executable, "-c", _RUN, *map(str, words)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    if done.returncode not in (0, 1):
        raise SystemExit(done.stdout + done.stderr)
    return done.stdout


def stock_list(path: Path, rows: list[dict[str, str]], share: float) -> Path:
    """A stock list with the first `share` of the pieces."""
    objects = sorted({o for row in rows for o in row["objects"].split("; ")})
    lines = ["Stock No;Title"] + [f"{o};Piece {o}" for o in objects[: int(share * len(objects))]]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
    return path
