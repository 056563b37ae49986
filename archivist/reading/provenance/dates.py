"""Dates within an event: 'by 1932', 'December 27, 1915', '1957-80', 'from 1950 until 1953'."""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.model.dates import Date
from archivist.model.records import Aspect, Attribution
from archivist.reading.dates import read_dates
from archivist.reading.tables import Tables
from archivist.reading.words import fold

_MONTHS = (
    "january|february|march|april|may|june|july|august|september|october|november|december"
    "|jan|feb|mar|apr|jun|jul|aug|sept|sep|oct|nov|dec"
)
_DAY = (
    rf"(?:(?:{_MONTHS})\.?\s+\d{{1,2}}(?:st|nd|rd|th)?(?:\s*,\s*|\s+)\d{{4}}"
    rf"|\d{{1,2}}(?:st|nd|rd|th)?\s+(?:{_MONTHS})\.?,?\s+\d{{4}}"
    rf"|(?:{_MONTHS})\.?,?\s+\d{{4}}"
    r"|\d{1,2}/\d{1,2}/(?:\d{4}|\d{2})"
    r"|(?:early|late|mid|spring|summer|autumn|fall|winter)[\s-]+(?:of\s+)?\d{4}s?"
    r"|\d{4}-\d{2}-\d{2}"
    r"|(?:the\s+)?(?:(?:early|late|mid)[\s-]+)?\d{4}s?"
    r"(?:\s*[-–/]\s*(?:\d{4}|\d{2})(?:s)?(?![\d/]))?)"
)
_CENTURY = r"(?:(?:early|late|mid)[\s-]+)?(?:the\s+)?\d{1,2}(?:st|nd|rd|th)\s+century"
_LEAD = (
    r"(?:(?:by|before|after|in|on|from|since|about|around|circa|ca\.?|c\.|at\s+least|no\s+later"
    r"\s+than|probably|possibly|late\s+in|early\s+in)\s+)*"
)
_ONE = rf"{_LEAD}(?:{_DAY}|{_CENTURY})(?:\s*\?)?"
_DATE = re.compile(
    rf"(?<![\w/])(?:(?P<lead>until|till|up\s+to|through)\s+)?(?P<first>{_ONE})"
    rf"(?:\s*,?\s*(?:until|till|up\s+to|to|through|[-–])\s+(?P<until>{_ONE}))?(?![\w/])",
    re.IGNORECASE,
)
_FROM = re.compile(r"^(?:from|in|on|since)\s+(?=\S)", re.IGNORECASE)


class EventDate(NamedTuple):
    """The date and the end of a stay, and the characters that say so."""

    date: Date | None
    until: Date | None
    start: int
    end: int


def find_dates(masked: str, tables: Tables) -> list[EventDate]:
    """The date expressions of an event, from left to right, as far as they can be read.

    `masked` is its text with everything in brackets blanked.
    """
    found: list[EventDate] = []
    for match in _DATE.finditer(masked):
        first = date_of(match["first"], tables)
        second = date_of(match["until"], tables) if match["until"] else None
        if first is None and second is None:
            continue
        if match["lead"]:
            if match["until"]:
                continue
            found.append(EventDate(None, first, match.start(), match.end()))
        else:
            found.append(EventDate(first, second, match.start(), match.end()))
    return found


@functools.lru_cache(maxsize=4096)
def date_of(words: str, tables: Tables) -> Date | None:
    """The one date that `words` are, or None where they are none or more than one."""
    words = " ".join(words.split())
    plain = _FROM.sub("", words.replace(",", ", ").replace(",  ", ", "))
    understood = read_dates(plain, tables)
    dates = [
        s.date
        for s in understood.statements
        if isinstance(s, Attribution) and s.aspect is Aspect.DATE and s.date is not None
    ]
    if len(dates) != 1 or understood.questions or understood.unread:
        return None
    return dates[0]


_NAMES = [
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
]
_EDTF_DAY = re.compile(r"(\d{4})(?:-(\d\d))?(?:-(\d\d))?([?~%])?$")
_EDTF_DECADE = re.compile(r"(\d{3})X$")


def date_words(date: Date) -> str:
    """`date` in the words of the convention, or '' where it has none for it."""
    edtf = date.edtf
    if edtf.startswith(("../", "/")):
        return _joined("by", _point(edtf.split("/")[1]))
    if edtf.endswith(("/..", "/")):
        return _joined("after", _point(edtf.split("/")[0]))
    if "/" in edtf:
        first, last = (_point(end) for end in edtf.split("/", 1))
        plain = first.isdigit() and last.isdigit()
        return f"{first}-{last}" if plain else ""
    return _point(edtf)


def _joined(word: str, point: str) -> str:
    return f"{word} {point}" if point else ""


def _point(edtf: str) -> str:
    if decade := _EDTF_DECADE.match(edtf):
        return f"{decade[1]}0s"
    match = _EDTF_DAY.match(edtf)
    if match is None or fold(edtf) != edtf.lower():
        return ""
    year, month, day, qualifier = match.groups()
    if month and not 1 <= int(month) <= len(_NAMES):
        return ""
    words = year
    if month and day:
        words = f"{_NAMES[int(month) - 1]} {int(day)}, {year}"
    elif month:
        words = f"{_NAMES[int(month) - 1]} {year}"
    return {"?": f"{words}?", "~": f"circa {words}", "%": f"circa {words}?"}.get(
        qualifier or "", words
    )
