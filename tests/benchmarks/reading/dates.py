"""Scores of dates on open museum data, per class and per source, beside two baselines.

Exact: both ends within a year. Overlap: intersection over union of the years. Wrong: no overlap
at all. Conventions are set to each source's own habit by files in `conventions/`, through the same
door as `archivist read --conventions FILE`. Fair scoring as the README of the data describes.
"""

from __future__ import annotations

import re
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from archivist.model.dates import Date, historical_year
from archivist.reading.dates import overall, read_date_cell
from archivist.reading.tables import Tables, load_tables
from tests.benchmarks.reading.data import CONVENTIONS, fair_dates, present

EXACT = ("year", "year_range", "month_day", "century", "decade", "bce", "named_period")
OVERLAP = ("circa_year", "circa_range", "part_of_century", "before_after")
Years = tuple[int, int]


@dataclass
class Score:
    """Counts of one class of one source."""

    rows: int = 0
    read: int = 0
    exact: int = 0
    wrong: int = 0
    overlaps: list[float] = field(default_factory=list)

    def add(self, got: Years | None, gold: Years) -> None:
        self.rows += 1
        if got is None:
            self.overlaps.append(0.0)
            return
        self.read += 1
        self.exact += abs(got[0] - gold[0]) <= 1 and abs(got[1] - gold[1]) <= 1
        common = min(got[1], gold[1]) - max(got[0], gold[0]) + 1
        self.wrong += common <= 0
        both = max(got[1], gold[1]) - min(got[0], gold[0]) + 1
        self.overlaps.append(max(0, common) / both)

    def line(self, name: str) -> str:
        rows = max(self.rows, 1)
        return (
            f"{name:<34}{self.rows:>6}{100 * self.read / rows:>8.1f}"
            f"{100 * self.exact / rows:>8.1f}{sum(self.overlaps) / rows:>8.3f}"
            f"{100 * self.wrong / rows:>8.2f}"
        )


def continuous(year: int) -> int:
    """Historical years as a line without a gap: there is no year 0."""
    return year if year > 0 else year + 1


def tables_of(source: str) -> Tables:
    """The tables with the conventions of one source."""
    file = CONVENTIONS / f"{source}.toml"
    return load_tables(conventions=file if file.is_file() else None)


def ours(text: str, tables: Tables) -> Years | None:
    """What the program reads, as a closed range of historical years (open ends closed far off)."""
    date: Date | None = overall(read_date_cell(text, tables))
    if date is None:
        return None
    first = date.earliest if date.earliest is not None else (date.latest or 0) - 100
    last = date.latest if date.latest is not None else (date.earliest or 0) + 100
    return historical_year(first), historical_year(last)


def by_general_library(text: str, tables: Tables) -> Years | None:
    """Baseline: `edtf` text_to_edtf, bounds in astronomical years."""
    from edtf import parse_edtf, text_to_edtf

    try:
        edtf = text_to_edtf(text)
        if not edtf:
            return None
        parsed = parse_edtf(edtf)
        first, last = parsed.lower_strict().tm_year, parsed.upper_strict().tm_year
    except Exception:  # noqa: BLE001 - a baseline that fails has read nothing
        return None
    return historical_year(first), historical_year(last)


def by_figures(text: str, tables: Tables) -> Years | None:
    """Baseline: the lowest and highest number of four figures."""
    years = [int(y) for y in re.findall(r"(?<!\d)\d{4}(?!\d)", text)]
    return (min(years), max(years)) if years else None


def score(
    reader: Callable[[str, Tables], Years | None], domain: str
) -> tuple[dict[tuple[str, str], Score], list[tuple[str, str, str, Years, Years | None]]]:
    """Scores by class and source, and what was not exact."""
    scores: dict[tuple[str, str], Score] = defaultdict(Score)
    failures = []
    for row in fair_dates(domain):
        gold = (int(row["year_begin"]), int(row["year_end"]))
        got = reader(row["date_text"], tables_of(row["source"]))
        line = (continuous(got[0]), continuous(got[1])) if got is not None else None
        one = Score()
        gold_line = (continuous(gold[0]), continuous(gold[1]))
        for key in ((row["date_class"], row["source"]), (row["date_class"], "all")):
            scores[key].add(line, gold_line)
        one.add(line, gold_line)
        if not one.exact:
            failures.append((row["date_class"], row["source"], row["date_text"], gold, got))
    return scores, failures


def _sum(scores: dict[tuple[str, str], Score], classes: tuple[str, ...] | None) -> Score:
    total = Score()
    for (date_class, source), one in scores.items():
        if source == "all" and (classes is None or date_class in classes):
            total.rows += one.rows
            total.read += one.read
            total.exact += one.exact
            total.wrong += one.wrong
            total.overlaps += one.overlaps
    return total


def speed(rounds: int = 5) -> float:
    """Date phrases a second of processor time on one core, the best of some rounds."""
    texts = [row["date_text"] for row in fair_dates("decorative")]
    tables = load_tables()
    read_date_cell(texts[0], tables)
    best = 0.0
    for _ in range(rounds):
        start = time.process_time()
        for text in texts:
            read_date_cell(text, tables)
        best = max(best, len(texts) / (time.process_time() - start))
    return best


def report(failures_shown: int = 50) -> str:
    """The whole table as text."""
    if not present():
        return "dates: the open museum data (../shared/data) is not here; nothing measured."
    lines: list[str] = []
    for domain in ("decorative", "other"):
        scores, failures = score(ours, domain)
        heading = f"{'rows':>6}{'read %':>8}{'exact %':>8}{'overlap':>8}{'wrong %':>8}"
        lines += [f"Dates, {domain}: class and source", f"{'':<34}{heading}"]
        for key in sorted(scores):
            lines.append(scores[key].line(f"{key[0]} / {key[1]}"))
        lines.append(_sum(scores, None).line("ALL"))
        lines.append(_sum(scores, EXACT).line("to be exact (97 %)"))
        lines.append(_sum(scores, OVERLAP).line("to overlap (0.85)"))
        if domain == "decorative":
            for name, reader in (
                ("baseline: edtf text_to_edtf", by_general_library),
                ("baseline: lowest and highest figure", by_figures),
            ):
                others, _ = score(reader, domain)
                lines.append(_sum(others, None).line(name))
                lines.append(_sum(others, EXACT).line("  to be exact"))
                lines.append(_sum(others, OVERLAP).line("  to overlap"))
        shown = [f for f in failures if f[0] in EXACT or f[4] is None or _apart(f[3], f[4])]
        shapes = Counter((c, s, t, g, o) for c, s, t, g, o in shown)
        lines.append(f"Not exact where it should be, not read, or wrong ({len(shown)}):")
        for (date_class, source, text, gold, got), _ in shapes.most_common(failures_shown):
            lines.append(f"  {date_class} / {source}: {text!r} is {gold}, read {got}")
        lines.append("")
    lines.append(f"Speed: {speed():,.0f} date phrases a second")
    return "\n".join(lines)


def _apart(gold: Years, got: Years) -> bool:
    return got[1] < gold[0] or got[0] > gold[1]


if __name__ == "__main__":
    print(report())
