"""Dates as formats take them: only those that the calendar has, and none surer than it is held.

A record's `edtf` is what somebody wrote or a reader made of it, and may be no date at all: the 29th
of February 2019, or '1925-22', which EDTF reads as the summer of 1925 and every reader of plain
dates as a month that is none. Whatever writes a date into a field of its own asks here first.

Sources: EDTF (Library of Congress, 4 February 2019; in ISO 8601-2:2019 as clause 4) for the forms;
W3C note 'Date and Time Formats' (1997) for the plain ones.
"""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass

from archivist.hooks import Piece
from archivist.model import Aspect, Certainty, Date, least_sure
from archivist.wording.facts import held_date_shown

_PLAIN = re.compile(r"(?!0000)(\d{4})(?:-(\d\d)(?:-(\d\d))?)?")
"""Without a year 0, which W3C's dates and XML Schema 1.0 do not know."""
_MOMENT = re.compile(
    r"T(?:[01]\d|2[0-3]):[0-5]\d(?::(?:[0-5]\d|60)(?:\.\d+)?)?"
    r"(?:Z|[+-](?:0\d|1[0-4])(?::?[0-5]\d)?)?"
)
_SIGN = "[?~%]?"
_ONE = re.compile(
    rf"{_SIGN}(?P<year>(?!-0000)-?[\dX]{{4}})(?:S\d+)?{_SIGN}"
    rf"(?:-{_SIGN}(?P<month>[\dX]{{2}}){_SIGN}(?:-{_SIGN}(?P<day>[\dX]{{2}}){_SIGN})?)?"
)
_LONG_YEAR = re.compile(r"Y-?[1-9]\d{4,}(?:E\d+)?(?:S\d+)?[?~%]?")
_SEASONS = frozenset(map(str, range(21, 42)))
"""Numbers in the place of a month that stand for a season, quarter, third or half of a year."""


def calendar_date(date: Date | None) -> str:
    """The one year, month or day that `date` is, as ISO 8601 writes it; else ''.

    It is one that the calendar has, and lies in the one year that the date stands for. A time of
    day is left out.
    """
    if date is None:
        return ""
    day, mark, time = date.edtf.partition("T")
    found = _PLAIN.fullmatch(day)
    if found is None or not _exists(found[1], found[2], found[3]):
        return ""
    if mark and not (found[3] and _MOMENT.fullmatch(f"T{time}")):
        return ""
    return day if date.earliest == date.latest == int(found[1]) else ""


@dataclass(frozen=True)
class HeldDate:
    """The date that is held of a piece, how sure that is, and its words.

    Where several statements agree in it, and it is closer than any of them, it is no surer than
    the least sure of them.
    """

    date: Date
    certainty: Certainty
    words: str

    @property
    def day(self) -> str:
        """The one year, month or day that it is for certain; else ''."""
        return calendar_date(self.date) if self.certainty is Certainty.CERTAIN else ""

    @property
    def edtf(self) -> str:
        """It in EDTF, with its doubt; '' where it is no date."""
        told = notation(self.date)
        return told if self.certainty is Certainty.CERTAIN else with_doubt(told)


def held_date(piece: Piece) -> HeldDate | None:
    """The date held of the making of `piece`; None where none is."""
    held = piece.record.holding(Aspect.DATE)
    if held is None or held.date is None:
        return None
    rests_on = (held.leading,) if held.date == held.leading.date else held.ground
    least = least_sure(*(a.certainty for a in rests_on))
    return HeldDate(held.date, least, held_date_shown(piece))


def notation(date: Date | None) -> str:
    """`date` in EDTF, where all of it is a date; else ''.

    A season is given as its year: a reader who knows no EDTF would take its number for a month.
    """
    if date is None or not date.edtf:
        return ""
    edtf = date.edtf
    if (edtf[0], edtf[-1]) in (("[", "]"), ("{", "}")):
        inner = re.split(r",\s*|\.\.", edtf[1:-1])
        whole = any(inner) and all(not one or _is_one(one) for one in inner)
        return edtf if whole else ""
    ends = edtf.split("/")
    if len(ends) > 2 or not any(end.strip(".") for end in ends):
        return ""
    if not all(end in ("", "..") or _is_one(end) for end in ends):
        return ""
    return "/".join(_without_season(end) for end in ends)


def with_doubt(edtf: str) -> str:
    """`edtf` with the sign for uncertain ('?', ISO 8601-2) where it carries none yet.

    '1850' becomes '1850?', '1850~' '1850%', both ends of an interval are marked; sets are left.
    """
    if re.search(r"[?%\[{]", edtf):
        return edtf
    ends = edtf.split("/")
    return "/".join(_doubted(end) if re.search(r"\d", end) else end for end in ends)


def is_plain(edtf: str) -> bool:
    """Whether `edtf` is a plain year, month or day that the calendar has."""
    found = _PLAIN.fullmatch(edtf)
    return found is not None and _exists(found[1], found[2], found[3])


def _doubted(end: str) -> str:
    return f"{end[:-1]}%" if end.endswith("~") else f"{end}?"


def _is_one(text: str) -> bool:
    """Whether `text` is one date of EDTF, with or without a time of day."""
    if _LONG_YEAR.fullmatch(text):
        return True
    day, mark, time = text.partition("T")
    found = _ONE.fullmatch(day)
    if found is None or (mark and not (is_plain(day) and _MOMENT.fullmatch(f"T{time}"))):
        return False
    return _exists(found["year"], found["month"], found["day"], seasons=True)


def _exists(year: str, month: str | None, day: str | None, *, seasons: bool = False) -> bool:
    """Whether the calendar has the day; digits that are not known ('X') may be any."""
    if month is None:
        return True
    if seasons and month in _SEASONS:
        return day is None
    months = [n for n in range(1, 13) if _may_be(month, n)]
    if day is None or not months:
        return bool(months)
    known = year.lstrip("-").isdigit()
    longest = max(_days(int(year) if known else 2000, n) for n in months)
    return any(_may_be(day, n) for n in range(1, longest + 1))


def _days(year: int, month: int) -> int:
    """Days of a month."""
    # The Gregorian calendar repeats itself every 400 years, and `calendar` has no year below 1.
    return calendar.monthrange(year % 400 + 400, month)[1]


def _may_be(digits: str, number: int) -> bool:
    return all(d in ("X", n) for d, n in zip(digits, f"{number:02d}", strict=True))


def _without_season(end: str) -> str:
    found = _ONE.fullmatch(end)
    if found is None or found["month"] not in _SEASONS:
        return end
    signs = re.search(r"[?~%]", end)
    return found["year"] + (signs[0] if signs else "")
