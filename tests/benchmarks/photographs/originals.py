"""How often the best original of a picture is the camera's own file, among copies of every kind.

Run: python tests/benchmarks/photographs/originals.py [--pictures 60] [--seed 3] [--tree FOLDER]

Each picture is a camera's file and two or three copies, changed, named and kept as people do: with
or without what the camera wrote in them, as JPEG or PNG, in folders that say what they are or not.
Printed is the share of pictures whose best original is the camera's file (or the very same bytes),
of those of which any copy was found, and by what the wrong ones were.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
import random
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np
import piexif
from PIL import Image, ImageDraw, ImageEnhance, ImageOps

sys.path.insert(0, str(Path(__file__).resolve().parent))

from builder import _framed
from derive import derive, jpeg
from pieces import make_backdrop, make_pot, photograph
from scoring import archivist

SIZE = (480, 360)
KINDS = (
    "resized", "recompressed", "sharpened", "grey", "brighter", "cropped",
    "marked", "marked png", "toned", "padded", "bordered", "enlarged", "plain png",
)  # fmt: skip
PLACES = (
    "website/{stem}.{end}", "for Marrow/{stem}.{end}", "best/{stem}.{end}",
    "{folder}/{stem} 2.{end}", "disk 2/{folder}/{stem}.{end}", "list 2012/{number:03d}.{end}",
    "{folder}/edit/{stem}.{end}", "sold 2011/{stem}.{end}",
)  # fmt: skip


def changed(picture: Image.Image, kind: str, chance: random.Random) -> tuple[Image.Image, str, int]:
    """The picture changed, the ending of its file and the quality of a JPEG."""
    quality = chance.choice([75, 85, 92, 95, 98])
    if kind in ("marked", "marked png"):
        marked = picture.copy()
        place = (picture.width // 8, chance.choice([30, picture.height // 2, picture.height - 60]))
        fill = (255, 255, 255, 170)
        draw = ImageDraw.Draw(marked, "RGBA")
        draw.text(place, "Tidewell & Oke", fill=fill, font_size=picture.width // 12)
        return marked, "png" if kind.endswith("png") else "jpg", quality
    if kind == "plain png":
        return picture, "png", 0
    if kind == "toned":
        bands = zip(picture.split(), (1.06, 1.0, 0.92), strict=True)
        tables = [band.point([min(255, round(v * by)) for v in range(256)]) for band, by in bands]
        return Image.merge("RGB", tables), "jpg", quality
    if kind == "padded":
        wide = picture.width
        square = Image.new("RGB", (wide, wide), "white")
        square.paste(picture, (0, (wide - picture.height) // 2))
        return square, "jpg", quality
    if kind == "bordered":
        return ImageOps.expand(picture, picture.width // 40, "white"), "jpg", quality
    if kind == "enlarged":
        size = (round(picture.width * 1.5), round(picture.height * 1.5))
        return picture.resize(size, Image.Resampling.BICUBIC), "jpg", quality
    if kind == "brighter":
        return ImageEnhance.Brightness(picture).enhance(1.12), "jpg", quality
    made, quality = derive(picture, kind, chance)
    return made, "jpg", max(70, quality)


def build(root: Path, pictures: int, seed: int) -> None:
    """Writes the tree and its truth."""
    chance, seeded = random.Random(seed), np.random.default_rng(seed)
    rows = []
    for number in range(pictures):
        pot = make_pot(seeded)
        view = chance.choice(["overall", "overall", "base", "mouth"])
        shot = _framed(pot, view, chance)
        values, _ = photograph([pot], shot, make_backdrop(seeded), SIZE)
        picture = Image.fromarray(values)
        said = f"2009:03:{number % 28 + 1:02d} 10:{number % 60:02d}:00".encode()
        exif = piexif.dump(
            {"0th": {piexif.ImageIFD.Make: b"Oke", piexif.ImageIFD.Model: b"Oke 1"},
             "Exif": {piexif.ExifIFD.DateTimeOriginal: said}}
        )  # fmt: skip
        folder, stem = chance.choice(
            [("DCIM/100OKECA", f"IMG_{number:04d}"), ("2009/March", f"DSC_{number:04d}"),
             ("photographs", f"blue vase {number}"), ("pieces", f"jar {number} front")]
        )  # fmt: skip
        files = [(f"{folder}/{stem}.jpg", "original", jpeg(picture, 95, exif))]
        for kind in chance.sample(KINDS, chance.choice([1, 2, 3])):
            made, end, quality = changed(picture, kind, chance)
            place = chance.choice(PLACES).format(folder=folder, stem=stem, end=end, number=number)
            kept = exif if chance.random() < 0.5 else b""
            if end == "png":
                stream = io.BytesIO()
                made.save(stream, "PNG", exif=kept) if kept else made.save(stream, "PNG")
                data = stream.getvalue()
            else:
                data = jpeg(made, quality, kept)
            files.append((place, kind, data))
        for path, kind, data in files:
            if not (root / path).exists():
                (root / path).parent.mkdir(parents=True, exist_ok=True)
                (root / path).write_bytes(data)
                rows.append((path, str(number), kind))
    with root.with_name(root.name + "-truth.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([("path", "picture", "how"), *rows])


def main() -> None:
    """Builds where nothing was built, surveys and scores."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pictures", type=int, default=60)
    parser.add_argument("--seed", type=int, default=3)
    parser.add_argument("--tree", type=Path)
    wanted = parser.parse_args()
    work = Path(tempfile.mkdtemp(prefix="originals-"))
    try:
        tree = wanted.tree or work / "tree"
        truth = tree.with_name(tree.name + "-truth.csv")
        if not truth.exists():
            build(tree, wanted.pictures, wanted.seed)
        with truth.open(encoding="utf-8", newline="") as file:
            how = {row["path"]: row["how"] for row in csv.DictReader(file)}
        archivist("new", work / "archive", "--owner", "Ines Tidewell")
        archivist("--archive", work / "archive", "survey", tree)
        said = json.loads(archivist("--archive", work / "archive", "review", "--json"))
        found = [
            (same["keeper"], [o["path"] for o in same["others"]]) for same in said["duplicates"]
        ]
        found = [(k, others) for k, others in found if "original" in {how[p] for p in (k, *others)}]
        wrong = [k for k, _ in found if how[k] != "original"]
        print(f"best original right: {len(found) - len(wrong)} of {len(found)}")
        print(f"  wrong: {dict(Counter(how[k] for k in wrong).most_common())}")
    finally:
        shutil.rmtree(work)


if __name__ == "__main__":
    main()
