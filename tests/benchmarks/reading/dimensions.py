"""How well sizes are read, on the dimensions of open museum data.

Run: python tests/benchmarks/reading/dimensions.py

Scored are the rows whose own columns are stated in the text (`gold_in_text=Y`): a row counts when
every value of its columns is recovered on its axis, in either unit. The museums write height
before width before depth, give a single size as the height, and ima leaves out the unit where it
is the inch; these habits are set, as an owner would set them. They have no column for a length: a
stated length stands in their height or width.
Baseline: quantulum3, where it is installed, which knows no axis: a row counts for it when all its
values are among those it finds, on any axis (the data's README has 9 % of wcma, 18 % of ima).
"""

from __future__ import annotations

import csv
import importlib.util
import re
import time
import unicodedata
import warnings
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


def by_general_library(text: str) -> list[float] | None:
    """Baseline: the lengths in millimetres that `quantulum3` finds; None where it is missing."""
    if importlib.util.find_spec("quantulum3") is None:
        return None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that its classifier of units is not installed
        parser = importlib.import_module("quantulum3.parser")
        try:
            found = parser.parse(text)
        except Exception:  # noqa: BLE001 - a baseline that fails has read nothing
            return []
    return [q.value * _MILLIMETRES[q.unit.name] for q in found if q.unit.name in _MILLIMETRES]


_MILLIMETRES = {"inch": 25.4, "centimetre": 10.0, "millimetre": 1.0, "metre": 1000.0, "foot": 304.8}


def any_axis(row: dict[str, str], lengths: list[float]) -> bool:
    """Whether every value of the row's columns is among `lengths`, whatever its axis."""
    wanted = [float(row[column]) * 10 for column in COLUMNS if row[column]]
    return all(any(abs(one - size) <= TOLERANCE_MM for one in lengths) for size in wanted)


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
    baseline: dict[str, list[float] | None] = {}
    for row in rows:
        if row["gold_in_text"] != "Y":
            continue
        statements = tuple(
            s
            for s in read[row["source"], row["dimensions_text"]].statements
            if isinstance(s, Measurement)
        )
        right = recovered(row, statements)
        if (text := row["dimensions_text"]) not in baseline:
            baseline[text] = by_general_library(text)
        lengths = baseline[text]
        for name in (f"{row['source']}, {row['domain']}", row["source"], "all"):
            score[name]["rows"] += 1
            score[name]["right"] += right
            score[name]["baseline"] += lengths is not None and any_axis(row, lengths)
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
    there = any(lengths is not None for lengths in baseline.values())
    beside = "beside it quantulum3, on any axis" if there else "quantulum3 is not installed"
    lines = [f"Dimensions: all values of a row recovered on the right axis; {beside}"]
    for name, counts in sorted(score.items()):
        share, theirs = counts["right"] / counts["rows"], counts["baseline"] / counts["rows"]
        other = f"  {theirs:7.2%}" if there else ""
        lines.append(f"  {name:20} {counts['rows']:6} rows  {share:7.2%}{other}")
    lines.append(f"  values not in the text: {invented} of {values} ({invented / values:.3%})")
    lines.append(f"  pairs that disagree: {disagreeing} in {len(texts)} texts")
    lines.append(f"  {len(texts) / seconds:,.0f} texts a second")
    lines.append("  most common failures:")
    lines.extend(f"    {count} x {what}" for what, count in failures.most_common(50))
    return "\n".join(lines)


if __name__ == "__main__":
    print(report() if DATA.exists() else f"no data at {DATA}")
