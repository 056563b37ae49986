"""What the benchmarks of photographs share: pairs, scores, a folder to work in, and the commands
that an owner uses."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator
from contextlib import contextmanager
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


@contextmanager
def work_folder(prefix: str, keep: bool) -> Iterator[Path]:
    """A folder that is removed in the end, or named where it is to be kept."""
    work = Path(tempfile.mkdtemp(prefix=prefix))
    try:
        yield work
    finally:
        if keep:
            print(f"kept: {work}")
        else:
            shutil.rmtree(work)


def archivist(*words: object) -> str:
    """Runs a command and gives what it prints."""
    return ran(_RUN, *words).stdout


def ran(code: str, *words: object) -> subprocess.CompletedProcess[str]:
    """Runs a command by `code`, in a process of its own; findings (status 1) are no failure."""
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, words)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    if done.returncode not in (0, 1):
        raise SystemExit(done.stdout + done.stderr)
    return done


def stock_list(path: Path, rows: list[dict[str, str]], share: float) -> Path:
    """A stock list with the first `share` of the pieces."""
    objects = sorted({o for row in rows for o in row["objects"].split("; ")})
    lines = ["Stock No;Title"] + [f"{o};Piece {o}" for o in objects[: int(share * len(objects))]]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
    return path
