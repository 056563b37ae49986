"""Years counted within a reign or an era, cyclical years, and Islamic years."""

from __future__ import annotations

from archivist.model.edtf import interval
from archivist.model.edtf import year as edtf_year
from archivist.reading.dates.calendars import hijri_years, regnal_year, sexagenary_years
from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.tokens import (
    CLOSE,
    COMMA,
    DASH,
    DOT,
    NUMBER,
    OPEN,
    SEMICOLON,
)
from archivist.reading.dates.words import (
    CYCLICAL_WORD,
    DATED,
    FILLER,
    HIJRI,
    KIND,
    OF_PERIOD,
    ORDINAL,
    YEAR_WORD,
)
from archivist.reading.tables import PeriodRow

CYCLE_FROM, CYCLE_TO = 1264, 1983
"""Between which years a cyclical year is looked for where no reign bounds it: the years from
which dated pieces are met in the trade. Common practice, no source."""

_MAY_FOLLOW = frozenset({COMMA, SEMICOLON, OPEN, CLOSE})
"""Signs after which 'Qianlong 10' has ended; 'Qianlong 6-character mark' has not."""


def regnal(scan: Scan, period: Item) -> Item | None:
    """A year of the reign or era just read ('Meiji 12', 'Guangxu 3rd year', 'Qianlong bingzi')."""
    row = period.rows[0]
    at = scan.skip(period.end, COMMA, most=1)
    cyclical = _cyclical_name(scan, at)
    if cyclical is not None and row.kind in ("reign", "era", "dynasty"):
        place, end = cyclical
        end = end + 1 if YEAR_WORD in scan.senses(end) else end
        return in_cycle(scan, period.start, end, place, period.rows)
    if row.kind not in ("reign", "era") or len(period.rows) != 1:
        return None
    number = scan.sense(at, NUMBER)
    if number is not None and len(number.value) <= 2:
        year_said = YEAR_WORD in scan.senses(at + 1)
        following = scan.senses(at + 1)
        ends = at + 1 >= scan.count or not _MAY_FOLLOW.isdisjoint(following)
        alone = at == period.end and (ends or (row.kind == "era" and DASH not in following))
        if year_said or alone:
            return year_in_reign(row, number.number, period.start, at + 1 + year_said)
    ordinal = scan.sense(at, ORDINAL)
    if ordinal is not None and YEAR_WORD in scan.senses(at + 1):
        return year_in_reign(row, ordinal.number, period.start, at + 2)
    if YEAR_WORD in scan.senses(at):
        number = scan.sense(at + 1, NUMBER)
        if number is not None and len(number.value) <= 2:
            return year_in_reign(row, number.number, period.start, at + 2)
    return None


def year_of(scan: Scan, index: int) -> tuple[int, int] | None:
    """'10th year of the', 'third year of', 'year 12 of': the year's number and where it ends."""
    number = scan.sense(index, ORDINAL)
    if number is None or YEAR_WORD not in scan.senses(index + 1):
        number = scan.sense(index + 1, NUMBER) if YEAR_WORD in scan.senses(index) else None
    if number is not None:
        after = index + 2
    else:
        return None
    end = scan.skip(after, FILLER, KIND, OF_PERIOD)
    return (number.number, end) if end > after and 0 < number.number <= 64 else None


def year_in_reign(row: PeriodRow, number: int, start: int, end: int) -> Item | None:
    """Year `number` of a reign, or None where it had no such year."""
    year = regnal_year(row.first, number)
    if number < 1 or (row.last is not None and year > row.last):
        return None
    return Item(
        Unit.CALENDAR,
        start,
        end,
        first=year,
        last=year,
        edtf=edtf_year(year),
        rows=(row,),
        kind_said=True,
        rule="regnal year",
        convention=f"{row.label} {number}: year 1 is {row.first}",
    )


def of_reign(period: Item, number: int, start: int) -> Item | None:
    """Year `number` of the reign that `period` names, or None where it had no such year."""
    return year_in_reign(period.rows[0], number, start, period.end)


def cyclical(scan: Scan, index: int) -> Item | None:
    """A cyclical year by name ('jiazi year', 'cyclical date jiachen'), unbounded by a reign."""
    found = _cyclical_name(scan, index)
    if found is None:
        return None
    place, end = found
    before = scan.senses(index - 1 if FILLER not in scan.senses(index - 1) else index - 2)
    said = CYCLICAL_WORD in before or DATED in before or YEAR_WORD in before
    if YEAR_WORD in scan.senses(end):
        end, said = end + 1, True
    if CYCLICAL_WORD in scan.senses(end):
        end, said = end + 1, True
    if not said:
        return None
    after = scan.skip(end, FILLER, KIND, OF_PERIOD)
    return in_cycle(scan, index, end, place, _reigns_at(scan, after), after)


def _reigns_at(scan: Scan, index: int) -> tuple[PeriodRow, ...]:
    token = scan.at(index)
    return scan.lore.periods.exactly(token.folded) if token.folded else ()


def _cyclical_name(scan: Scan, index: int) -> tuple[int, int] | None:
    first = scan.at(index)
    if not first.folded or not scan.lore.cycle_names.begins(first.folded):
        return None
    for end in (index + 3, index + 2, index + 1):
        if end > index + 1 and (end > scan.count or not scan.at(end - 1).folded):
            continue
        places = scan.lore.cycle_names.exactly(scan.raw(index, end))
        if len(places) == 1:
            return places[0], end
    return None


def in_cycle(
    scan: Scan,
    start: int,
    end: int,
    place: int,
    rows: tuple[PeriodRow, ...],
    end_with_reign: int | None = None,
) -> Item:
    """The cyclical year at `place` in the cycle of 60 within `rows`; asked about if it is open."""
    first, last = CYCLE_FROM, CYCLE_TO
    if rows:
        bounds = [row.last if row.last is not None else CYCLE_TO for row in rows]
        first, last = min(row.first for row in rows), max(bounds)
        if end_with_reign is not None:
            end = end_with_reign + 1
    years = sexagenary_years(place, first, last)
    item = Item(Unit.CALENDAR, start, end, rows=rows, kind_said=True, rule="cyclical year")
    if rows and not years:
        item.asks = (
            f"{rows[0].label} had no such cyclical year; which reign or which year is meant?"
        )
        item.rule = ""
        return item
    item.first, item.last = years[0], years[-1]
    item.edtf = edtf_year(years[0])
    item.convention = f"cyclical year {place} of 60"
    if len(years) > 1:
        item.alternatives = tuple((edtf_year(y), y, y) for y in years)
        item.asks = (
            "A cyclical year comes round every 60 years: which of "
            f"{', '.join(str(y) for y in years)}?"
        )
        item.rule = ""
    return item


def hijri(scan: Scan, index: int) -> Item | None:
    """'AH 1065', '1297 AH', 'A.H. 1297/8'."""
    if HIJRI in scan.senses(index) and scan.at(index).folded != "h":
        at = scan.skip(index + 1, DOT, most=1)
        end = at + 1
    elif HIJRI in scan.senses(index + 1):
        at, end = index, index + 2
        if scan.at(index + 1).folded == "h" and (scan.senses(end) or scan.at(end).folded):
            return None  # the height of something follows
    else:
        return None
    number = scan.sense(at, NUMBER)
    if number is None or not 1 <= number.number <= 1600 or number.number == 0:
        return None
    first, last = hijri_years(number.number)
    return Item(
        Unit.HIJRI,
        index,
        end,
        number=number.number,
        first=first,
        last=last,
        edtf=edtf_year(first),
        edtf_last="" if first == last else edtf_year(last),
        rule="Islamic year",
        convention=f"AH {number.number} runs through {interval(str(first), str(last))}",
    )
