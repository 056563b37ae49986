"""Scores of dates on open museum data, per class and per source, beside two baselines.

Exact: both ends within a year. Overlap: intersection over union of the years. Wrong: no overlap
at all. Conventions are set to each source's own habit by files in `conventions/`, through the same
door as `archivist read --conventions FILE`. Fair scoring as the README of the data describes;
`data.class_of` says which phrases are scored by overlap though the data classes them with what
must be exact. The figure by the data's own classes is printed as well.

What is left among the decorative arts where it should be exact (20 rows), and why no rule is made
for it:

- a range of centuries from the middle of the first to the middle of the last ('17th-19th century'
  as 1650 to 1850): 3 of the 18 ranges of cmoa, the other 15 run from the first year to the last;
- gold that is not what the text says: 'Fall 1967' as 1965, 'Spring/Summer 1988' as 1983, '1942-43'
  to 1945, '1820-1840' to 1849, "1980's" as 1980, "1830's" to 1836, '1900s' to 1959, '19th - 20th
  Century' as 19 to 20, '19th or 20th Century' as 19, '19th or 20th century' to 1992, '20th century'
  to 1930, '1100-660 BC' from 1050, '8th-6th century BC' from 700, 'Southern Song Dynasty' as 1150
  to 1250;
- 'darly 1900s', mended to 'early', which is worth 25 years there and 30 by the habit of the source;
- 'style of late Ming dynasty' and 'modern reproduction of 16th century original' are no date of the
  piece, and are not read on purpose.

Before and after, of 8 and 60 rows, keep to no convention: 'before 2005' is 1901 to 2004, 'before
1910' 100 to 1910, 'after 1852' 1850 to 1855. So does 'late' at ima ('late 1700s' from 1750, 'late
19th century' from 1875) and at cmoa within a range, where it begins in 1880 or in 1797.
"""

from __future__ import annotations

import importlib.util
import re
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from archivist.model.dates import Date, historical_year
from archivist.reading.dates import overall, read_date_cell
from archivist.reading.tables import Tables, load_tables
from tests.benchmarks.reading.data import (
    CONVENTIONS,
    class_of,
    fair_dates,
    gold_contradicts,
    present,
)

EXACT = ("year", "year_range", "month_day", "century", "decade", "bce", "named_period")
OVERLAP = (
    *("circa_year", "circa_range", "circa_other"),
    *("part_of_century", "part_other", "before_after"),
)
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


def by_date_parser(text: str, tables: Tables) -> Years | None:
    """Baseline: the year of the one day that `dateutil` makes of it, words passed over."""
    parser = importlib.import_module("dateutil.parser")
    try:
        year = int(parser.parse(text, fuzzy=True).year)
    except Exception:  # noqa: BLE001 - a baseline that fails has read nothing
        return None
    return year, year


def by_any_date_parser(text: str, tables: Tables) -> Years | None:
    """Baseline: the year of the one day that `dateparser` makes of it."""
    dateparser = importlib.import_module("dateparser")
    try:
        day = dateparser.parse(text)
    except Exception:  # noqa: BLE001 - a baseline that fails has read nothing
        return None
    return (day.year, day.year) if day is not None else None


@dataclass
class Scores:
    """Scores by class and source, by the data's own class, and what was not exact.

    `honest` leaves out the rows whose gold contradicts their own words.
    """

    by_class: dict[tuple[str, str], Score] = field(default_factory=lambda: defaultdict(Score))
    by_data_class: dict[tuple[str, str], Score] = field(default_factory=lambda: defaultdict(Score))
    honest: dict[tuple[str, str], Score] = field(default_factory=lambda: defaultdict(Score))
    failures: list[tuple[str, str, str, Years, Years | None]] = field(default_factory=list)


def score(reader: Callable[[str, Tables], Years | None], domain: str) -> Scores:
    """What `reader` makes of the fair rows of one domain."""
    scores = Scores()
    for row in fair_dates(domain):
        text, source = row["date_text"], row["source"]
        gold = (int(row["year_begin"]), int(row["year_end"]))
        got = reader(text, tables_of(source))
        line = (continuous(got[0]), continuous(got[1])) if got is not None else None
        gold_line = (continuous(gold[0]), continuous(gold[1]))
        name = class_of(text, row["date_class"])
        for key in ((name, source), (name, "all")):
            scores.by_class[key].add(line, gold_line)
        scores.by_data_class[row["date_class"], "all"].add(line, gold_line)
        if not gold_contradicts(text, gold):
            scores.honest[name, "all"].add(line, gold_line)
        one = Score()
        one.add(line, gold_line)
        if not one.exact:
            scores.failures.append((name, source, text, gold, got))
    return scores


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


BASELINES = (
    ("edtf text_to_edtf", by_general_library),
    ("lowest and highest figure", by_figures),
)
"""Shown for every class."""
WEAKER_BASELINES = (
    ("dateutil fuzzy", "dateutil", by_date_parser),
    ("dateparser", "dateparser", by_any_date_parser),
)
"""Shown for all together, with the library that each needs."""


def report(failures_shown: int = 50) -> str:
    """The whole table as text."""
    if not present():
        return "dates: the open museum data (../shared/data) is not here; nothing measured."
    lines: list[str] = []
    for domain in ("decorative", "other"):
        lines += _domain(domain, failures_shown)
    lines.append(f"Speed: {speed():,.0f} date phrases a second of processor time, one core")
    return "\n".join(lines)


def _domain(domain: str, failures_shown: int) -> list[str]:
    ours_scores = score(ours, domain)
    baselines = [(name, score(reader, domain)) for name, reader in BASELINES]
    weaker = [
        (name, score(reader, domain) if importlib.util.find_spec(library) else None)
        for name, library, reader in WEAKER_BASELINES
    ]
    columns = f"{'rows':>6}{'read %':>8}{'exact %':>8}{'overlap':>8}{'wrong %':>8}"
    beside = "".join(f"   {name}" for name, _ in BASELINES)
    lines = [
        f"Dates, {domain}: class and source; beside them exact % and overlap of{beside}",
        f"{'':<34}{columns}",
    ]
    for key in sorted(ours_scores.by_class):
        others = "".join(
            f"{_percent(s.by_class[key].exact, s.by_class[key].rows):>10.1f}"
            f"{_mean(s.by_class[key].overlaps):>8.3f}"
            for _, s in baselines
        )
        lines.append(ours_scores.by_class[key].line(f"{key[0]} / {key[1]}") + others)
    for title, classes in (
        ("ALL", None),
        ("to be exact (97 %)", EXACT),
        ("to overlap (0.85)", OVERLAP),
    ):
        lines.append(_sum(ours_scores.by_class, classes).line(title))
        lines += [
            _sum(s.by_class, classes).line(f"  baseline: {name}"[:33]) for name, s in baselines
        ]
        lines += [
            _sum(s.by_class, classes).line(f"  baseline: {name}"[:33])
            if s is not None
            else f"  baseline: {name} is not installed"
            for name, s in weaker
        ]
    lines.append(_sum(ours_scores.by_data_class, EXACT).line("exact, by the data's classes"))
    left_out = _sum(ours_scores.by_class, None).rows - _sum(ours_scores.honest, None).rows
    lines.append(f"Without {left_out} rows whose gold contradicts their own words:")
    lines.append(_sum(ours_scores.honest, None).line("  ALL"))
    lines.append(_sum(ours_scores.honest, EXACT).line("  to be exact (97 %)"))
    shown = [f for f in ours_scores.failures if f[0] in EXACT or f[4] is None or _apart(f[3], f[4])]
    lines.append(f"Not exact where it should be, not read, or wrong ({len(shown)}):")
    for (date_class, source, text, gold, got), _ in Counter(shown).most_common(failures_shown):
        lines.append(f"  {date_class} / {source}: {text!r} is {gold}, read {got}")
    widest = sorted(
        (f for f in ours_scores.failures if f[0] in OVERLAP and f[4] is not None),
        key=lambda f: _overlap(f[3], f[4]),
    )
    lines.append("Least overlap where it is measured:")
    for date_class, source, text, gold, got in widest[:failures_shown]:
        lines.append(f"  {date_class} / {source}: {text!r} is {gold}, read {got}")
    lines.append("")
    return lines


def _percent(part: int, whole: int) -> float:
    return 100 * part / max(whole, 1)


def _mean(values: list[float]) -> float:
    return sum(values) / max(len(values), 1)


def _overlap(gold: Years, got: Years | None) -> float:
    one = Score()
    one.add(got, gold)
    return one.overlaps[0]


def _apart(gold: Years, got: Years) -> bool:
    return got[1] < gold[0] or got[0] > gold[1]


if __name__ == "__main__":
    print(report())
