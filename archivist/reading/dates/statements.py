"""Whole date statements: 'before', 'dated', 'or later' and brackets around a sequence of items."""

from __future__ import annotations

from dataclasses import dataclass

from archivist.model.base import Certainty
from archivist.reading.dates import edtf
from archivist.reading.dates.items import FIRST_YEAR, LAST_YEAR
from archivist.reading.dates.pieces import Found, Item, Unit
from archivist.reading.dates.scan import MOST_QUALIFIERS, Scan
from archivist.reading.dates.sequence import EITHER, Sequence, sequence
from archivist.reading.dates.settle import reach, weaker
from archivist.reading.dates.tokens import (
    CLOSE,
    COMMA,
    DASH,
    DOT,
    MONEY,
    NUMBER,
    OPEN,
    QUERY,
    TILDE,
)
from archivist.reading.dates.words import (
    AFTER,
    BEFORE,
    BETWEEN,
    CERTAINTY,
    CIRCA,
    DATED,
    FILLER,
    FROM,
    LIKE,
    LIKE_AFTER,
    NOT_YEAR_AFTER,
    NOT_YEAR_BEFORE,
    OR_EARLIER,
    OR_LATER,
    PART,
    STAGE,
    UNTIL_NOW,
)

_LEADING = frozenset({BEFORE, AFTER, BETWEEN, LIKE, DATED, STAGE, CERTAINTY, QUERY, FROM})
"""Senses of words that can go before a date and say what it is to the piece."""
_ENDING = frozenset({QUERY, OPEN, OR_LATER, OR_EARLIER, CIRCA, CLOSE, DASH, LIKE_AFTER})
"""Senses of what can follow a date and belongs to it."""


@dataclass(slots=True)
class _Lead:
    """The words before a date that say what it is to the piece."""

    end: int
    bound: str = ""
    by: bool = False
    between: bool = False
    dated: bool = False
    like: bool = False
    ground: str = ""
    certainty: Certainty = Certainty.CERTAIN
    circa: bool = False
    opened: bool = False


def statement(scan: Scan, start: int) -> tuple[Found | None, int] | None:
    """The statement that begins at token `start` and the token after it.

    None where none begins there; a `Found` of None where words were recognised as something that
    is no date of the piece ('in the style of the Ming dynasty') and are passed over.
    """
    lead = _lead(scan, start)
    if OPEN in scan.senses(lead.end) and (lead.end > start or _brackets_a_year(scan, lead.end)):
        lead.end += 1
        lead.opened = True
    scan.dated = lead.dated or bool(lead.bound)
    found = sequence(scan, lead.end, between=lead.between)
    scan.dated = False
    if found is None:
        return None
    if not _is_a_year(scan, found, lead, start):
        return None
    if lead.like:
        return None, found.end
    return _ended(scan, start, lead, found)


def _brackets_a_year(scan: Scan, index: int) -> bool:
    """'[1885]': a year supplied by whoever wrote the caption."""
    return scan.text[scan.at(index).start] == "[" and CLOSE in scan.senses(index + 2)


def _lead(scan: Scan, start: int) -> _Lead:
    lead = _Lead(start)
    if _LEADING.isdisjoint(scan.senses(start)):
        return lead
    for _ in range(MOST_QUALIFIERS):
        senses = scan.senses(lead.end)
        if not senses:
            break
        if BEFORE in senses and _allows_by(scan, lead.end):
            lead.bound, lead.by = "before", scan.at(lead.end).folded == "by"
        elif AFTER in senses:
            lead.bound = "after"
        elif BETWEEN in senses:
            lead.between = True
        elif LIKE in senses:
            lead.like = True
        elif DATED in senses:
            lead.dated, lead.ground = True, scan.at(lead.end).folded
        elif STAGE in senses:
            lead.ground = scan.at(lead.end).folded
        elif (sense := senses.get(CERTAINTY)) is not None:
            lead.certainty = Certainty(sense.value)
        elif QUERY in senses and lead.end == start:
            lead.certainty = Certainty.PROBABLE
        elif CIRCA in senses and lead.end > start and scan.at(lead.end).folded != "c":
            lead.circa = True
        elif FROM in senses or (FILLER in senses and lead.end > start):
            pass
        else:
            break
        lead.end = scan.skip(lead.end + 1, DOT, DASH, most=1)
    return lead


def _allows_by(scan: Scan, index: int) -> bool:
    """'8 by 10' is a size."""
    return NUMBER not in scan.senses(index - 1) or scan.at(index).folded != "by"


def _is_a_year(scan: Scan, found: Sequence, lead: _Lead, start: int) -> bool:
    """Whether a bare number is a year and no stock number, price, page or size."""
    first = found.items[0]
    if first.unit not in (Unit.YEAR, Unit.NUMBER):
        return True
    if scan.permissive or first.era or lead.bound or lead.dated or lead.between:
        return True
    before, after = scan.senses(start - 1), scan.senses(found.end)
    if DOT in before:
        before = scan.senses(start - 2)
    if NOT_YEAR_BEFORE in before or MONEY in before or NOT_YEAR_AFTER in after:
        return False
    if MONEY in after or NUMBER in after or NUMBER in before:
        return bool(first.circa)
    glued_before = start > 0 and not scan.at(start).spaced and not _opens(scan, start - 1)
    follows = scan.at(found.end)
    glued_after = (
        found.end < scan.count
        and not follows.spaced
        and bool(follows.folded)
        and CIRCA not in follows.senses
    )
    if (glued_before and not first.circa) or glued_after:
        return False
    last = found.items[-1]
    if last.unit is Unit.YEAR and last.number > LAST_YEAR:
        return False
    return (first.digits == 4 and first.number >= FIRST_YEAR) or first.circa


def _opens(scan: Scan, index: int) -> bool:
    """Whether a sign goes before that may stand before a year without space."""
    token = scan.at(index)
    sign = scan.text[token.start : token.end]
    if DASH in token.senses:
        return token.spaced
    return sign in {
        "(",
        "[",
        ",",
        ";",
        ":",
        '"',
        "“",
        "‘",
        "'",
        "*",
        "（",
        "、",
        "，",
        "。",
        "?",
        "~",
    }


def _ended(scan: Scan, start: int, lead: _Lead, found: Sequence) -> tuple[Found | None, int]:
    """What follows a date ('or later', '?', 'ca.') and the statement that comes of it."""
    end = found.end
    circa_after = False
    certainty = lead.certainty
    bound = lead.bound
    for _ in range(MOST_QUALIFIERS):
        senses = scan.senses(end)
        if _ENDING.isdisjoint(senses):
            break
        if QUERY in senses:
            certainty = weaker(certainty, Certainty.PROBABLE)
            end += 1
        elif OPEN in senses and QUERY in scan.senses(end + 1) and CLOSE in scan.senses(end + 2):
            certainty = weaker(certainty, Certainty.PROBABLE)
            end += 3
        elif OPEN in senses and CERTAINTY in scan.senses(end + 1) and CLOSE in scan.senses(end + 2):
            certainty = weaker(certainty, Certainty(scan.senses(end + 1)[CERTAINTY].value))
            end += 3
        elif OR_LATER in senses and not bound:
            bound, end = "or later", end + 1
        elif OR_EARLIER in senses and not bound:
            bound, end = "or earlier", end + 1
        elif CIRCA in senses and _ends_date(scan, end):
            circa_after = True
            end = scan.skip(end + 1, DOT, most=1)
        elif CLOSE in senses and lead.opened:
            end, lead.opened = end + 1, False
        elif DASH in senses and UNTIL_NOW in scan.senses(end + 1):
            bound, end = "or later", end + 2
        else:
            break
    if not _ENDING.isdisjoint(scan.senses(end)) and _is_style(scan, end):
        return None, end
    if circa_after or lead.circa:
        for one in found.items:
            one.circa = True
    made = _combined(scan, found, bound, by=lead.by)
    made.start, made.end, made.ground = start, end, lead.ground
    made.certainty = weaker(made.certainty, certainty)
    if made.certainty is not Certainty.CERTAIN:
        made.edtf = _qualified(_as_interval(made.edtf), made.certainty)
    made.edtf = edtf.expressible(made.edtf)
    return made, end


def _qualified(text: str, certainty: Certainty) -> str:
    """Every date of an interval given its `?`, with `~` becoming `%`."""
    ends = text.split("/")
    return "/".join(
        end
        if end in ("", "..") or end[-1] in "?%"
        else end[:-1] + edtf.qualifier(circa=True, certainty=certainty)
        if end[-1] == "~"
        else end + edtf.qualifier(circa=False, certainty=certainty)
        for end in ends
    )


def _ends_date(scan: Scan, index: int) -> bool:
    """Whether 'circa' at `index` belongs to the date before it and not to one after it."""
    following = scan.senses(scan.skip(index + 1, DOT, most=1))
    if scan.at(index).folded == "c":
        return False
    return not any(kind in following for kind in (NUMBER, PART, TILDE)) and not any(
        kind in following for kind in ("decade", "ordinals", "roman", "eras")
    )


def _is_style(scan: Scan, index: int) -> bool:
    """'Louis XV style', 'Ming-style': no date."""
    return LIKE_AFTER in scan.senses(scan.skip(index, DASH, most=1))


def _combined(scan: Scan, found: Sequence, bound: str, *, by: bool) -> Found:
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
    made.edtf = _as_interval(made.edtf)
    ends = made.edtf.split("/")
    if bound in ("before", "or earlier"):
        made.edtf = f"../{ends[-1] if bound == 'or earlier' else ends[0]}"
        about_a_year = "/" not in made.edtf and "X" not in made.edtf
        limit = made.last if bound == "or earlier" or about_a_year else made.first
        if by and conventions.by is not None and limit is not None:
            made.first, made.last = limit - conventions.by[0], limit + conventions.by[1]
        else:
            distance = conventions.before if bound == "before" else conventions.or_earlier
            start = made.first if bound == "or earlier" else limit
            made.first = start - distance if distance is not None and start is not None else None
            made.last = limit
    else:
        made.edtf = f"{ends[0] if bound == 'or later' else ends[-1]}/.."
        distance = conventions.after if bound == "after" else conventions.or_later
        about_a_year = "/" not in made.edtf and "X" not in made.edtf
        limit = made.first if bound == "or later" or made.last is None else made.last
        if about_a_year:
            limit = made.first
        far = made.last if bound == "or later" else limit
        made.first = limit
        made.last = far + distance if distance is not None and far is not None else None
    made.edtf = _years_only(made.edtf)
    made.rule = f"{made.rule}, {bound}" if bound.startswith("or ") else f"{bound} {made.rule}"


def _as_interval(text: str) -> str:
    """One of a set as the interval it spans: a set takes neither doubt nor an open end."""
    if not text.startswith("["):
        return text
    dates = text[1:-1].split(",")
    return edtf.interval(dates[0], dates[-1])


def _years_only(text: str) -> str:
    """An interval without unspecified digits: `../17XX` as `../1799`."""
    first, _, last = text.partition("/")
    return edtf.interval(_low(first), _high(last)) if "X" in text else text


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
            years = f"{earlier} years" if earlier == later else f"{earlier} and {later} years"
            parts.append(f"circa: {years} either way")
            break
    if parts:
        parts.append(f"conventions: {scan.lore.conventions.name}")
    return "; ".join(parts)


__all__ = ["COMMA", "statement"]
