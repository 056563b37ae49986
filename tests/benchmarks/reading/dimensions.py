"""How well sizes are read, on the dimensions of open museum data.

Run: python tests/benchmarks/reading/dimensions.py

Scored are the rows whose own columns are stated in the text (`gold_in_text=Y`): a row counts when
every value of its columns is recovered on its axis, in either unit. The museums write height
before width before depth, give a single size as the height, and ima leaves out the unit where it
is the inch; these habits are set, as an owner would set them. They have no column for a length: a
stated length stands in their height or width.
Baseline, from the data's README: quantulum3 recovers all values of 9 % (wcma) and 18 % (ima).
"""

from __future__ import annotations

import csv
import re
import time
import unicodedata
from collections import Counter, defaultdict
from fractions import Fraction
from pathlib import Path

from archivist.model.measurements import Dimension, Measurement, Unit, in_millimetres
from archivist.reading.measurements import read_measurements
from archivist.reading.tables import load_tables

DATA = Path(__file__).parents[4] / "shared" / "data" / "dimensions.csv"
COLUMNS = {
    "height_cm": (Dimension.HEIGHT, Dimension.LENGTH),
    "width_cm": (Dimension.WIDTH, Dimension.LENGTH),
    "depth_cm": (Dimension.DEPTH, Dimension.THICKNESS),
    "diameter_cm": (Dimension.DIAMETER,),
}
BARE_UNIT = {"ima": Unit.INCH}
TOLERANCE_MM = 0.6
"""The data's columns are rounded to a tenth or hundredth of a centimetre."""

_NUMBER = re.compile(r"(\d+)[ -](?:and )?(\d+)/(\d+)|(\d+)/(\d+)|(\d*)([¼½¾⅓⅔⅛⅜⅝⅞])|\d*\.?\d+")


def numbers_in(text: str) -> set[Fraction]:
    """Every number that `text` may be said to state, read without the reader under test."""
    found: set[Fraction] = set()
    for match in _NUMBER.finditer(text.replace(",", "")):
        whole, numerator, denominator, top, bottom, before, glyph = match.groups()
        if numerator and int(denominator):
            found.add(int(whole) + Fraction(int(numerator), int(denominator)))
        elif top and int(bottom):
            found.add(Fraction(int(top), int(bottom)))
        elif glyph:
            above, below = unicodedata.normalize("NFKD", glyph).split("\u2044")
            found.add(int(before or 0) + Fraction(int(above), int(below)))
        elif not numerator and not top:
            found.add(Fraction(match.group()))
    return found | {12 * feet + inches for feet in found for inches in found | {Fraction(0)}}


def recovered(row: dict[str, str], measurements: tuple[Measurement, ...]) -> bool:
    """Whether every value of the row's columns is among `measurements`, on its axis."""
    for column, dimensions in COLUMNS.items():
        if not row[column]:
            continue
        wanted = float(row[column]) * 10
        if not any(
            m.dimension in dimensions
            and (size := in_millimetres(m)) is not None
            and abs(float(size[0]) - wanted) <= TOLERANCE_MM
            for m in measurements
        ):
            return False
    return True


def report() -> str:
    """Recovery per source and kind of object, values that are not in the text, speed."""
    tables = load_tables()
    with DATA.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    texts = sorted({(row["source"], row["dimensions_text"]) for row in rows})
    started = time.perf_counter()
    read = {
        (source, text): read_measurements(
            text,
            tables,
            order="HWD",
            default_unit=BARE_UNIT.get(source),
            default_dimension=Dimension.HEIGHT,
        )
        for source, text in texts
    }
    seconds = time.perf_counter() - started
    score: dict[str, Counter[str]] = defaultdict(Counter)
    failures: Counter[str] = Counter()
    for row in rows:
        if row["gold_in_text"] != "Y":
            continue
        statements = tuple(
            s
            for s in read[row["source"], row["dimensions_text"]].statements
            if isinstance(s, Measurement)
        )
        right = recovered(row, statements)
        for name in (f"{row['source']}, {row['domain']}", "all"):
            score[name]["rows"] += 1
            score[name]["right"] += right
        if not right:
            gold = " ".join(f"{c}={row[c]}" for c in COLUMNS if row[c])
            failures[f"{row['dimensions_text']!r} {row['element']}: {gold}"] += 1
    values = invented = disagreeing = 0
    for (_, text), understood in read.items():
        stated = numbers_in(text)
        disagreeing += sum("disagree" in q.asks for q in understood.questions)
        for statement in understood.statements:
            if isinstance(statement, Measurement):
                values += 1
                invented += not {Fraction(statement.low), Fraction(statement.high)} <= stated
    lines = ["Dimensions: all values of a row recovered on the right axis"]
    for name, counts in sorted(score.items()):
        share = counts["right"] / counts["rows"]
        lines.append(f"  {name:20} {counts['rows']:6} rows  {share:7.2%}")
    lines.append(f"  values not in the text: {invented} of {values} ({invented / values:.3%})")
    lines.append(f"  pairs that disagree: {disagreeing} in {len(texts)} texts")
    lines.append(f"  {len(texts) / seconds:,.0f} texts a second")
    lines.append("  most common failures:")
    lines.extend(f"    {count} x {what}" for what, count in failures.most_common(50))
    return "\n".join(lines)


if __name__ == "__main__":
    print(report() if DATA.exists() else f"no data at {DATA}")
