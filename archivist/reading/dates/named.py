"""Named periods, dynasties, reigns and eras, and whether a name is a date or only a mark.

'Qianlong mark and period' dates a piece; 'Qianlong mark' does not: a mark is what is written on
a piece, a date is what somebody holds it to be. A name that is also an ordinary word, or is short,
is read only beside 'period', 'dynasty' and the like.
"""

from __future__ import annotations

from collections.abc import Callable

from archivist.model.base import Certainty
from archivist.reading.dates.characters import in_characters
from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.tokens import DASH, DOT, HAN, NUMBER, ROMAN, SEMICOLON
from archivist.reading.dates.words import (
    AND,
    CERTAINTY,
    FILLER,
    KIND,
    MARK,
    MARK_WORD,
    OF_PERIOD,
    ORDINAL,
    Senses,
)
from archivist.reading.spelling import fold
from archivist.reading.tables import PeriodRow

MOST_WORDS = 6
MOST_BETWEEN = 6
MOST_OF_A_MARK = 12


def period(scan: Scan, index: int) -> Item | None:
    """The named period that begins at `index`, with 'period' or 'mark and period' after it."""
    if HAN in scan.senses(index):
        return in_characters(scan, index)
    end, rows = _longest_name(scan, index)
    item: Item | None = None
    if rows:
        item = Item(Unit.PERIOD, index, end, rows=rows, name=index)
    elif (found := _misheard(scan, index)) is not None:
        item = found
    if item is None:
        return None
    return _with_kind(scan, item)


def name_of_several_words(scan: Scan, index: int) -> Item | None:
    """A name whose first word also means something else: 'Late Period', 'Second Empire'.

    One made of date words alone ('late period') is a name only in capitals, or where the whole
    text is meant to be a date.
    """
    token = scan.at(index)
    if not token.folded or not scan.lore.periods.begins(token.folded.split(" ", 1)[0]):
        return None
    end, rows = _longest_name(scan, index)
    if not rows or end < index + 2:
        return None
    ordinary = all(scan.senses(i) for i in range(index, end))
    if ordinary and not scan.permissive and not _in_capitals(scan, index, end):
        return None
    return _with_kind(scan, Item(Unit.PERIOD, index, end, rows=rows, name=index))


def _in_capitals(scan: Scan, start: int, end: int) -> bool:
    return all(
        scan.text[scan.at(i).start].isupper() for i in range(start, end) if KIND in scan.senses(i)
    )


def _longest_name(scan: Scan, index: int) -> tuple[int, tuple[PeriodRow, ...]]:
    first = scan.at(index)
    names = scan.lore.periods
    words: list[str] = []
    texts: list[str] = []
    ends: list[int] = []
    position = index
    head = first.folded.split(" ", 1)[0]
    if not head or not names.begins(head):
        return index, ()
    while position < scan.count and len(words) < MOST_WORDS:
        token = scan.tokens[position]
        if not token.folded:
            number = token.senses.get(NUMBER)
            if number is not None and words:
                words.append(number.value)
            elif words and (DASH in token.senses or DOT in token.senses or AND in token.senses):
                position += 1
                continue
            else:
                break
        else:
            words.extend(token.folded.split(" "))
            texts.extend([""] * (len(words) - len(texts) - 1))
            ends.extend([0] * (len(words) - len(ends) - 1))
        position += 1
        texts.append(scan.text[first.start : token.end])
        ends.append(position)
    count, rows = names.longest(words, texts)
    if not count or not ends[count - 1]:
        return index, ()
    return ends[count - 1], rows


def _misheard(scan: Scan, index: int) -> Item | None:
    """A name by sound, only where 'period', 'reign', 'mark and period' follows at once."""
    if scan.senses(index) or not scan.at(index).folded:
        return None
    for length in (2, 3, 1):
        end = index + 1
        for _ in range(length - 1):
            end = end + 1 if DASH in scan.senses(end) else end
            if not scan.at(end).folded or KIND in scan.senses(end):
                break
            end += 1
        else:
            if not _kind_or_mark(scan.senses(end)):
                continue
            near = scan.lore.misheard.approximately(scan.raw(index, end))
            if near is not None:
                return Item(
                    Unit.PERIOD,
                    index,
                    end,
                    rows=near.entries,
                    confidence=f"{near.nearness:.2f}",
                    convention=f"'{scan.raw(index, end)}' taken for {near.entries[0].label}",
                )
    return None


def _kind_or_mark(senses: Senses) -> bool:
    return KIND in senses or MARK in senses


def _with_kind(scan: Scan, item: Item) -> Item | None:
    """Take in 'dynasty', 'period', 'mark and period'; None where the name is only a mark."""
    if _goes_on(scan, item.end):
        return None
    if not item.kind_said:
        item.kind_said = _named_with_kind(scan, item) or _kind_before(scan, item.start)
    for _ in range(2):
        after = scan.skip(item.end, DASH, most=1)
        if KIND in scan.senses(after) and not _is_name(scan, after):
            item.end, item.kind_said = after + 1, True
    marked = _mark_after(scan, item.end)
    if marked is not None:
        end, of_period = marked
        if of_period is None:
            return None
        item.end, item.kind_said, item.rule = end, True, "mark and period"
        item.certainty = of_period
        return item
    before = _mark_before(scan, item.start)
    if before is not None:
        if not before:
            return None
        item.kind_said, item.rule = True, "mark and period"
    if OF_PERIOD in scan.senses(item.end) and scan.at(item.end).folded == "of the period":
        item.end, item.kind_said = item.end + 1, True
    return item


def _goes_on(scan: Scan, index: int) -> bool:
    """Whether a name is only the beginning of a longer word: 'ch'ing-pai ware'."""
    joint, following = scan.at(index), scan.at(index + 1)
    if DASH not in joint.senses or joint.spaced or following.spaced:
        return False
    known = following.senses or scan.lore.periods.begins(following.folded)
    return bool(following.folded) and not known


def _is_name(scan: Scan, index: int) -> bool:
    return scan.lore.periods.begins(scan.at(index).folded) and not scan.sense(index, KIND)


def _named_with_kind(scan: Scan, item: Item) -> bool:
    """Whether the name itself holds the word ('Late Period', 'Six Dynasties', 'Old Kingdom')."""
    return any(KIND in scan.senses(i) for i in range(item.start, item.end))


def _kind_before(scan: Scan, index: int) -> bool:
    """'reign of Kangxi', 'dynastie Ming', 'Emperor Qianlong', 'époque Qianlong'."""
    before = index - 1
    while before >= 0 and FILLER in scan.senses(before) and index - before < 3:
        before -= 1
    return KIND in scan.senses(before)


def _mark_after(scan: Scan, index: int) -> tuple[int, Certainty | None] | None:
    """Whether a mark is spoken of after a name: where that ends, and how sure 'and period' is.

    None where no mark is spoken of; a certainty of None where it is one, but not of the period.
    """
    position, seen = index, False
    for _ in range(MOST_BETWEEN):
        senses = scan.senses(position)
        if MARK in senses:
            seen = True
        elif not (
            MARK_WORD in senses
            or DASH in senses
            or (not seen and (CERTAINTY in senses or NUMBER in senses))
        ):
            break
        position += 1
    if not seen:
        return None
    return _of_period(scan, position) or (position, None)


def _of_period(scan: Scan, index: int) -> tuple[int, Certainty] | None:
    """'and of the period' within the words that describe a mark: where it ends, how sure it is."""
    for position in range(index, min(index + MOST_OF_A_MARK, scan.count)):
        token = scan.at(position)
        senses = token.senses
        sense = senses.get(OF_PERIOD)
        if sense is not None and (position == index or token.folded.startswith("and ")):
            return position + 1, Certainty(sense.value)
        if SEMICOLON in senses or scan.lore.periods.begins(token.folded):
            return None
        if AND in senses:
            after = scan.skip(position + 1, CERTAINTY, FILLER, most=3)
            if KIND in scan.senses(after) or OF_PERIOD in scan.senses(after):
                hedge = scan.sense(position + 1, CERTAINTY)
                sure = Certainty(hedge.value) if hedge is not None else Certainty.CERTAIN
                return after + 1, sure
    return None


def _mark_before(scan: Scan, index: int) -> bool | None:
    """None where no mark is spoken of before a name; else whether it is 'mark and period of'."""
    position = index - 1
    of_period = False
    for _ in range(MOST_BETWEEN):
        senses = scan.senses(position)
        if MARK in senses:
            return of_period
        if OF_PERIOD in senses or (KIND in senses and AND in scan.senses(position - 1)):
            of_period = True
        elif not (FILLER in senses or MARK_WORD in senses or AND in senses or DASH in senses):
            return None
        position -= 1
    return None


def dynasty_number(scan: Scan, index: int) -> Item | None:
    """'Dynasty 18', 'Dynasty XXVI' (of Egypt)."""
    kind = scan.sense(index, KIND)
    number = scan.sense(index + 1, NUMBER) or scan.sense(index + 1, ROMAN)
    if kind is None or kind.value != "dynasty" or number is None:
        return None
    if number.number not in scan.lore.dynasties:
        return None
    return Item(Unit.DYNASTY, index, index + 2, number=number.number, kind_said=True)


def choose(
    rows: tuple[PeriodRow, ...], is_named: Callable[[str], bool]
) -> tuple[tuple[PeriodRow, ...], bool]:
    """Of periods of one name those that other words allow, and whether the choice is sure.

    `is_named` says of a period, dynasty or culture (folded) whether the text or its context names
    it.
    """
    if len(rows) == 1:
        return rows, True
    for of in ("within", "culture"):
        allowed = tuple(row for row in rows if is_named(fold(getattr(row, of))))
        if len(allowed) == 1:
            return allowed, True
    usual = tuple(row for row in rows if row.usual)
    return (usual, False) if len(usual) == 1 else (rows, False)


def ordinal_dynasty(scan: Scan, index: int) -> bool:
    """Whether '18th dynasty' stands at `index` (of Egypt)."""
    kind = scan.sense(index + 1, KIND)
    return ORDINAL in scan.senses(index) and kind is not None and kind.value == "dynasty"
