"""`archivist find` at 20,000 pieces: the first search, those after it, and after one change.

    python -m tests.benchmarks.finding [PIECES]

Each search is a command of its own, from the start of Python to its end, as a person waits for it.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from msgspec.structs import replace

from archivist.catalogue.archive import Archive
from archivist.model import ObjectRecord, Title
from tests.archives import save
from tests.benchmarks.collection import archive_of

QUERIES = (
    ("celadon", "bowl"),
    ("c",),
    ("--made", "1700/1800", "--certainly"),
    ("lotus", "--seen", "hairline", "--height", "10cm/20cm"),
    ("--form", "vase", "--limit", "20"),
    (),
)


def timed(archive: Path, *words: str) -> tuple[float, int]:
    """Seconds that a search takes, and the pieces it lists."""
    command = [sys.executable, "-m", "archivist", "-a", str(archive), "find", *words]
    begun = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=True, encoding="utf-8")
    return time.perf_counter() - begun, max(0, len(done.stdout.splitlines()) - 1)


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "archive"
        begun = time.perf_counter()
        archive_of(count, folder).catalogue.close()
        print(f"{count} pieces taken in: {time.perf_counter() - begun:.0f} s")
        print(f"the first search, which looks at all: {timed(folder, 'celadon')[0]:.1f} s")
        size = sum(f.stat().st_size for f in (folder / "derivatives/of-records").iterdir())
        print(f"its index: {size / 1e6:.0f} MB")
        for query in QUERIES:
            runs = [timed(folder, *query) for _ in range(3)]
            seconds = statistics.median(run[0] for run in runs)
            print(f"  find {' '.join(query)}: {seconds:.2f} s ({runs[0][1]} listed)")
        with Archive.open(folder) as archive:
            record = next(archive.catalogue.all(ObjectRecord))
            title = Title(value="Celadon bowl that was called otherwise", preferred=True)
            save(archive.catalogue, replace(record, titles=(title,)))
        print(f"after one change: {timed(folder, 'celadon bowl')[0]:.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
