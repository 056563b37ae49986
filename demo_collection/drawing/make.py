"""Makes the demo collection again: the sheets, the photographs and the table of what they show.

    python demo_collection/drawing/make.py [--to FOLDER] [--only WORDS] [--jobs NUMBER]

Running it twice gives the same bytes with the same versions of numpy and Pillow.
"""

import argparse
import csv
import io
import multiprocessing
import sys
import zlib
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent))

import album
import papers
import scenes
from camera import Written, develop, jpeg

PACKAGE = Path(__file__).resolve().parents[1] / "archivist_demo"
TRUTH_COLUMNS = ("path", "stock_numbers", "view", "regions")


def render(photograph: album.Photograph) -> tuple[Image.Image, list[tuple[float, ...]]]:
    """The picture as seen upright, and the box of each piece in it."""
    shoot = album.shoot_of(photograph)
    seed = zlib.crc32(photograph.path.encode("utf-8"))
    scene, boxes = scenes.picture(photograph.shot, shoot, seed)
    return develop(scene.render(), shoot.look, seed), boxes


def written_by(photograph: album.Photograph) -> Written:
    """What the camera of that season wrote into the file."""
    shoot = album.shoot_of(photograph)
    taken = ""
    if shoot.first:
        first = datetime.strptime(f"{shoot.first} +0000", "%Y:%m:%d %H:%M:%S %z")
        taken = (first + timedelta(minutes=photograph.minute)).strftime("%Y:%m:%d %H:%M:%S")
    return replace(shoot.written, taken=taken, **photograph.written)


def file_bytes(photograph: album.Photograph) -> tuple[bytes, list[tuple[float, ...]]]:
    """The bytes of a photograph's file, and the boxes of its pieces."""
    picture, boxes = render(photograph)
    name = file_name(photograph)
    if name != photograph.path:
        return _scan(picture, name), boxes
    return jpeg(picture, album.shoot_of(photograph).look.quality, written_by(photograph)), boxes


def file_name(photograph: album.Photograph) -> str:
    """Its path below the folder of photographs; a few scans were kept in other formats."""
    return dict(album.OTHERWISE).get(photograph.path, photograph.path)


def _regions(photograph: album.Photograph, boxes: list[tuple[float, ...]]) -> str:
    if photograph.view != "group" or len(photograph.numbers) < 2:
        return ""
    parts = []
    for number, (left, top, right, bottom) in zip(photograph.numbers, boxes, strict=True):
        x, y = int(left), int(top)
        parts.append(f"{number}={x},{y},{int(right) - x + 1},{int(bottom) - y + 1}")
    return "; ".join(parts)


def _first(folder: str, view: str) -> album.Photograph:
    return next(p for p in album.PHOTOGRAPHS if p.path.startswith(folder) and p.view == view)


def make(to: Path, only: str = "", jobs: int = 1) -> None:
    """Write the collection below ``to``, or ``only`` the photographs with that in their path."""
    collection = to / "collection"
    pictures = collection / "Photographs"
    pictures.mkdir(parents=True, exist_ok=True)
    papers.write_stock_book(collection / "Stock book.xlsx")
    papers.write_old_list(collection / "old stock 1998-2003.csv")
    truth: list[tuple[str, str, str, str]] = []
    done: dict[str, bytes] = {}
    wanted = [photograph for photograph in album.PHOTOGRAPHS if only in photograph.path]
    with multiprocessing.get_context("spawn").Pool(jobs) as pool:
        results = pool.imap(file_bytes, wanted, chunksize=4)
        for photograph, (data, boxes) in zip(wanted, results, strict=True):
            name = file_name(photograph)
            done[photograph.path] = data
            _write(pictures / name, data)
            truth.append(
                (name, "; ".join(photograph.numbers), photograph.view, _regions(photograph, boxes))
            )
            print(name, len(data) // 1024, "KiB", flush=True)
    if only:
        return
    for folder, view, name in album.TWICE:
        source = _first(folder, view)
        _write(pictures / name, done[source.path])
        truth.append((name, "; ".join(source.numbers), source.view, ""))
    for folder, view, name in album.SMALL:
        source = _first(folder, view)
        _write(pictures / name, _small(done[source.path]))
        truth.append((name, "; ".join(source.numbers), source.view, ""))
    _write_truth(to / "truth.csv", truth)


def _scan(picture: Image.Image, name: str) -> bytes:
    """A scan as a small TIFF or a PNG of few colours."""
    buffer = io.BytesIO()
    small = picture.resize((picture.width // 2, picture.height // 2), Image.Resampling.LANCZOS)
    if name.endswith(".tif"):
        small.save(buffer, "TIFF", compression="jpeg", quality=88, dpi=(300, 300))
    else:
        small.quantize(200, dither=Image.Dither.NONE).save(buffer, "PNG", dpi=(300, 300))
    return buffer.getvalue()


def _small(data: bytes) -> bytes:
    picture = Image.open(io.BytesIO(data)).convert("RGB")
    picture.thumbnail((480, 480), Image.Resampling.LANCZOS)
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=72, optimize=True)
    return buffer.getvalue()


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)


def _write_truth(path: Path, rows: list[tuple[str, str, str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(TRUTH_COLUMNS)
        writer.writerows((f"Photographs/{path_}", *rest) for path_, *rest in sorted(rows))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--to", type=Path, default=PACKAGE)
    parser.add_argument("--only", default="")
    parser.add_argument("--jobs", type=int, default=1)
    given = parser.parse_args()
    make(given.to, given.only, given.jobs)
