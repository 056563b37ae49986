"""What a survey costs beside a bare reduced-scale decode of the same files, in the same run.

Run: python tests/benchmarks/photographs/speed.py [--files 60] [--pixels 6000x4000]

Files are of grainy pictures, no two alike. Decoding is by Pillow alone, at the scale a survey
decodes at, on all cores, before and after the survey; the lower of the two is compared.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.intake.survey import survey
from archivist.plugins import load_plugins

REDUCED = 256


def write(folder: Path, files: int, size: tuple[int, int]) -> None:
    """Pictures of soft shapes and grain, as large as those of a camera."""
    for number in range(files):
        random = np.random.default_rng(number)
        shapes = random.integers(0, 256, (9, 13, 3)).astype(np.uint8)
        picture = Image.fromarray(shapes).resize(size, Image.Resampling.BICUBIC)
        grain = random.integers(-9, 10, (size[1], size[0], 1), dtype=np.int16)
        values = np.clip(np.asarray(picture, np.int16) + grain, 0, 255).astype(np.uint8)
        place = folder / f"2009/piece {number // 6}" / f"DSC_{number:04d}.JPG"
        place.parent.mkdir(parents=True, exist_ok=True)
        Image.fromarray(values).save(place, "JPEG", quality=92)


def decode(path: Path) -> None:
    """The picture at reduced scale, and nothing else."""
    with Image.open(path) as image:
        share = REDUCED / max(image.size)
        image.draft("RGB", (round(image.width * share), round(image.height * share)))
        image.load()


def decoded(paths: list[Path]) -> float:
    """Seconds for all of them on all cores."""
    started = time.perf_counter()
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(decode, paths))
    return time.perf_counter() - started


def main() -> None:
    """Builds the files, and prints the seconds and the ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=60)
    parser.add_argument("--pixels", default="6000x4000")
    wanted = parser.parse_args()
    across, down = (int(side) for side in wanted.pixels.split("x"))
    work = Path(tempfile.mkdtemp(prefix="speed-"))
    try:
        write(work / "tree", wanted.files, (across, down))
        paths = sorted((work / "tree").rglob("*.JPG"))
        plugins = load_plugins()
        decoded(paths)
        before = decoded(paths)
        with Archive.create(work / "archive", owner="Ines Tidewell") as archive:
            started = time.perf_counter()
            survey(archive, [work / "tree"], plugins)
            took = time.perf_counter() - started
            after = decoded(paths)
            started = time.perf_counter()
            survey(archive, [work / "tree"], plugins)
            again = time.perf_counter() - started
        bare = min(before, after)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        size = sum(path.stat().st_size for path in paths) / len(paths) / 1e6
        print(f"{len(paths)} files of {size:.1f} MB: decode {before:.2f} and {after:.2f} s, ")
        print(f"survey {took:.2f} s, {took / bare:.2f} times; again {again:.2f} s; {memory} MB")
    finally:
        shutil.rmtree(work)


if __name__ == "__main__":
    main()
