"""Scores of period and reign strings with their years hidden.

The gold is the years that the museum itself put in brackets. A string may hold another date beside
('Ming dynasty, 15th century'), while the gold is the period's; so a string is exact where a
statement that rests on a named period, or the whole of them, is within two years at both ends.
Of nested periods the museum's bracket may be the wider one's ('Qing dynasty, Yongzheng reign to
Qianlong reign' as 1644 to 1911): `narrowest` counts only the one date that all the period's
statements make, the narrower where one lies in the other. `whole` is the date of the whole text,
other dates than the period's included, for which the gold was not made. The museum gives a
dynasty's full years beside 'late' and 'early', so parts of periods are set to the whole, as its
habit; `shipped` is by the shipped conventions.

What is left differs by the years that houses give one dynasty (Han from 206 or 202 BCE, Yuan from
1271 or 1279, Liao from 907 or 916, the Late Period of Egypt), which the table can give in one way
only: that of most of these rows.
"""

from __future__ import annotations

from collections import defaultdict

from archivist.model.dates import Date, historical_year
from archivist.model.records import Attribution
from archivist.reading.dates import narrowest, overall, read_date_cell
from archivist.reading.tables import Tables, load_tables
from tests.benchmarks.reading.data import CONVENTIONS, present, rows
from tests.benchmarks.reading.dates import by_figures, by_general_library

Years = tuple[int, int]


def period_years(text: str, tables: Tables) -> tuple[set[Years], set[Years]]:
    """The years of every statement that names a period with those of the narrowest, and the
    latter alone."""
    understood = read_date_cell(text, tables)
    named = {
        (s.reading.start, s.reading.end)
        for s in understood.statements
        if isinstance(s, Attribution) and s.term is not None and s.reading is not None
    }
    dates = [
        s.date
        for s in understood.statements
        if isinstance(s, Attribution)
        and s.date is not None
        and s.reading is not None
        and (s.reading.start, s.reading.end) in named
    ]
    whole = narrowest(dates)
    narrow = (whole,) if whole is not None else ()
    return _closed((*dates, *narrow)), _closed(narrow)


def _closed(dates: tuple[Date, ...]) -> set[Years]:
    return {
        (historical_year(d.earliest), historical_year(d.latest))
        for d in dates
        if d.earliest is not None and d.latest is not None
    }


def whole_years(text: str, tables: Tables) -> set[Years]:
    """The years of the whole text."""
    date = overall(read_date_cell(text, tables))
    if date is None or date.earliest is None or date.latest is None:
        return set()
    return {(historical_year(date.earliest), historical_year(date.latest))}


def _near(got: set[Years], gold: Years, years: int = 2) -> bool:
    return any(abs(g[0] - gold[0]) <= years and abs(g[1] - gold[1]) <= years for g in got)


def report(failures_shown: int = 50) -> str:
    """The whole table as text."""
    if not present():
        return "periods: the open museum data (../shared/data) is not here; nothing measured."
    tables = load_tables(conventions=CONVENTIONS / "periods.toml")
    shipped = load_tables()
    counts: dict[str, list[int]] = defaultdict(lambda: [0] * 7)
    failures = []
    for row in rows("period_strings.csv"):
        text = row["text_without_parenthesised_years"]
        gold = (int(row["gold_begin"]), int(row["gold_end"]))
        named, narrow = period_years(text, tables)
        exact = _near(named, gold)
        figures = by_figures(text, tables)
        library = by_general_library(text, tables)
        for key in (row["source"], row["gold_kind"], "ALL"):
            count = counts[key]
            count[0] += 1
            count[1] += exact
            count[2] += _near(narrow, gold)
            count[3] += _near(whole_years(text, tables), gold)
            count[4] += _near(period_years(text, shipped)[0], gold)
            count[5] += figures is not None and _near({figures}, gold)
            count[6] += library is not None and _near({library}, gold)
        if not exact:
            failures.append(f"  {text!r} is {gold}, read {sorted(named)}")
    columns = ("exact %", "narrowest %", "whole %", "shipped %", "figures %", "edtf %")
    lines = [
        "Period and reign strings with their years hidden, exact within two years (90 %)",
        f"{'':<24}{'rows':>6}" + "".join(f"{name:>13}" for name in columns),
    ]
    for key, (n, *hits) in sorted(counts.items()):
        lines.append(f"{key:<24}{n:>6}" + "".join(f"{100 * hit / n:>13.1f}" for hit in hits))
    lines.append(f"Not exact ({len(failures)}):")
    return "\n".join(lines + failures[:failures_shown])


if __name__ == "__main__":
    print(report())
