"""How fast full captions are read, of the museums' objects and of the trade's manner."""

from __future__ import annotations

import time

from archivist.reading.tables import Tables, load_tables
from archivist.reading.titles import read_title
from tests.benchmarks.reading.data import present, rows

TRADE = (
    "A fine tea-bowl with celadon glaze, Korea, 12th century, H. 8.2 cm, hairline to rim; "
    "ex private collection",
    "Blue and white vase, Kangxi mark and period, 13 1/2 in. (34.3 cm), drilled base, "
    "from an old Dutch collection",
    "Famille rose bowl, six-character Qianlong seal mark in underglaze blue, D. 15 cm, "
    "rim chips and rubbing to enamels",
    "Longquan celadon dish, Yuan dynasty, 14th century, diameter 32 cm, kiln grit to foot, "
    "no cracks or restoration",
)
"""Invented captions, each with six to nine statements."""
COLUMNS = ("title", "medium", "period", "culture", "marks_or_inscription", "date_text")


def of_museums(most: int = 4000) -> list[str]:
    """Captions put together from the columns of the first rows."""
    captions: list[str] = []
    for row in rows("objects_decorative.csv"):
        captions.append(", ".join(row[name] for name in COLUMNS if row[name])[:300])
        if len(captions) == most:
            break
    return captions


def speed(captions: list[str], tables: Tables, rounds: int = 5) -> float:
    """Captions a second of processor time on one core, the best of some rounds."""
    read_title(captions[0], tables)
    best = 0.0
    for _ in range(rounds):
        start = time.process_time()
        for caption in captions:
            read_title(caption, tables)
        best = max(best, len(captions) / (time.process_time() - start))
    return best


def report() -> str:
    """Captions a second, and how long they are."""
    tables = load_tables()
    lines = ["Captions in full: a second of processor time, one core (3,000)"]
    sets = [("of the trade's manner", list(TRADE) * 50)]
    if present():
        sets.append(("of museums", of_museums()))
    for name, captions in sets:
        length = sum(map(len, captions)) / len(captions)
        lines.append(f"  {name}: {speed(captions, tables):,.0f} ({length:.0f} characters each)")
    return "\n".join(lines)


if __name__ == "__main__":
    print(report())
