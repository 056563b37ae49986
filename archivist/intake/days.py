"""Days of business as stock books give them: ISO, numeric, serial, or in words."""

from __future__ import annotations

import datetime
import re

from archivist.intake import words
from archivist.intake.roles import Role
from archivist.model import Attribution, Certainty, Date, Reading
from archivist.reading.tables import Tables

_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ]\d{2}:\d{2}(?::\d{2})?)?")
_NUMERIC = re.compile(r"(\d{1,2})\s*([./-])\s*(\d{1,2})\s*\2\s*(\d{4}|\d{2})")
_YEAR = re.compile(r"((?:18|19|20)\d\d)(\??)")
_SERIAL = re.compile(r"\d{5}")
_EPOCH = datetime.date(1899, 12, 30)
"""Day 0 of the serial numbers of spreadsheets for days after February 1900 (ECMA-376 part 1,
18.17.4.1, the 1900 date base; the days before are one off, as that base has a 29 February 1900)."""

Day = tuple[Date, Reading, Certainty]


def read_day(text: str, tables: Tables, order: str = "") -> Day | None:
    """The day, month or year that `text` says, how it was read, and how sure the writer is.

    `order` is 'day first' or 'month first' for dates such as 3/4/99; without it a date that could
    be either is taken as day first with less confidence. Two-digit years are 1930 to 2029.
    """
    plain = text.strip()
    if match := _ISO.fullmatch(plain):
        return _made(int(match[1]), int(match[2]), int(match[3]), "day-iso", "1")
    if match := _NUMERIC.fullmatch(plain):
        return _numeric(match, order)
    if match := _YEAR.fullmatch(plain):
        year = int(match[1])
        doubt = Certainty.POSSIBLE if match[2] else Certainty.CERTAIN
        date = Date(edtf=match[1] + match[2], earliest=year, latest=year)
        return date, Reading(rule="day-year"), doubt
    if _SERIAL.fullmatch(plain):
        day = _EPOCH + datetime.timedelta(days=int(plain))
        return _made(day.year, day.month, day.day, "day-serial-number", "0.9")
    understood = words.read(Role.DATE, plain, tables)
    for statement in understood.statements:
        if isinstance(statement, Attribution) and statement.date and statement.reading:
            return statement.date, statement.reading, statement.certainty
    return None


def order_of(texts: list[str]) -> str:
    """Whether days stand before months in a column: decided by numbers above twelve."""
    first = second = 0
    for text in texts:
        if match := _NUMERIC.fullmatch(text.strip()):
            first += int(match[1]) > 12
            second += int(match[3]) > 12
    if first and not second:
        return "day first"
    return "month first" if second and not first else ""


def looks_like_day(text: str) -> bool:
    """Whether `text` is a day, a year of business or the serial number of a day."""
    plain = text.strip().rstrip("?")
    return any(p.fullmatch(plain) for p in (_ISO, _NUMERIC, _YEAR, _SERIAL))


def _numeric(match: re.Match[str], order: str) -> Day | None:
    """A date such as 3.4.1999 or 12/31/99."""
    first, mark, second, year = match[1], match[2], match[3], int(match[4])
    if year < 100:
        year += 2000 if year < 30 else 1900
    day, month = int(first), int(second)
    either = day <= 12 and month <= 12 and day != month
    if order == "month first" or (not order and month > 12):
        day, month = month, day
    sure = not either or bool(order) or mark == "."
    return _made(year, month, day, "day-numeric", "1" if sure else "0.6")


def _made(year: int, month: int, day: int, rule: str, confidence: str) -> Day | None:
    try:
        edtf = datetime.date(year, month, day).isoformat()
    except ValueError:
        return None
    date = Date(edtf=edtf, earliest=year, latest=year)
    return date, Reading(rule=rule, confidence=confidence), Certainty.CERTAIN
