"""How much memory and time a survey takes of trees of many small photographs.

Run: python tests/benchmarks/survey_memory.py [--files 2000 10000 40000] [--again]

Builds trees of so many files of their own (eight a piece, named as cameras do), surveys each with
the command an owner would use, in a process of its own, and prints its peak of memory. `--again`
surveys each a second time, as after a stop. What grows with the number of files is the proposal
itself, which is one text of all that is proposed; its size is printed beside.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent / "photographs"))

from scoring import ran

_RUN = """
import sys
from archivist.cli.main import main
try:
    main()
finally:
    try:
        import resource
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        peak = peak // 1024 if sys.platform == "darwin" else peak
    except ImportError:
        import psutil
        peak = psutil.Process().memory_info().peak_wset // 1024
    print("peak", peak, file=sys.stderr)
"""


def build(root: Path, files: int, chance: random.Random) -> None:
    """Pictures of 96 by 72 pixels, each unlike the others, in folders of eight."""
    from PIL import Image

    for number in range(files):
        small = Image.frombytes("RGB", (8, 6), chance.randbytes(144))
        piece, place = divmod(number, 8)
        path = root / f"{2001 + piece % 20}" / f"HW {piece:05d}" / f"IMG_{number % 10000:04d}.JPG"
        if not place:
            path.parent.mkdir(parents=True)
        small.resize((96, 72)).save(path, "JPEG", quality=80)


def command(*words: object) -> tuple[float, int]:
    """Runs a command; gives its seconds and its peak of memory in kilobytes."""
    started = time.perf_counter()
    done = ran(_RUN, *words)
    return time.perf_counter() - started, int(done.stderr.rsplit("peak", 1)[1])


def main() -> None:
    """Builds, surveys and prints."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, nargs="+", default=[2000, 10000, 40000])
    parser.add_argument("--again", action="store_true")
    wanted = parser.parse_args()
    _, least = command("--version")
    print(f"the program by itself: {least // 1024} MB")
    for files in wanted.files:
        with tempfile.TemporaryDirectory(prefix="survey-memory-") as name:
            work = Path(name)
            build(work / "tree", files, random.Random(files))
            command("new", work / "archive", "--owner", "Ines Tidewell")
            for turn in range(1 + wanted.again):
                seconds, peak = command("--archive", work / "archive", "survey", work / "tree")
                written = sum(p.stat().st_size for p in (work / "archive/proposals").glob("*.json"))
                print(
                    f"{files:,} files{' again' if turn else ''}: {seconds:.1f} s, peak "
                    f"{peak // 1024} MB, {1024 * (peak - least) / files / 1024:.1f} kB a file; "
                    f"proposals {written >> 20} MB",
                    flush=True,
                )


if __name__ == "__main__":
    main()
