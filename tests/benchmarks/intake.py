"""How fast a large stock book is surveyed, applied and surveyed again.

Run: python tests/benchmarks/intake.py [ROWS]

The rows are made of invented words, about as many different ones as real stock books have, so
that nothing is won by reading the same cell twice.
"""

from __future__ import annotations

import random
import resource
import sys
import tempfile
import time
from importlib.metadata import EntryPoint
from pathlib import Path

import xlsxwriter

from archivist.catalogue.archive import Archive
from archivist.intake.apply import apply
from archivist.intake.survey import survey
from archivist.plugins import load_plugins

HEADINGS = (
    "Stock No",
    "Title",
    "Description",
    "Origin",
    "When made",
    "Period",
    "Material",
    "Glaze",
    "Size",
    "Weight (g)",
    "Condition",
    "Mark",
    "Opinions",
    "Provenance",
    "Bought from",
    "Bought on",
    "Cost £",
    "Asked £",
    "Sold on",
    "Buyer",
    "Buyer's address",
    "Shelf",
    "Notes",
    "Notes (private)",
    "Margin",
)
FORMS = [
    "bowl",
    "dish",
    "jar",
    "bottle",
    "vase",
    "jug",
    "mug",
    "plate",
    "cup",
    "ewer",
    "teapot",
    "charger",
]
GLAZES = [
    "celadon",
    "tin",
    "ash",
    "tenmoku",
    "lead",
    "salt",
    "cream",
    "crackled",
    "brown",
    "blue",
    "white",
]
PLACES = [
    "Delft",
    "Arita",
    "Seto",
    "Mino",
    "Karatsu",
    "Frechen",
    "Westerwald",
    "Faenza",
    "Bristol",
    "Staffordshire",
]
FAULTS = (
    "hairline from rim",
    "chip to the lip",
    "firing gap at foot",
    "rim restored with lacquer",
    "glaze flaked at edge",
    "crack in the base",
    "foot rubbed",
)
NAMES = [
    "Brunnick",
    "Pellworth",
    "Farrant",
    "Castagnac",
    "Oduya",
    "Halloran",
    "Tolling",
    "Kloosterman",
    "Arbery",
]


def row(number: int, chance: random.Random) -> list[object]:
    """One row of an invented stock book."""
    form, glaze, place = chance.choice(FORMS), chance.choice(GLAZES), chance.choice(PLACES)
    century = chance.randint(12, 19)
    cost = chance.randint(20, 5000)
    return [
        f"BM {number:05d}",
        f"{glaze} {form}, pattern {chance.randint(1, 9999)}",
        f"A {form} of the {place} kind, number {number}, the {glaze} glaze pooling at the foot",
        place,
        f"circa {century}{chance.randint(10, 99)}" if number % 2 else f"{century}th century",
        chance.choice(["Edo", "Joseon", "", "Meiji", ""]),
        chance.choice(["stoneware", "porcelain", "earthenware"]),
        glaze,
        f"H {chance.randint(50, 500) / 10} cm, D {chance.randint(50, 400) / 10} cm",
        chance.randint(100, 4000),
        f"{chance.choice(FAULTS)}, {chance.randint(1, 90)} mm; {chance.choice(FAULTS)}",
        chance.choice(["", "", "impressed seal, not read", "painted 14 in blue"]),
        chance.choice(["", "", f"{chance.choice(NAMES)} says {century}th century"]),
        f"Bought from {chance.choice(NAMES)} in {chance.randint(1950, 2010)}",
        f"Mr {chr(65 + number % 26)}. {chance.choice(NAMES)}",
        f"{chance.randint(1980, 2015)}-{chance.randint(1, 12):02d}-{chance.randint(1, 28):02d}",
        cost,
        cost * 2,
        f"{chance.randint(1, 28)}.{chance.randint(1, 12)}.{chance.randint(1985, 2016)}",
        f"Mrs {chr(65 + number % 26)}. {chance.choice(NAMES)}",
        f"{number} Pump Lane, Ostringham",
        f"{chr(65 + number % 6)}{number % 9}",
        f"see also {number + 1}",
        f"not below {cost}",
        cost,
    ]


def main() -> None:
    """Prints rows a second for each step."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    chance = random.Random(7)
    plugins = load_plugins(
        [EntryPoint("spreadsheet", "archivist_plugins.spreadsheet", "archivist")]
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stock.xlsx"
        book = xlsxwriter.Workbook(path, {"constant_memory": True})
        sheet = book.add_worksheet("Stock")
        sheet.write_row(0, 0, HEADINGS)
        for number in range(1, rows + 1):
            sheet.write_row(number, 0, row(number, chance))
        book.close()
        with Archive.create(Path(folder) / "archive", owner="A benchmark") as archive:
            began = time.perf_counter()
            told = survey(archive, [path], plugins)
            surveyed = time.perf_counter()
            assert told.path is not None
            done = apply(archive, told.proposal, told.path.name, "A benchmark")
            applied = time.perf_counter()
            again = survey(archive, [path], plugins)
            finished = time.perf_counter()
            assert again.path is None, "the second survey proposed something"
        size = told.path.stat().st_size / 1e6 if told.path.exists() else 0.0
        print(f"{rows} rows x {len(HEADINGS)} columns; proposal {size:.0f} MB")
        for what, seconds in (
            ("survey", surveyed - began),
            ("apply", applied - surveyed),
            ("second survey", finished - applied),
        ):
            print(f"{what:14} {seconds:6.1f} s  {rows / seconds:8.0f} rows/s")
        print(
            f"{done.records} records; {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10} MB"
        )


if __name__ == "__main__":
    main()
