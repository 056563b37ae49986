"""Whole date statements: 'before', 'dated', 'or later' and brackets around a sequence of items."""

from __future__ import annotations

from dataclasses import dataclass

from archivist.model import edtf
from archivist.model.base import Certainty
from archivist.reading.dates.combine import combined
from archivist.reading.dates.items import FIRST_YEAR, LAST_YEAR
from archivist.reading.dates.pieces import Found, Unit
from archivist.reading.dates.scan import MOST_QUALIFIERS, Scan
from archivist.reading.dates.sequence import Sequence, sequence
from archivist.reading.dates.settle import weaker
from archivist.reading.dates.tokens import (
    CLOSE,
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
    NOT_AFTER,
    NOT_BEFORE,
    NOT_YEAR_AFTER,
    NOT_YEAR_BEFORE,
    OR_EARLIER,
    OR_LATER,
    PART,
    STAGE,
    UNTIL_NOW,
)

_LEADING = frozenset(
    {BEFORE, AFTER, NOT_BEFORE, NOT_AFTER, BETWEEN, LIKE, DATED, STAGE, CERTAINTY, QUERY, FROM}
)
"""Senses of words that can go before a date and say what it is to the piece."""
SHORTEST_LIFE, LONGEST_LIFE = 30, 105
"""Years between which a pair in brackets after a name may be a life. Common practice, no source."""
EARLIEST_BARE_YEAR = 1300
"""Before this a number of four figures alone in a caption is more often a model or stock number."""
_BOUNDS = frozenset({BEFORE, AFTER, NOT_BEFORE, NOT_AFTER, BETWEEN})
_INDEFINITE = frozenset(("a", "an", "ein", "eine", "einem", "einer", "un", "une", "een", "una"))
_ENDING = frozenset({QUERY, OPEN, OR_LATER, OR_EARLIER, CIRCA, CLOSE, DASH, LIKE_AFTER})
"""Senses of what can follow a date and belongs to it."""
_BOUNDING = frozenset({OR_LATER, OR_EARLIER})
_LONGEST_ABBREVIATION = 4
"""Letters of a word that ends a date and may have a full stop after it: 'c.', 'cent.'."""


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
    if lead.like or (lead.by and found.items[0].unit is Unit.PERIOD):
        return None, found.end  # 'by the Qianlong Emperor' names a maker
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
        if not _BOUNDS.isdisjoint(senses) and _begins_a_noun(scan, lead.end + 1):
            break  # 'after a Shang bronze', 'between a Yuan bottle and ...'
        if BEFORE in senses and _allows_by(scan, lead.end):
            lead.bound, lead.by = "before", scan.at(lead.end).folded == "by"
        elif NOT_BEFORE in senses:
            lead.bound = "not before"
        elif NOT_AFTER in senses:
            lead.bound = "not after"
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


def _begins_a_noun(scan: Scan, index: int) -> bool:
    """Whether an indefinite article stands at `index`: what follows names a thing of a period."""
    return scan.at(index).folded in _INDEFINITE


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
    alone = len(found.items) == 1 and not first.circa
    earliest = EARLIEST_BARE_YEAR if alone else FIRST_YEAR
    return (first.digits == 4 and first.number >= earliest) or first.circa


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
        if DOT in senses and not _BOUNDING.isdisjoint(scan.senses(end + 1)):
            end += 1  # '17th c. or later'
            senses = scan.senses(end)
        if (
            DOT in senses
            and QUERY in scan.senses(end + 1)
            and scan.at(end).end == scan.at(end + 1).start
        ):
            end += 1  # '18th c.?'
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
    if _is_style(scan, end):
        return None, end
    if circa_after or lead.circa:
        for one in found.items:
            one.circa = True
    made = combined(scan, found, bound, by=lead.by)
    made.start, made.end, made.ground = start, end, lead.ground
    made.certainty = weaker(made.certainty, certainty)
    if _may_be_a_life(scan, start, end, found):
        made.read, made.rule = False, "years in brackets after a name"
        made.asks = f"Are {scan.raw(start, end)} the years of a life or of the piece?"
        made.alternatives = ((made.edtf, made.first or 0, made.last or 0),)
    made.edtf = edtf.expressible(edtf.doubted(made.edtf, made.certainty))
    return made, end


def _may_be_a_life(scan: Scan, start: int, end: int, found: Sequence) -> bool:
    """'Tobias Wren (1751-1812)': years in brackets, a life apart, after two words in capitals."""
    if len(found.items) != 2 or OPEN not in scan.senses(start - 1) or CLOSE not in scan.senses(end):
        return False
    one, other = found.items
    if one.unit is not Unit.YEAR or other.unit is not Unit.YEAR or one.circa:
        return False
    if not SHORTEST_LIFE <= other.number - one.number <= LONGEST_LIFE:
        return False
    return all(
        not scan.senses(i) and scan.at(i).folded and scan.text[scan.at(i).start].isupper()
        for i in (start - 2, start - 3)
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
    """'Louis XV style', 'Ming-style', '18th c. style': no date."""
    index = scan.skip(index, DASH, most=1)
    if DOT in scan.senses(index) and 0 < len(scan.at(index - 1).folded) <= _LONGEST_ABBREVIATION:
        index += 1
    return LIKE_AFTER in scan.senses(index)
