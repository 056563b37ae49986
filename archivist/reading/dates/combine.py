"""The items of a sequence as one statement: notation, years with the reach of 'circa', bounds."""

from __future__ import annotations

from archivist.model import edtf
from archivist.reading.dates.pieces import Found, Item, Unit
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.sequence import EITHER, Sequence
from archivist.reading.dates.settle import reach, weaker


def combined(scan: Scan, found: Sequence, bound: str, *, by: bool) -> Found:
    """One statement of all the items of a sequence, with the reach of 'circa' and of bounds."""
    items = found.items
    if items[0].circa and len(items) > 1:
        for one in items[1:]:
            one.circa = True
    many = len(items) > 1 or (bool(items[0].edtf_last) and items[0].unit is not Unit.PERIOD)
    first, last = _bounds(scan, items, many)
    one = items[0]
    alone = len(items) == 1
    made = Found(
        start=one.start,
        end=found.end,
        edtf=_notation(found),
        first=first,
        last=last,
        rule=_rule(found),
        convention=_convention(scan, items, many),
        confidence=one.confidence if alone else min((i.confidence for i in items), key=float),
        rows=one.rows if alone else tuple(dict.fromkeys(row for i in items for row in i.rows)),
        asks=next((i.asks for i in items if i.asks), ""),
    )
    for one in items:
        made.certainty = weaker(made.certainty, one.certainty)
        made.read = made.read and not one.unread and bool(one.rule or not one.asks)
        if one.open_rows:
            made.alternatives = tuple(
                (
                    edtf.interval(
                        edtf.year(row.first), edtf.year(row.last) if row.last is not None else ""
                    ),
                    row.first,
                    row.last if row.last is not None else row.first,
                )
                for row in one.open_rows
            )
            made.open_rows = one.open_rows if len(items) == 1 else ()
        elif one.alternatives and len(items) == 1:
            made.alternatives = one.alternatives
        elif one.asks and one.alternatives:
            made.asks = ""
    if len(items) > 1 and items[0].first > (items[-1].last or items[0].first):
        _backwards(made, items)
    _bounded(made, bound, scan, by=by)
    return made


def _bounds(scan: Scan, items: list[Item], many: bool) -> tuple[int, int | None]:
    """The first and last year of all items with the reach of 'circa'; None where it is open."""
    conventions = scan.lore.conventions
    first, last = items[0].first, items[0].last
    if len(items) == 1 and not items[0].circa:
        return first, last
    firsts, lasts = [], []
    for one in items:
        earlier, later = reach(one, conventions, in_range=many)
        firsts.append(one.first - earlier)
        if one.last is None:
            return min(firsts), None
        lasts.append(one.last + later)
    return min(firsts), max(lasts)


def _backwards(made: Found, items: list[Item]) -> None:
    """'1918-1912': years that run backwards may be BCE, or typed in the wrong order."""
    if any(one.unit is not Unit.YEAR or one.era for one in items):
        return
    one, other = items[0].number, items[-1].number
    made.read = False
    made.asks = f"'{one}-{other}' runs backwards: are these years BCE, or is one of them wrong?"
    made.alternatives = (
        (edtf.interval(edtf.year(1 - one), edtf.year(1 - other)), 1 - one, 1 - other),
        (edtf.interval(edtf.year(other), edtf.year(one)), other, one),
    )


def _bounded(made: Found, bound: str, scan: Scan, *, by: bool) -> None:
    """Open one end for 'before', 'after', 'or later', 'or earlier', as far as conventions say."""
    if not bound:
        return
    conventions = scan.lore.conventions
    made.edtf = edtf.as_interval(made.edtf)
    ends = made.edtf.split("/")
    one_year = len(ends) == 1 and "X" not in made.edtf
    strict, closes = bound in ("before", "after"), bound in ("before", "not after", "or earlier")
    if closes:
        limit = made.first if strict and not one_year else made.last
        kept = ends[0] if strict else ends[-1]
        notation = _low(kept) if strict else _high(kept)
        made.edtf = f"../{notation}"
        distance = conventions.or_earlier if bound == "or earlier" else conventions.before
        near = made.first if bound == "or earlier" else limit
        made.first = near - distance if distance is not None and near is not None else None
        made.last = limit
        if by and conventions.by is not None and limit is not None:
            made.first, made.last = limit - conventions.by[0], limit + conventions.by[1]
    else:
        limit = made.last if strict and not one_year and made.last is not None else made.first
        kept = ends[-1] if strict else ends[0]
        notation = _high(kept) if strict else _low(kept)
        made.edtf = f"{notation}/.."
        distance = conventions.or_later if bound == "or later" else conventions.after
        far = made.last if bound == "or later" else limit
        made.first = limit
        made.last = far + distance if distance is not None and far is not None else None
    made.rule = f"{made.rule}, {bound}" if bound.startswith("or ") else f"{bound} {made.rule}"


def _low(text: str) -> str:
    return text.replace("X", "0")


def _high(text: str) -> str:
    return text.replace("X", "9")


def _notation(found: Sequence) -> str:
    """The items in EDTF: one date, one of a set, or an interval."""
    items = found.items
    marks = [edtf.qualifier(circa=one.circa, certainty=one.certainty) for one in items]
    if len(items) == 1:
        one, mark = items[0], marks[0]
        if one.stated_circa and not mark:
            mark = "~"
        if not one.edtf_last:
            open_end = one.last is None
            return f"{one.edtf}{mark}/.." if open_end else f"{one.edtf}{mark}"
        return f"{one.edtf}{mark}/{one.edtf_last}{mark}"
    simple = all(one.unit is Unit.YEAR and not one.edtf_last for one in items)
    if simple and found.said_or and set(found.links) == {EITHER} and not any(marks):
        return edtf.one_of(*(one.edtf for one in items))
    earliest = min(range(len(items)), key=lambda i: items[i].first)
    latest = max(range(len(items)), key=lambda i: _sort_last(items[i]))
    first = _low(items[earliest].edtf) + marks[earliest]
    end = items[latest]
    if end.last is None:
        return f"{first}/.."
    return edtf.interval(first, _high(end.edtf_last or end.edtf) + marks[latest])


def _sort_last(one: Item) -> int:
    return one.last if one.last is not None else 10**9


def _rule(found: Sequence) -> str:
    items = found.items
    rule = items[0].rule or "unsettled"
    if len(items) > 1:
        rule = f"{rule} {'range' if found.links[0] != EITHER else 'alternatives'}"
    return f"circa {rule}" if items[0].circa else rule


def _convention(scan: Scan, items: list[Item], many: bool) -> str:
    if len(items) == 1 and not items[0].circa and not items[0].convention:
        return ""
    parts = list(dict.fromkeys(one.convention for one in items if one.convention))
    for one in items:
        earlier, later = reach(one, scan.lore.conventions, in_range=many)
        if earlier or later:
            both = f"{earlier} years either way"
            apart = f"{earlier} years before, {later} after"
            parts.append(f"circa: {both if earlier == later else apart}")
            break
    if parts and scan.lore.conventions.name:
        parts.append(f"conventions: {scan.lore.conventions.name}")
    return "; ".join(parts)
