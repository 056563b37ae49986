"""How long bags take to write and to verify, beside `cp -r` and the `bagit` library.

    python tests/benchmarks/bags.py [--files 1100] [--megabytes 400] [--rounds 3] [--folder DIR]

Every round runs each contender once, another one first each time, on the same warm files and with
nothing left to be written out. Medians are given, and ratios within a round, since absolute
figures move from machine to machine. Both sides compute SHA-256 and SHA-512 of every byte; the
library uses two processes.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import bagit

from archivist.hooks import PayloadFile, Selection
from archivist.release.package import FolderPackage
from archivist.testing import sample_selection
from archivist_plugins.bagit.exporter import BagExporter
from archivist_plugins.bagit.format import BagFormat


def make_files(folder: Path, files: int, size: int) -> None:
    """`files` files that together have `size` bytes: a quarter of them hold most of it."""
    chance = random.Random(8493)
    weights = [8.0 if number % 4 == 0 else 0.5 + chance.random() for number in range(files)]
    for number, weight in enumerate(weights):
        place = folder / f"{number % 97:02d}"
        place.mkdir(parents=True, exist_ok=True)
        content = chance.randbytes(int(size * weight / sum(weights)))
        (place / f"{number:05d}.jpg").write_bytes(content)


def whole_archive(source: Path, scratch: Path) -> Selection:
    """The files of `source` as an owner's archive bag is handed them."""
    paths = sorted(path for path in source.rglob("*") if path.is_file())

    def preserved() -> list[PayloadFile]:
        return [PayloadFile(path=f"originals/{p.parent.name}/{p.name}", source=p) for p in paths]

    selection = sample_selection(scratch, (), audience="owner")
    return replace(selection, whole_archive=True, preserved=lambda: iter(preserved()))


def write_ours(selection: Selection, target: Path) -> None:
    BagExporter().export_selection(selection, FolderPackage(target))


def write_theirs(source: Path, target: Path) -> None:
    shutil.copytree(source, target)
    bagit.make_bag(str(target), processes=2, checksums=["sha256", "sha512"])


def verify_ours(bag: Path) -> None:
    report = BagFormat().verify(bag, progress=lambda size: None)
    if report.problems:
        raise SystemExit(f"our own bag is not valid: {report.problems[:3]}")


def verify_theirs(bag: Path) -> None:
    bagit.Bag(str(bag)).validate(processes=2)


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def in_turn(names: tuple[str, ...], number: int) -> tuple[str, ...]:
    """The names, another one first in every round."""
    first = number % len(names)
    return names[first:] + names[:first]


def settle() -> None:
    """Lets the system write out what earlier work left, so that nobody pays for another."""
    if hasattr(os, "sync"):
        os.sync()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=1100)
    parser.add_argument("--megabytes", type=int, default=400)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--folder", type=Path, default=None)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(dir=asked.folder) as scratch:
        run(Path(scratch), asked.files, asked.megabytes * 1_000_000, asked.rounds)


def run(scratch: Path, files: int, size: int, rounds: int) -> None:
    source = scratch / "source"
    make_files(source, files, size)
    selection = whole_archive(source, scratch)
    ours, theirs, copied = scratch / "ours", scratch / "theirs", scratch / "copied"
    contenders: dict[str, Callable[[], object]] = {
        "cp -r": lambda: shutil.copytree(source, copied),
        "write: copy, then bagit": lambda: write_theirs(source, theirs),
        "write: ours": lambda: write_ours(selection, ours),
        "verify: bagit": lambda: verify_theirs(ours),
        "verify: ours": lambda: verify_ours(ours),
    }
    times: dict[str, list[float]] = {name: [] for name in contenders}
    for number in range(rounds):
        for target in (ours, theirs, copied):
            shutil.rmtree(target, ignore_errors=True)
        for name in in_turn(("cp -r", "write: copy, then bagit", "write: ours"), number):
            settle()
            times[name].append(seconds(contenders[name]))
        for name in in_turn(("verify: bagit", "verify: ours"), number):
            settle()
            times[name].append(seconds(contenders[name]))
    print(f"{files} files, {size / 1e6:.0f} MB, medians of {rounds} rounds")
    for name, taken in times.items():
        print(f"  {name:25s} {statistics.median(taken):7.2f} s")
    for ours_name, peer in (
        ("write: ours", "write: copy, then bagit"),
        ("write: ours", "cp -r"),
        ("verify: ours", "verify: bagit"),
    ):
        ratios = [a / b for a, b in zip(times[ours_name], times[peer], strict=True)]
        print(f"  {ours_name} / {peer}: {statistics.median(ratios):.2f}")


if __name__ == "__main__":
    main()
