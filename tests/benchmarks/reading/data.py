"""The open museum data beside the project, and which of its rows can be scored fairly."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[3]
DATA = PROJECT.parent / "shared" / "data"
CONVENTIONS = Path(__file__).parent / "conventions"

UNFAIR = frozenset({"no_date", "inverted", "implausible", "contradicts_text", "no_majority"})
"""Flags of rows to leave out, as the README of the data asks."""


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
