"""Builds a photo archive in the shape of real ones, and the truth about it beside it.

Each photographer has habits: how folders and files are named, whether the clock was set, what was
done to the pictures afterwards. Sister pieces, group shots and exposures taken a second apart are
there as traps.
"""

from __future__ import annotations

import csv
import random
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import piexif
from derive import HARDER, KINDS, derive, jpeg
from pieces import Backdrop, Pot, Shot, make_backdrop, make_pot, photograph, sister_of, twin_of
from PIL import Image

SIZE = (640, 480)
HABITS = ("folder", "words", "numbers", "camera", "stems", "scans", "telephone", "year")
COLOURS = ("blue", "brown", "white", "celadon", "black", "red", "yellow", "green")
FORMS = ("vase", "bowl", "jar", "bottle", "dish", "teapot", "ewer", "censer")
WORDS = {
    "overall": ("", "", "front", "overall", "Gesamt", "vue d'ensemble"),
    "back": ("back", "reverse", "Rückseite", "dos"),
    "side": ("side", "left", "Seite", "profil"),
    "base": ("base", "bottom", "Boden", "dessous"),
    "foot rim": ("foot", "foot rim", "footring", "Fuß"),
    "mark": ("mark", "seal", "Marke", "marque"),
    "mouth": ("mouth", "rim", "Mündung"),
    "interior": ("inside", "interior", "innen"),
    "detail": ("detail", "close up", "détail"),
    "damage": ("crack", "damage", "hairline", "Riss"),
}
COLUMNS = ("path", "picture", "objects", "view", "how", "taken", "regions")


@dataclass
class Exposure:
    """One click of a shutter: what is on it, when, and the names of its files."""

    name: str
    objects: tuple[str, ...]
    view: str
    shot: Shot
    pots: tuple[Pot, ...]
    backdrop: Backdrop
    time: datetime
    camera: str
    path: str = ""
    clock: timedelta = timedelta()
    copies: list[tuple[str, str]] = field(default_factory=list)


def plan(objects: int, files: int, seed: int, *, traps: bool = False) -> list[Exposure]:
    """What would be photographed, how it is named and what becomes of it."""
    chance = random.Random(seed)
    exposures: list[Exposure] = []
    number, counter = 0, chance.randint(100, 9900)
    day = datetime(2003, 3, 2, 10, 0, 0)  # noqa: DTZ001 - cameras know no time zone
    while number < objects:
        habit = HABITS[len({e.path.split("/")[0] for e in exposures}) % len(HABITS)]
        many = min(chance.randint(6, 16), objects - number)
        day += timedelta(days=chance.randint(9, 80), minutes=chance.randint(0, 400))
        session = _session(number, many, habit, day, counter, chance, traps=traps)
        counter = (counter + len(session) + chance.randint(0, 90)) % 9999
        exposures += session
        number += many
    kinds = (*KINDS, *KINDS, "exact", "brighter") if not traps else (*KINDS, *HARDER)
    _copies(exposures, files - len(exposures), chance, kinds)
    return exposures


def _session(
    first: int,
    many: int,
    habit: str,
    start: datetime,
    counter: int,
    chance: random.Random,
    *,
    traps: bool = False,
) -> list[Exposure]:
    """One day's work of one photographer; with `traps` there are more plain pieces, twins and
    second exposures."""
    seeded = np.random.default_rng(chance.randrange(1 << 30))
    backdrop = make_backdrop(seeded)
    camera = f"Camera {HABITS.index(habit) + 1}"
    clock = chance.choice([timedelta(), timedelta(), timedelta(hours=-12), timedelta(days=-1827)])
    top = f"{start.year} {habit}" if habit != "year" else str(start.year)
    exposures: list[Exposure] = []
    time = start
    pots: list[tuple[str, Pot]] = []
    names: set[str] = set()
    for number in range(first, first + many):
        sister = bool(pots) and chance.random() < 0.15
        pot = sister_of(pots[-1][1], seeded) if sister else make_pot(seeded)
        if traps:
            pot = _trap(pot, [known for _, known in pots], seeded, chance)
        identity = f"HW {number + 401:04d}"
        pots.append((identity, pot))
        words = f"{chance.choice(COLOURS)} {chance.choice(FORMS)}"
        if words in names:
            words += f" {chance.choice(['large', 'small', 'lobed', 'carved', 'tall', 'lidded'])}"
        if words in names:
            words += f" {chance.choice(['from Lyon', 'ex Marrow', 'with box', 'cracked'])}"
        if words in names:
            words += f" lot {number}"
        names.add(words)
        time += timedelta(seconds=chance.randint(90, 500))
        views = _views(pot, chance)
        for place, view in enumerate(views):
            time += timedelta(seconds=chance.randint(6, 35))
            if chance.random() < 0.02:
                time += timedelta(seconds=chance.randint(100, 400))
            shot = _framed(pot, view, chance)
            exposure = Exposure(
                name=f"{identity} {place}",
                objects=(identity,),
                view=view,
                shot=shot,
                pots=(pot,),
                backdrop=backdrop,
                time=time,
                camera=camera,
                clock=clock,
            )
            _name(exposure, habit, top, identity, words, place, counter + len(exposures), chance)
            exposures.append(exposure)
            if chance.random() < (0.15 if traps else 0.04) and habit != "scans":
                after = timedelta(milliseconds=500) if traps and chance.random() < 0.5 else None
                exposures.append(_again(exposure, counter + len(exposures), habit, chance, after))
                time = exposures[-1].time
    if len(pots) > 3:
        exposures.append(_group(pots[-3:], exposures[-1], top, chance))
    return exposures


def _trap(pot: Pot, before: list[Pot], seeded: np.random.Generator, chance: random.Random) -> Pot:
    """A plain pot that looks the same all round, a twin of the last one, or the pot as it was."""
    kind = chance.random()
    if kind < 0.35:
        return replace(pot, decor="none")
    return twin_of(before[-1], seeded) if before and kind < 0.55 else pot


def _views(pot: Pot, chance: random.Random) -> list[str]:
    views = ["overall"]
    views += chance.sample(["back", "side"], chance.choice([0, 1, 1, 2]))
    views += ["interior"] if pot.open_bowl and chance.random() < 0.7 else []
    views += ["mouth"] if not pot.open_bowl and chance.random() < 0.3 else []
    views += [v for v in ("base", "foot rim", "mark") if chance.random() < 0.5]
    views += [v for v in ("detail", "damage") if chance.random() < 0.3]
    return views


def _framed(pot: Pot, view: str, chance: random.Random) -> Shot:
    middle = pot.height / 2
    whole = max(1.3, pot.height * 0.62 * SIZE[0] / SIZE[1])
    spots = {
        "overall": ((0.0, middle), whole, 0.0),
        "back": ((0.0, middle), whole, 3.14),
        "side": ((0.0, middle), whole, 1.57),
        "base": ((0.0, 0.0), 1.5, 0.0),
        "foot rim": ((0.3, 0.2), 1.0, 0.0),
        "mark": ((0.0, 0.0), pot.radii[0] * 0.6, 0.0),
        "mouth": ((0.0, 0.0), 1.5, 0.0),
        "interior": ((0.0, 0.0), 1.4, 0.0),
        "detail": ((0.2, middle), 0.6, 0.0),
        "damage": ((0.0, middle), 0.8, 0.0),
    }
    (x, y), reach, spin = spots[view]
    return Shot(
        view=view,
        middle=(x + chance.gauss(0, 0.05) * reach, y + chance.gauss(0, 0.05) * reach),
        reach=reach * chance.uniform(0.94, 1.12),
        lean=chance.gauss(0, 0.015),
        spin=spin + chance.gauss(0, 0.1),
        noise=chance.uniform(0.004, 0.014),
        seed=chance.randrange(1 << 30),
    )


def _again(
    exposure: Exposure,
    counter: int,
    habit: str,
    chance: random.Random,
    after: timedelta | None = None,
) -> Exposure:
    """A second exposure a moment later: another photograph, however alike."""
    shot = replace(
        exposure.shot,
        middle=(
            exposure.shot.middle[0] + chance.gauss(0, 0.02),
            exposure.shot.middle[1] + chance.gauss(0, 0.02),
        ),
        reach=exposure.shot.reach * chance.uniform(0.985, 1.015),
        seed=chance.randrange(1 << 30),
    )
    again = replace(
        exposure,
        name=f"{exposure.name} again",
        shot=shot,
        time=exposure.time + (after or timedelta(seconds=chance.randint(2, 6))),
        copies=[],
    )
    stem, _, ending = exposure.path.rpartition(".")
    again.path = f"{stem} (2).{ending}"
    if habit in ("folder", "camera", "year"):
        folder = exposure.path.rpartition("/")[0]
        again.path = f"{folder}/IMG_{counter % 10000:04d}.JPG"
    return again


def _group(
    pots: list[tuple[str, Pot]], last: Exposure, top: str, chance: random.Random
) -> Exposure:
    """The last pieces of the day, side by side."""
    numbers = " ".join(identity[3:] for identity, _ in pots)
    tallest = max(pot.height for _, pot in pots)
    return replace(
        last,
        name=f"group {numbers}",
        objects=tuple(identity for identity, _ in pots),
        view="group",
        pots=tuple(pot for _, pot in pots),
        shot=Shot(
            view="group",
            middle=(0, tallest / 2),
            reach=max(3.7, tallest * 0.8),
            seed=chance.randrange(1 << 30),
        ),
        time=last.time + timedelta(seconds=400),
        path=f"{top}/group {numbers}.jpg",
        copies=[],
    )


def _name(
    exposure: Exposure,
    habit: str,
    top: str,
    identity: str,
    words: str,
    place: int,
    counter: int,
    chance: random.Random,
) -> None:
    """The path that a photographer of that habit gives a picture."""
    said = chance.choice(WORDS[exposure.view])
    month = exposure.time.strftime("%B")
    number = identity[3:]
    if habit == "folder":
        exposure.path = f"{top}/{month}/{identity} {words}/IMG_{counter % 10000:04d}.JPG"
    elif habit == "words":
        name = f"{said or 'front'}" if place else words
        exposure.path = f"{top}/{words}/{name}.jpg"
        if place and chance.random() < 0.3:
            exposure.path = f"{top}/{words}/DSCN{counter % 10000:04d}.JPG"
    elif habit == "numbers":
        exposure.path = f"{top}/{number} {said}".strip() + f" {place}.jpg"
    elif habit == "camera":
        exposure.path = f"{top}/{exposure.time:%Y-%m-%d}/DSC_{counter % 9999 + 1:04d}.JPG"
    elif habit == "stems":
        exposure.path = f"{top}/{words} {said}".strip() + f" ({place + 1}).jpg"
    elif habit == "scans":
        exposure.path = f"{top}/{identity}/scan{place + 1:04d}.jpg"
    elif habit == "telephone":
        exposure.path = f"{top}/{exposure.time:%Y%m%d_%H%M%S}.jpg"
    else:
        exposure.path = f"{top}/{month}/{words}/IMG_{counter % 10000:04d}.JPG"


def _copies(
    exposures: list[Exposure], wanted: int, chance: random.Random, kinds: tuple[str, ...]
) -> None:
    """Spreads copies over the exposures: for the web, to print, edited, exact."""
    taken = {e.path.casefold() for e in exposures}
    made = 0
    while made < wanted:
        exposure = chance.choice(exposures)
        kind = chance.choice(kinds)
        folder, _, name = exposure.path.rpartition("/")
        stem = name.rpartition(".")[0]
        top = exposure.path.split("/")[0]
        path = chance.choice(
            [
                f"for web/{top}/{stem}.jpg",
                f"{folder}/{stem} small.jpg",
                f"{folder}/{stem} copy.jpg",
                f"{folder}/{stem} (edited).jpg",
                f"to print/Copy of {stem}.jpg",
                f"web/{chance.randrange(1 << 24):06x}.jpg",
                f"backup/{exposure.path}",
            ]
        )
        if path.casefold() in taken:
            continue
        taken.add(path.casefold())
        exposure.copies.append((path, kind))
        made += 1


def _write(job: tuple[Exposure, Path, int]) -> list[tuple[str, ...]]:
    """Draws an exposure and its copies; gives the rows of the truth."""
    exposure, root, seed = job
    chance = random.Random(seed)
    values, boxes = photograph(list(exposure.pots), exposure.shot, exposure.backdrop, SIZE)
    picture = Image.fromarray(values)
    exif = b"" if "scan" in exposure.path else _exif(exposure, picture, chance)
    original = jpeg(picture, 95, exif)
    regions = "; ".join(
        f"{o}={','.join(map(str, box))}" for o, box in zip(exposure.objects, boxes, strict=False)
    )
    rows: list[tuple[str, ...]] = []
    for path, kind in [(exposure.path, "original"), *exposure.copies]:
        data = original
        if kind not in ("original", "exact"):
            changed, quality = derive(picture, kind, chance)
            data = jpeg(changed, quality, exif if chance.random() < 0.6 else b"")
        place = root / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)
        rows.append(
            (path, exposure.name, "; ".join(exposure.objects), exposure.view, kind,
             exposure.time.isoformat(), regions if kind == "original" else "")
        )  # fmt: skip
    return rows


def _exif(exposure: Exposure, picture: Image.Image, chance: random.Random) -> bytes:
    said = (exposure.time + exposure.clock).strftime("%Y:%m:%d %H:%M:%S")
    # Of two exposures within one second the fractions as good as always differ.
    fraction = (chance.randrange(100) + exposure.time.microsecond // 10_000) % 100
    small = picture.resize((160, 120))
    packed: bytes = piexif.dump(
        {
            "0th": {piexif.ImageIFD.Make: b"Oke", piexif.ImageIFD.Model: exposure.camera.encode()},
            "Exif": {
                piexif.ExifIFD.DateTimeOriginal: said.encode(),
                piexif.ExifIFD.SubSecTimeOriginal: f"{fraction:02d}".encode(),
            },
            "1st": {piexif.ImageIFD.Compression: 6},
            "thumbnail": jpeg(small, 75),
        }
    )
    return packed


def build(
    root: Path, objects: int, files: int, seed: int, jobs: int = 2, *, traps: bool = False
) -> Path:
    """Writes the tree to `root` and its truth to `root`'s side; gives the path of the truth."""
    exposures = plan(objects, files, seed, traps=traps)
    work = [(exposure, root, seed * 100003 + n) for n, exposure in enumerate(exposures)]
    truth = root.with_name(root.name + "-truth.csv")
    with (
        ProcessPoolExecutor(jobs) as pool,
        truth.open("w", encoding="utf-8", newline="\n") as file,
    ):
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(COLUMNS)
        for written in pool.map(_write, work, chunksize=8):
            rows.writerows(written)
    return truth
