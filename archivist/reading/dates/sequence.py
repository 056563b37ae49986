"""Items joined by 'to', '-', '/', 'or', 'and', with the years in brackets after a period."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from archivist.reading.dates.borrowing import BORROWS_UNIT, settle_together
from archivist.reading.dates.deciding import nearest_to
from archivist.reading.dates.items import item
from archivist.reading.dates.named import choose
from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.settle import settle
from archivist.reading.dates.tokens import CLOSE, COMMA, DASH, NUMBER, OPEN, ROMAN, SLASH, TILDE
from archivist.reading.dates.words import AND, CENTURY, CIRCA, ERA, FILLER, OR, ORDINAL, PART, TO
from archivist.reading.spelling import fold
from archivist.reading.tables import PeriodRow

RANGE, EITHER = "range", "either"
MOST_ITEMS = 5
_BESIDE_A_DYNASTY = frozenset({CIRCA, ORDINAL, PART, CENTURY, ROMAN})
_FIGURES_OF_A_YEAR = 3
"""Figures of the shortest number that is a year by itself."""
MOST_DISAGREEMENT = 25
"""Years by which houses differ over the ends of one dynasty. Common practice, no source."""

_YEARS_OF_A_PERIOD = frozenset({Unit.YEAR, Unit.NUMBER, Unit.CENTURY, Unit.DECADE})


@dataclass(slots=True)
class Sequence:
    """Items in order, how each follows from the one before, and the token after the last."""

    items: list[Item]
    links: list[str] = field(default_factory=list)
    end: int = 0
    said_or: bool = False


def sequence(
    scan: Scan, start: int, *, between: bool = False, stated: bool = False
) -> Sequence | None:
    """The items from token `start` on that belong together, settled, or None.

    `between`: 'between' went before, so that 'and' joins. `stated`: these are years in brackets
    after a period, where numbers of fewer than four figures are years.
    """
    first = item(scan, start)
    if first is None:
        return None
    found = Sequence([first], end=first.end)
    if not stated:
        _take_brackets(scan, found)
    while len(found.items) < MOST_ITEMS:
        link, after = _link(scan, found, between)
        if not link:
            break
        if len(found.items) > 1 and _goes_on_in_small_numbers(scan, found.items, after):
            return None
        following = item(scan, after) or _other_era(scan, found.items[-1], after)
        if following is None or not _follows(found.items[-1], following, link):
            break
        found.links.append(link)
        found.items.append(following)
        found.end = following.end
        if not stated:
            _take_brackets(scan, found)
    return _settled(scan, found, stated=stated)


def _goes_on_in_small_numbers(scan: Scan, items: list[Item], index: int) -> bool:
    """'3/1/3/1': three numbers of one or two figures on end are no years."""
    number = scan.sense(index, NUMBER)
    return (
        number is not None
        and len(number.value) < _FIGURES_OF_A_YEAR
        and all(
            one.unit is Unit.NUMBER and one.digits < _FIGURES_OF_A_YEAR and not one.era
            for one in items
        )
    )


def _take_brackets(scan: Scan, found: Sequence) -> None:
    """'Qing dynasty (1644-1911)': the speaker's own years for the period hold, not the table's.

    Behind several periods they are the last one's where the table about agrees, else those of all.
    """
    last = found.items[-1]
    if last.unit not in (Unit.PERIOD, Unit.DYNASTY) or OPEN not in scan.senses(found.end):
        return
    inner = sequence(scan, found.end + 1, stated=True)
    if inner is None or CLOSE not in scan.senses(inner.end):
        return
    if not {i.unit for i in inner.items} <= _YEARS_OF_A_PERIOD:
        return
    first_year = min(i.first for i in inner.items)
    last_year = max(i.last for i in inner.items if i.last is not None)
    if _hold_for_all(scan, found, first_year, last_year):
        last.start = found.items[0].start
        last.rows = tuple(r for one in found.items for r in _rows(scan, one)[:1])
        last.unit, last.part = Unit.PERIOD, ""
        last.certainty = found.items[0].certainty
        found.items[:], found.links[:] = [last], []
    last.end = found.end = inner.end + 1
    last.first, last.last = first_year, last_year
    last.years_stated = last.kind_said = True
    last.stated_circa = inner.items[0].circa
    last.edtf = inner.items[0].edtf
    last.edtf_last = (
        inner.items[0].edtf_last
        if len(inner.items) == 1
        else inner.items[-1].edtf_last or inner.items[-1].edtf
    )


def _rows(scan: Scan, one: Item) -> tuple[PeriodRow, ...]:
    if one.unit in (Unit.DYNASTY, Unit.ORDINAL):
        row = scan.lore.dynasties.get(one.number)
        return (row,) if row is not None else ()
    return one.rows


def _hold_for_all(scan: Scan, found: Sequence, first: int, last: int) -> bool:
    if len(found.items) < 2 or any(one.years_stated for one in found.items):
        return False
    if not all(_rows(scan, one) for one in found.items):
        return False
    own = _nearest(_rows(scan, found.items[-1]), first, last)
    end = own.last if own.last is not None else own.first
    return max(abs(first - own.first), abs(last - end)) > MOST_DISAGREEMENT


def _nearest(rows: tuple[PeriodRow, ...], first: int, last: int) -> PeriodRow:
    """Of periods of one name that whose years are nearest to those stated."""
    return min(
        rows,
        key=lambda row: (
            abs(row.first - first) + abs((row.last if row.last is not None else first) - last)
        ),
    )


def _link(scan: Scan, found: Sequence, between: bool) -> tuple[str, int]:
    """What joins the last item to what follows, and where that begins; '' where nothing does."""
    index = found.end
    last = found.items[-1]
    senses = scan.senses(index)
    if not senses and last.unit is not Unit.PART:
        return "", index
    if COMMA in senses and (OR in scan.senses(index + 1)):
        index += 1
        senses = scan.senses(index)
    if DASH in senses or TO in senses or TILDE in senses:
        after = index + 1
        if (DASH in senses and TO in scan.senses(after)) or (
            TO in senses and DASH in scan.senses(after)
        ):
            after += 1
        return RANGE, after
    if last.unit is Unit.PART and DASH in scan.senses(index - 1) and not senses:
        return "", index
    if SLASH in senses:
        return EITHER if last.unit is not Unit.YEAR else RANGE, index + 1
    if OR in senses:
        found.said_or = True
        return EITHER, index + 1
    if AND in senses and (between or last.unit in (Unit.ORDINAL, Unit.PART)):
        after = scan.skip(index + 1, FILLER, most=1) if between else index + 1
        return RANGE if between else EITHER, after
    if last.unit is Unit.PART and DASH in scan.senses(index - 1):
        return RANGE, index
    return "", index


def _other_era(scan: Scan, last: Item, index: int) -> Item | None:
    """'1st century BC/AD': the same century of the other era."""
    era = scan.sense(index, ERA)
    if era is None or last.unit not in (Unit.CENTURY, Unit.MILLENNIUM) or last.part:
        return None
    if not last.era or era.value == last.era:
        return None
    return replace(last, start=index, end=index + 1, era=era.value)


def _follows(last: Item, following: Item, link: str) -> bool:
    """Whether two items can belong together at all."""
    if following.unit is Unit.PART and last.unit is not Unit.ORDINAL:
        return False
    if following.unit is Unit.NUMBER and following.era == "":
        return last.unit in (Unit.YEAR, Unit.NUMBER, Unit.DECADE, Unit.CENTURY, Unit.ORDINAL)
    if last.unit is Unit.ORDINAL:
        return following.unit in BORROWS_UNIT or following.unit in (Unit.ORDINAL, Unit.PART)
    if last.unit is Unit.PERIOD and following.unit in (Unit.YEAR, Unit.DECADE):
        return link == RANGE and last.rows[0].kind != "era"
    return True


def _settled(scan: Scan, found: Sequence, *, stated: bool) -> Sequence | None:
    items = found.items
    settle_together(scan, items)
    good = 0
    for index, one in enumerate(items):
        if not _stands(scan, one, stated=stated, alone=len(items) == 1, index=index, items=items):
            break
        if one.unit is Unit.PERIOD:
            _choose(scan, one, items)
        if one.unit is Unit.DYNASTY:
            one.rows = (scan.lore.dynasties[one.number],)
        if not settle(one, scan.lore.conventions):
            break
        good += 1
    if not good:
        return None
    if good < len(items):
        if items[0].unit in (Unit.ORDINAL, Unit.PART):
            return None
        if items[good - 1].unit is Unit.NUMBER:
            return None
        del items[good:], found.links[good - 1 :]
        found.end = items[-1].end
    return found


def _stands(
    scan: Scan, one: Item, *, stated: bool, alone: bool, index: int, items: list[Item]
) -> bool:
    """Whether an item, its neighbours considered, may be read as a date at all."""
    if one.unit is Unit.NUMBER:
        if one.era:
            return True
        if one.digits == 4:
            return False
        if stated and not alone:
            return True
        if scan.permissive and not alone and any(other.digits == 3 for other in items):
            return True
        if one.digits == 3 and not alone and all(i.digits >= 3 for i in items):
            return index > 0 and items[0].unit is Unit.YEAR
        return one.digits == 3 and one.number >= 100 and (one.circa or scan.dated)
    if one.unit is Unit.PERIOD:
        return (
            one.kind_said
            or scan.permissive
            or _stands_alone(scan, one)
            or _stands_between_commas(scan, one)
            or any(
                _are_of_one_culture(one, other)
                for other in items[max(0, index - 1) : index + 2]
                if other is not one
            )
        )
    return one.unit not in (Unit.ORDINAL, Unit.PART, Unit.SHORT_DECADE)


def _stands_between_commas(scan: Scan, one: Item) -> bool:
    """'Song, 12th century', 'Korea, Joseon, ...': a dynasty's name that is a word or a name too,
    alone between commas, beside a century or the name of its country."""
    if not all(row.kind == "dynasty" for row in one.rows):
        return False
    if not scan.text[scan.at(one.name).start].isupper() or one.end - one.start != 1:
        return False
    before, after = scan.senses(one.start - 1), scan.senses(one.end)
    if (one.start > 0 and COMMA not in before) or (one.end < scan.count and COMMA not in after):
        return False
    one.confidence = "0.8"
    following = scan.senses(scan.skip(one.end + 1, FILLER))
    return not _BESIDE_A_DYNASTY.isdisjoint(following) or any(
        scan.is_named(fold(row.culture), one.start, one.end) for row in one.rows
    )


def _are_of_one_culture(one: Item, other: Item) -> bool:
    """'jin/yuan', 'Tang or Song': two periods of one culture side by side are no other words."""
    if other.unit is not Unit.PERIOD:
        return False
    return bool({r.culture for r in one.rows} & {r.culture for r in other.rows})


def _stands_alone(scan: Scan, one: Item) -> bool:
    """Whether a name may be read without 'period' or 'dynasty' beside it."""
    capital = scan.text[scan.at(one.name).start].isupper()
    return all(row.bare == "yes" or (row.bare == "capital" and capital) for row in one.rows)


def _choose(scan: Scan, one: Item, items: list[Item]) -> None:
    if len(one.rows) == 1 or one.rows == ():
        return
    if one.years_stated:
        one.rows = (_nearest(one.rows, one.first, one.last or one.first),)
        return
    beside = tuple(i.rows[0] for i in items if i is not one and len(i.rows) == 1)
    rows, sure = choose(
        nearest_to(one.rows, beside), lambda label: scan.is_named(label, one.start, one.end)
    )
    if sure:
        one.rows = rows
        return
    one.asks = f"Which is meant: {' or '.join(row.label for row in one.rows)}?"
    one.open_rows = one.rows
    one.unread = len(rows) > 1
    one.rows = rows
    one.confidence = "0.8"
