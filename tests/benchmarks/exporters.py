"""How fast records become Dublin Core and IIIF, and photographs tiles, beside `libvips dzsave`.

    python tests/benchmarks/exporters.py [--records 2000] [--rounds 5] [--megapixels 24]

Each round runs every contender once on the same warm material; medians are given. Records are
counted without a disk: what is written is taken in and dropped. Tiles are written to a scratch
folder by both sides. Ours are the whole of level 0 (tiles, sizes, full picture) through a package
that digests every byte; `dzsave` writes the tiles alone, so its time with the full picture and
the sizes added by libvips is given as well.
"""

from __future__ import annotations

import argparse
import io
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from PIL import Image, ImageFilter

from archivist.hooks import WrittenFile
from archivist.imaging.pixels import open_upright
from archivist.model import View
from archivist.release.package import FolderPackage
from archivist.testing import sample_piece, sample_selection
from archivist_plugins.dublin_core.exporter import DublinCore
from archivist_plugins.iiif.canvases import Addresses, shown
from archivist_plugins.iiif.exporter import as_json
from archivist_plugins.iiif.images import write_service
from archivist_plugins.iiif.manifest import manifest
from archivist_plugins.iiif.pyramid import Pyramid

TILE, QUALITY = 1024, 85


class Sink:
    """A package that takes in everything and keeps nothing but its size."""

    def __init__(self) -> None:
        self.size = 0

    def write(self, path: str, content: bytes | str) -> WrittenFile:
        self.size += len(content)
        return WrittenFile(path, Path(), len(content), "", "")

    def copy(self, path: str, source: Path, sha256: str = "") -> WrittenFile:
        return self.write(path, source.read_bytes())

    @contextmanager
    def open(self, path: str) -> Iterator[BinaryIO]:
        target = io.BytesIO()
        yield target
        self.write(path, target.getvalue())

    def companions(self) -> Iterable[WrittenFile]:
        return ()


def make_picture(path: Path, megapixels: int) -> None:
    """A picture with soft and sharp parts, so that JPEG has something to do."""
    width, height = round((megapixels * 1.5) ** 0.5 * 1000), round((megapixels / 1.5) ** 0.5 * 1000)
    noise = Image.effect_noise((width, height), 40).filter(ImageFilter.GaussianBlur(1.5))
    slope = Image.linear_gradient("L").resize((width, height))
    Image.merge("RGB", (noise, slope, Image.blend(noise, slope, 0.5))).save(path, quality=92)


def tiles_ours(picture: Path, target: Path) -> None:
    image = open_upright(picture)
    pyramid = Pyramid(image.width, image.height, TILE)
    write_service(FolderPackage(target), "picture", image, pyramid, QUALITY)


def tiles_vips(picture: Path, target: Path, *, whole: bool) -> None:
    import pyvips

    image = pyvips.Image.new_from_file(str(picture), access="sequential")
    if whole:
        image = image.copy_memory()
    target.mkdir(parents=True)
    image.dzsave(
        str(target / "picture"), layout="iiif3", tile_size=TILE, overlap=0,
        suffix=f".jpg[Q={QUALITY}]",
    )  # fmt: skip
    if not whole:
        return
    pyramid = Pyramid(image.width, image.height, TILE)
    for request in pyramid.requests():
        if request.paths[0].startswith("full/"):
            smaller = image.shrink(request.factor, request.factor) if request.factor > 1 else image
            for path in request.paths:
                place = target / "picture" / path
                place.parent.mkdir(parents=True, exist_ok=True)
                smaller.write_to_file(str(place), Q=QUALITY)


def timed(contenders: dict[str, Callable[[], Any]], rounds: int) -> dict[str, float]:
    """Median seconds of each, all of them in every round."""
    seconds: dict[str, list[float]] = {name: [] for name in contenders}
    for _ in range(rounds):
        for name, run in contenders.items():
            start = time.perf_counter()
            run()
            seconds[name].append(time.perf_counter() - start)
    return {name: statistics.median(times) for name, times in seconds.items()}


def records(folder: Path, count: int, rounds: int) -> None:
    piece = sample_piece(folder, views=tuple(View)[:5])
    selection = sample_selection(folder, [piece])
    addresses = Addresses("https://example.org/")
    sinks = {name: Sink() for name in ("Dublin Core, both forms", "IIIF manifest")}

    def dublin_core() -> None:
        exporter = DublinCore()
        for _ in range(count):
            exporter.export_piece(piece, selection, sinks["Dublin Core, both forms"])

    def iiif() -> None:
        for _ in range(count):
            made = manifest(piece, selection, shown(piece, TILE), addresses)
            sinks["IIIF manifest"].write("manifest.json", as_json(made))

    medians = timed(dict(zip(sinks, (dublin_core, iiif), strict=True)), rounds)
    for name, seconds in medians.items():
        size = sinks[name].size / count / rounds / 1000
        print(f"{name:28} {count / seconds:10,.0f} records/s   {size:5.1f} kB each")


def tiles(folder: Path, megapixels: int, rounds: int) -> None:
    picture = folder / "picture.jpg"
    make_picture(picture, megapixels)
    contenders: dict[str, Callable[[], Any]] = {
        "ours, all of level 0": lambda: tiles_ours(picture, folder / "ours")
    }
    try:
        import pyvips

        contenders["dzsave, tiles alone"] = lambda: tiles_vips(
            picture, folder / "vips", whole=False
        )
        contenders["dzsave, sizes and full added"] = lambda: tiles_vips(
            picture, folder / "vips", whole=True
        )
        print(f"libvips {pyvips.version(0)}.{pyvips.version(1)}.{pyvips.version(2)}")
    except (ImportError, OSError) as reason:
        print(f"dzsave is left out: {reason}")

    def fresh(run: Callable[[], Any]) -> Callable[[], Any]:
        def whole() -> None:
            run()
            for name in ("ours", "vips"):
                shutil.rmtree(folder / name, ignore_errors=True)

        return whole

    medians = timed({name: fresh(run) for name, run in contenders.items()}, rounds)
    ours = medians["ours, all of level 0"]
    for name, seconds in medians.items():
        print(f"{name:28} {seconds * 1000:10,.0f} ms a photograph   {seconds / ours:4.2f} of ours")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, default=2000)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--megapixels", type=int, default=24)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        records(Path(scratch), asked.records, asked.rounds)
        tiles(Path(scratch), asked.megapixels, asked.rounds)


if __name__ == "__main__":
    main()
