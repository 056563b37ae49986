"""What reading, copying and fingerprinting photographs costs: `python tests/benchmarks/imaging.py`.

Medians of seven on one 24 megapixel JPEG made here, each beside a peer in the same round, and the
odd photographs beside the project where they are. Warm cache; ratios travel better than figures.
"""

from __future__ import annotations

import io
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from archivist.imaging.clean_copy import clean_copy
from archivist.imaging.derivatives import save_png
from archivist.imaging.fingerprint import fingerprint
from archivist.imaging.pixels import open_upright
from archivist.imaging.probe import probe

PHOTOS = Path(__file__).resolve().parents[3] / "shared" / "photos"
ROUNDS = 7


def milliseconds(*works: Callable[[], object]) -> list[float]:
    """The median time of each, taken in turn within every round."""
    taken: list[list[float]] = [[] for _ in works]
    for _ in range(ROUNDS):
        for work, times in zip(works, taken, strict=True):
            start = time.perf_counter()
            work()
            times.append((time.perf_counter() - start) * 1000)
    return [statistics.median(times) for times in taken]


def photograph(path: Path) -> None:
    """Soft shapes with grain: 6000 by 4000 pixels, some 5 MB at quality 90, with EXIF."""
    soft = Image.effect_noise((750, 500), 60).resize((6000, 4000), Image.Resampling.BICUBIC)
    grain = Image.blend(soft, Image.effect_noise((6000, 4000), 40), 0.08)
    exif = Image.Exif()
    exif[0x0132] = "2004:05:06 07:08:09"
    exif[0x0112] = 6
    Image.merge("RGB", (grain, soft.rotate(180), soft)).save(path, quality=90, exif=exif)


def one_photograph(folder: Path) -> None:
    source, target = folder / "photograph.jpg", folder / "copy.jpg"
    photograph(source)
    print(f"24 megapixel JPEG of {source.stat().st_size / 1e6:.1f} MB, ms:")

    def decode() -> None:
        with Image.open(source) as image:
            image.load()

    copy, rebuilt, checked, decoded = milliseconds(
        lambda: shutil.copy(source, target),
        lambda: clean_copy(source, target, check=False),
        lambda: clean_copy(source, target),
        decode,
    )
    print(f"  shutil.copy                          {copy:8.1f}")
    print(f"  clean_copy, decoded before by others {rebuilt:8.1f}   {rebuilt / copy:5.1f} x copy")
    print(f"  clean_copy                           {checked:8.1f}   {checked / copy:5.1f} x copy")
    print(f"  full decode                          {decoded:8.1f}   {decoded / copy:5.1f} x copy")

    def thumbnail() -> None:
        with Image.open(source) as image:
            image.thumbnail((1600, 1600))

    ours, theirs, said = milliseconds(
        lambda: open_upright(source, reduced_to=1600), thumbnail, lambda: probe(source)
    )
    print(f"  open_upright(reduced_to=1600)        {ours:8.1f}")
    print(f"  Pillow open + thumbnail(1600)        {theirs:8.1f}")
    print(f"  probe                                {said:8.2f}")
    small = open_upright(source, reduced_to=400)
    (taken,) = milliseconds(lambda: fingerprint(small))
    print(f"  both fingerprints from 400 px        {taken:8.2f}")
    whole = open_upright(source)
    (taken,) = milliseconds(lambda: save_png(whole, io.BytesIO()))
    print(f"  save_png, 24 megapixels              {taken:8.1f}")


def many_photographs() -> None:
    if not PHOTOS.is_dir():
        print("the collection of odd photographs does not lie beside the project")
        return
    import piexif

    paths = [path for path in PHOTOS.rglob("*") if path.suffix not in (".csv", ".md", "")]

    def by_piexif() -> None:
        for path in paths:
            try:
                piexif.load(str(path))
            except Exception:  # noqa: BLE001 - it raises whatever the file makes it raise
                continue

    def by_pillow() -> None:
        for path in paths:
            try:
                with Image.open(path) as image:
                    image.getexif().get_ifd(0x8769)
            except Exception:  # noqa: BLE001 - so does it
                continue

    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        ours, piexif_, pillow = milliseconds(
            lambda: [probe(path) for path in paths], by_piexif, by_pillow
        )
    print(f"{len(paths)} odd photographs, ms a file:")
    print(f"  probe (size, dates, captions, wholeness)  {ours / len(paths):6.3f}")
    print(f"  piexif.load alone                         {piexif_ / len(paths):6.3f}")
    print(f"  Pillow open + EXIF                        {pillow / len(paths):6.3f}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        one_photograph(Path(name))
    many_photographs()
