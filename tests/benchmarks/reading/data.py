"""The open museum data beside the project, and which of its rows can be scored fairly."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[3]
DATA = PROJECT.parent / "shared" / "data"
CONVENTIONS = Path(__file__).parent / "conventions"

UNFAIR = frozenset({"no_date", "inverted", "implausible", "contradicts_text", "no_majority"})
"""Flags of rows to leave out, as the README of the data asks."""

_CIRCA = re.compile(r"\b(?:c|ca|circa|about|around|approx\w*)\b\.?(?=\s|\d|$)", re.IGNORECASE)
_PART = re.compile(r"\b(?:early|mid|middle|late)\b", re.IGNORECASE)
_BOUND = re.compile(r"\bearlier than\b", re.IGNORECASE)
_OPEN = re.compile(r"\b(?:before|after|by|later|earlier|early|late|mid|or)\b", re.IGNORECASE)
_YEAR = re.compile(r"(?<!\d)\d{4}(?!\d)")


def present() -> bool:
    """Whether the data is there."""
    return DATA.is_dir()


def rows(name: str) -> Iterator[dict[str, str]]:
    """The rows of one file."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def fair_dates(domain: str) -> list[dict[str, str]]:
    """Rows of dates.csv of one domain without the flags that make scoring unfair."""
    return [
        row
        for row in rows("dates.csv")
        if row["domain"] == domain and not UNFAIR & set(row["flags"].split("|"))
    ]


def class_of(text: str, date_class: str) -> str:
    """What a phrase is scored as, by its own words where the data's class passes them over.

    The data classes 'c. 17th-19th century' as a century and 'late 1880's' as a decade; what circa
    and late are worth is no more agreed there than with years, and the README asks for overlap
    with circa and with parts. So such phrases, read well or badly, are classes of their own.
    """
    if date_class in ("century", "decade", "bce", "named_period", "month_day"):
        if _CIRCA.search(text):
            return "circa_other"
        if date_class in ("decade", "bce") and _PART.search(text):
            return "part_other"
        if date_class == "named_period" and _BOUND.search(text):
            return "before_after"
    return date_class


def gold_contradicts(text: str, gold: tuple[int, int]) -> bool:
    """Whether the museum's years cannot be those of its own words, whoever reads them.

    Either they are a century's number ('19th - 20th century' as 19 to 20), or the text gives
    plain years of four figures and no circa, before or part, and the gold shares no year with
    them ('Fall 1967' as 1965). The data flags most such rows; these are left.
    """
    if 0 < gold[1] < 100 and "century" in text.lower() and "bc" not in text.lower():
        return True
    years = [int(year) for year in _YEAR.findall(text)]
    if not years or "bc" in text.lower() or _CIRCA.search(text) or _OPEN.search(text):
        return False
    return gold[1] < min(years) or gold[0] > max(years)
