"""Years of other calendars as our own: sexagenary, regnal and Islamic years. Pure arithmetic."""

from __future__ import annotations


def sexagenary_position(stem: int, branch: int) -> int | None:
    """The place from 1 to 60 of a stem (1 to 10) with a branch (1 to 12); None if they never meet.

    Source: stems and branches advance together, so that both are odd or both even.
    """
    if (stem - branch) % 2:
        return None
    return (6 * (stem - 1) - 5 * (branch - 1)) % 60 + 1


def sexagenary_years(position: int, first: int, last: int) -> tuple[int, ...]:
    """The astronomical years from `first` to `last` that have this place in the cycle of 60.

    The year is the one in which the Chinese year begins. Source: y = 3 + position + 60 k.
    """
    start = first + (3 + position - first) % 60
    return tuple(range(start, last + 1, 60))


def regnal_year(first_year: int, number: int) -> int:
    """The year in which regnal year `number` begins, where year 1 is `first_year`."""
    return first_year + number - 1


def hijri_years(year: int) -> tuple[int, int]:
    """The first and last year of our era that an Islamic year (AH) touches.

    By the tabular calendar (civil epoch, 16 July 622 of the Julian calendar), which lies within a
    day or two of the observed one. Before October 1582 the Julian year is meant.
    """
    return _year_of(_first_day(year)), _year_of(_first_day(year + 1) - 1)


def _first_day(year: int) -> int:
    """The Julian day number of 1 Muharram. Source: the arithmetic of the 30-year cycle with
    leap years 2, 5, 7, 10, 13, 16, 18, 21, 24, 26 and 29."""
    return 1948440 + 354 * (year - 1) + (3 + 11 * year) // 30


def _year_of(day: int) -> int:
    """The year of a Julian day number: Gregorian from 15 October 1582, Julian before.

    Source: E. G. Richards, in Explanatory Supplement to the Astronomical Almanac (2013), 15.11.3.
    """
    f = day + 1401
    if day >= 2299161:
        f += (4 * day + 274277) // 146097 * 3 // 4 - 38
    e = 4 * f + 3
    h = 5 * (e % 1461 // 4) + 2
    month = (h // 153 + 2) % 12 + 1
    return e // 1461 - 4716 + (14 - month) // 12
