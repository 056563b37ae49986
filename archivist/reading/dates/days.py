"""Days, months and seasons with their year, in words and in figures."""

from __future__ import annotations

import re

from archivist.model.edtf import year as edtf_year
from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.tokens import COMMA, DASH, DOT, NUMBER, NUMERIC_DATE, SLASH
from archivist.reading.dates.words import AND, FILLER, MONTH, OR, ORDINAL, SEASON, TO

_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_FIGURES = re.compile(r"(\d+)[./-](\d+)[./-](\d+)")


def day_month_or_season(scan: Scan, index: int) -> Item | None:
    """The day, month or season with its year that begins at `index`, or None."""
    senses = scan.senses(index)
    if MONTH in senses:
        return _from_month(scan, index)
    if SEASON in senses:
        return _season(scan, index)
    if NUMERIC_DATE in senses:
        return _in_figures(scan, index)
    if NUMBER in senses or ORDINAL in senses:
        return _from_day(scan, index)
    return None


def _year_at(scan: Scan, index: int) -> tuple[int, int] | None:
    """A year of four figures at `index`, past a comma, full stop or 'of': (year, end)."""
    index = scan.skip(index, COMMA, DOT, FILLER, most=2)
    number = scan.sense(index, NUMBER)
    if number is None or len(number.value) != 4 or not 1000 <= number.number <= 2100:
        return None
    return number.number, index + 1


def _short_year(scan: Scan, index: int) -> int | None:
    """'46' in '17-Jan-46', which only a column of dates may hold, as a spreadsheet writes it."""
    number = scan.sense(index, NUMBER)
    if not scan.permissive or number is None or len(number.value) != 2:
        return None
    return 1900 + number.number


def _with_short_year(item: Item) -> Item:
    item.confidence = "0.7"
    item.rule += ", century of the year supplied"
    item.alternatives = tuple(
        (f"{item.first + shift:04d}{item.edtf[4:]}", item.first + shift, item.first + shift)
        for shift in (-100, 0)
    )
    item.asks = f"Is the year {item.first - 100} or {item.first}?"
    return item


def _day(scan: Scan, index: int) -> int:
    """The day of the month at `index`, 0 where there is none."""
    sense = scan.sense(index, NUMBER) or scan.sense(index, ORDINAL)
    if sense is None or not 1 <= sense.number <= 31 or len(sense.value) > 2:
        return 0
    return sense.number


def _second_day(scan: Scan, index: int) -> tuple[int, int]:
    """'-9' after 'June 7', '& 27' after 'January 25': (day, end), day 0 where there is none."""
    senses = scan.senses(index)
    if DASH in senses or AND in senses or TO in senses or SLASH in senses:
        second = _day(scan, index + 1)
        if second:
            return second, index + 2
    return 0, index


def _made(unit: Unit, start: int, end: int, year: int, first: str, last: str = "") -> Item:
    rule = {Unit.DAY: "day", Unit.MONTH: "month and year", Unit.SEASON: "season and year"}[unit]
    return Item(
        unit, start, end, number=year, first=year, last=year, edtf=first, edtf_last=last, rule=rule
    )


def _from_month(scan: Scan, index: int) -> Item | None:
    """'March 6, 1880', 'June 7-9, 1960', 'Aug. 1979', 'July - August 1966'."""
    month = scan.senses(index)[MONTH].number
    after = scan.skip(index + 1, DOT, most=1)
    day = _day(scan, after)
    if day and day <= _DAYS[month - 1]:
        second, end = _second_day(scan, after + 1)
        if (found := _year_at(scan, end)) is not None:
            year, end = found
            stem = f"{edtf_year(year)}-{month:02d}-"
            last = f"{stem}{second:02d}" if day < second <= _DAYS[month - 1] else ""
            return _made(Unit.DAY, index, end, year, f"{stem}{day:02d}", last)
    second_month = 0
    end = after
    senses = scan.senses(after)
    if DASH in senses or SLASH in senses or TO in senses or OR in senses or AND in senses:
        sense = scan.sense(after + 1, MONTH)
        if sense is not None:
            second_month, end = sense.number, scan.skip(after + 2, DOT, most=1)
    found = _year_at(scan, end)
    if found is None:
        after = scan.skip(end, DASH, most=1)
        if second_month or (short := _short_year(scan, after)) is None or after == end:
            return None
        text = f"{edtf_year(short)}-{month:02d}"
        return _with_short_year(_made(Unit.MONTH, index, after + 1, short, text))
    year, end = found
    last = f"{edtf_year(year)}-{second_month:02d}" if second_month > month else ""
    return _made(Unit.MONTH, index, end, year, f"{edtf_year(year)}-{month:02d}", last)


def _from_day(scan: Scan, index: int) -> Item | None:
    """'6 March 1880', '6th of March, 1880', '7-9 June 1960', '1932, December 5'."""
    sense = scan.sense(index, NUMBER)
    if sense is not None and len(sense.value) == 4:
        return _from_year(scan, index, sense.number)
    day = _day(scan, index)
    if not day:
        return None
    second, after = _second_day(scan, index + 1)
    after = scan.skip(after, DOT, FILLER, most=1)
    after = scan.skip(after, DASH, most=1)
    month = scan.sense(after, MONTH)
    if month is None or day > _DAYS[month.number - 1]:
        return _month_and_year(scan, index)
    after = scan.skip(after + 1, DOT, DASH, most=1)
    found = _year_at(scan, after)
    if found is None:
        if (short := _short_year(scan, after)) is None:
            return None
        text = f"{edtf_year(short)}-{month.number:02d}-{day:02d}"
        return _with_short_year(_made(Unit.DAY, index, after + 1, short, text))
    year, end = found
    stem = f"{edtf_year(year)}-{month.number:02d}-"
    last = f"{stem}{second:02d}" if day < second <= _DAYS[month.number - 1] else ""
    return _made(Unit.DAY, index, end, year, f"{stem}{day:02d}", last)


def _month_and_year(scan: Scan, index: int) -> Item | None:
    """'8/1959'; in a column of dates also '08/59'."""
    month, year = scan.sense(index, NUMBER), scan.sense(index + 2, NUMBER)
    if month is None or year is None or SLASH not in scan.senses(index + 1):
        return None
    if len(month.value) == 2 and 1 <= month.number <= 12:
        short = _short_year(scan, index + 2)
        if short is not None and index == 0 and scan.count == 3:
            text = f"{edtf_year(short)}-{month.number:02d}"
            return _with_short_year(_made(Unit.MONTH, index, index + 3, short, text))
    if not 1 <= month.number <= 12 or len(year.value) != 4 or not 1000 <= year.number <= 2100:
        return None
    text = f"{edtf_year(year.number)}-{month.number:02d}"
    return _made(Unit.MONTH, index, index + 3, year.number, text)


def _from_year(scan: Scan, index: int, year: int) -> Item | None:
    """'1932, December', '1932 Dec. 5'. A month that begins a date of its own is left alone."""
    after = scan.skip(index + 1, COMMA, most=1)
    month = scan.sense(after, MONTH)
    if month is None or not 1000 <= year <= 2100 or _from_month(scan, after) is not None:
        return None
    if month.value == "5" and scan.at(after).folded == "may" and not scan.permissive:
        return None
    day = _day(scan, scan.skip(after + 1, DOT, most=1))
    text = f"{edtf_year(year)}-{month.number:02d}"
    if 0 < day <= _DAYS[month.number - 1]:
        end = scan.skip(after + 1, DOT, most=1) + 1
        return _made(Unit.DAY, index, end, year, f"{text}-{day:02d}")
    return _made(Unit.MONTH, index, after + 1, year, text)


def _season(scan: Scan, index: int) -> Item | None:
    """'Spring, 1969', 'Fall/Winter 1991'."""
    first = scan.senses(index)[SEASON].number
    after, second = index + 1, 0
    if any(kind in scan.senses(after) for kind in (SLASH, DASH, OR, AND, TO)):
        sense = scan.sense(after + 1, SEASON)
        if sense is not None:
            second, after = sense.number, after + 2
    found = _year_at(scan, after)
    if found is None:
        return None
    year, end = found
    last = f"{edtf_year(year)}-{second}" if second > first else ""
    return _made(Unit.SEASON, index, end, year, f"{edtf_year(year)}-{first}", last)


def _in_figures(scan: Scan, index: int) -> Item | None:
    """'3/1/1832', '26.2.1921', '1979-08-12'; one that can be read two ways is asked about."""
    match = _FIGURES.fullmatch(scan.senses(index)[NUMERIC_DATE].value)
    if match is None:
        return None
    one, two, three = (int(group) for group in match.groups())
    if len(match[1]) == 4:
        readings = [(one, two, three)]
    else:
        readings = {
            "ask": [(three, two, one), (three, one, two)],
            "day first": [(three, two, one)],
            "month first": [(three, one, two)],
        }[scan.lore.conventions.numeric_dates]
    possible = [(y, m, d) for y, m, d in readings if 1 <= m <= 12 and 1 <= d <= _DAYS[m - 1]]
    if not possible:
        return None
    dates = sorted({f"{y:04d}-{m:02d}-{d:02d}" for y, m, d in possible})
    year = possible[0][0]
    item = _made(Unit.DAY, index, index + 1, year, dates[0])
    if len(dates) > 1:
        item.edtf = edtf_year(year)
        item.alternatives = tuple((date, year, year) for date in dates)
        item.asks = f"Is {match[0]} {dates[0]} or {dates[1]}?"
        item.rule = "day in figures, day and month open"
        item.confidence = "0.9"
    return item
