"""Dates among other words of a history: 'by 1932', 'December 27, 1915', 'from 1950 until 1953'.

Where one stands is found here, in six languages; what it says is for the reader of dates.
"""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.model.dates import Date
from archivist.model.records import Aspect, Attribution
from archivist.reading.dates import read_dates
from archivist.reading.level import either, level
from archivist.reading.tables import Tables

_BLANKS = re.compile(r"\s+")
_DOTTED = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
"""Figures parted by full stops give the day first, as in German; with strokes nobody knows."""
_STROKES = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4}|\d{2})")
_MONTH_AND_YEAR = re.compile(r"(\d{1,2})/(\d{4})")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_PIVOT = 30
"""Two-digit years are 1930 to 2029, as in the days of business of a stock book."""
_ORDINAL = r"(?:st|nd|rd|th|er|º|°|\.)?"


class EventDate(NamedTuple):
    """The date and the end of a stay, and the characters that say so."""

    date: Date | None
    until: Date | None
    start: int
    end: int


class _Patterns(NamedTuple):
    """What a date in an event looks like, and what before it says that something began then."""

    date: re.Pattern[str]
    since: re.Pattern[str]


@functools.lru_cache(maxsize=8)
def _patterns(tables: Tables) -> _Patterns:
    """The patterns of dates, with the months, seasons and leading words of all languages."""
    months = either(
        name
        for words in tables.date_words
        for table in ("months", "seasons")
        for names in words.get(table, {}).values()
        for name in names
    )
    leads: dict[str, list[str]] = {}
    for row in tables.terms("date lead"):
        leads.setdefault(row.label, []).extend(level(name) for name in row.variants)
    lead = either(
        name
        for names in leads.values()
        for name in names
        if name not in leads["until"] + leads["to"]
    )
    until, to = either(leads["until"]), either((*leads["until"], *leads["to"]))
    day = (
        rf"(?:(?:{months})\.?\s+\d{{1,2}}{_ORDINAL}(?:\s*,\s*|\s+)\d{{4}}"
        rf"|\d{{1,2}}{_ORDINAL}\s*(?:de\s+)?(?:{months})\.?,?(?:\s+de[l]?)?\s+\d{{4}}"
        rf"|(?:{months})\.?,?(?:\s+de[l]?)?\s+\d{{4}}"
        r"|\d{1,2}/\d{1,2}/(?:\d{4}|\d{2})|\d{1,2}/\d{4}(?!\d)"
        r"|\d{1,2}\.\s?\d{1,2}\.\s?\d{4}"
        r"|(?:early|late|mid|spring|summer|autumn|fall|winter)[\s-]+(?:of\s+)?\d{4}s?"
        r"|\d{4}-\d{2}-\d{2}"
        r"|(?:the\s+)?(?:(?:early|late|mid)[\s-]+)?\d{4}(?:s|er(?:\s+jahren?)?)?"
        r"(?:\s*[-–/]\s*(?:\d{4}|\d{1,2})(?:s)?(?![\d/]))?)"
    )
    century = (
        r"(?:(?:early|late|mid)[\s-]+)?(?:the\s+)?\d{1,2}(?:(?:st|nd|rd|th)\s+century"
        r"|\.\s?(?:jh|jhdt|jahrhunderts?)|e\s+eeuw)|[xvi]+e\s+siecle"
    )
    one = rf"(?:(?:{lead})\s+){{0,4}}(?:{day}|{century})(?:\s*\?)?"
    whole = (
        rf"(?<![\w/])(?:(?P<lead>{until})\s+)?(?P<first>{one})"
        rf"(?:\s*,?\s*(?:{to}|[-–])\s+(?P<until>{one}))?(?![\w/])"
    )
    since = rf"^(?:{either(leads['since'])})\s+(?=\S)"
    return _Patterns(re.compile(whole), re.compile(since))


def find_dates(masked: str, tables: Tables) -> list[EventDate]:
    """The date expressions of an event, from left to right, as far as they can be read.

    `masked` is its text with everything in brackets blanked.
    """
    found: list[EventDate] = []
    for match in _patterns(tables).date.finditer(level(masked)):
        first = date_of(masked[match.start("first") : match.end("first")], tables)
        second = None
        if match["until"]:
            second = date_of(masked[match.start("until") : match.end("until")], tables)
        if first is None and second is None:
            continue
        if match["lead"]:
            if match["until"]:
                continue
            found.append(EventDate(None, first, match.start(), match.end()))
        else:
            found.append(EventDate(first, second, match.start(), match.end()))
    return found


def _written_out(words: str) -> str:
    """A date in figures as ISO 8601 has it, as far as it can be only one: '12.6.1963' is a day,
    '12/6/63' a day of June or December of 1963, of which the year is sure, '3/1971' a month."""
    if (day := _DOTTED.fullmatch(words)) is not None:
        return f"{day[3]}-{int(day[2]):02}-{int(day[1]):02}"
    if (day := _STROKES.fullmatch(words)) is not None:
        first, second, year = int(day[1]), int(day[2]), day[3]
        if len(year) == 2:
            year = f"19{year}" if int(year) >= _PIVOT else f"20{year}"
        if first == second or min(first, second) > 12 or max(first, second) <= 12:
            return f"{year}-{first:02}-{second:02}" if first == second else year
        month, day_of_month = min(first, second), max(first, second)
        return f"{year}-{month:02}-{day_of_month:02}"
    if (month_of := _MONTH_AND_YEAR.fullmatch(words)) is not None and 1 <= int(month_of[1]) <= 12:
        return f"{MONTHS[int(month_of[1]) - 1]} {month_of[2]}"
    return words


@functools.lru_cache(maxsize=4096)
def date_of(words: str, tables: Tables) -> Date | None:
    """The one date that `words` are, or None where they are none or more than one."""
    words = _BLANKS.sub(" ", words).strip()
    since = _patterns(tables).since.match(level(words))
    plain = words[since.end() :] if since else words
    plain = _written_out(plain.strip(" ,"))
    understood = read_dates(plain.replace(",", ", ").replace(",  ", ", "), tables)
    dates = [
        s.date
        for s in understood.statements
        if isinstance(s, Attribution) and s.aspect is Aspect.DATE and s.date is not None
    ]
    if len(dates) != 1 or understood.questions or understood.unread:
        return None
    return dates[0]
