"""Dates in Chinese and Japanese characters: periods, regnal and cyclical years, centuries.

Characters stand in runs without spaces, so that a run is taken apart from its beginning: 清康熙
is the reign of the second, 明末清初 runs from the one to the other, 十八世紀後半 is a part of a
century. What ends in 年製 ('made in the years of') is a mark and no date.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from archivist.model.edtf import year as edtf_year
from archivist.reading.dates.lore import Lore
from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.regnal import in_cycle, year_in_reign
from archivist.reading.dates.scan import Scan
from archivist.reading.dates.settle import settle
from archivist.reading.dates.tokens import HAN, NUMBER, Token
from archivist.reading.spelling import fold
from archivist.reading.tables import PeriodRow

_MADE = re.compile(r"^(?:年?[製制造]|[御禦][製制])")
_YEAR_OF_REIGN = re.compile(r"^([一二三四五六七八九十元廿卅壹貳參拾]{1,4})年")
_YEAR_IN_FIGURES = re.compile(r"[一二][一二三四五六七八九〇零]{3}年")
_NUMERALS = re.compile(r"[一二三四五六七八九十廿卅]{1,3}")
_LONGEST_NAME = 6
_LONGEST_WORD = 3
_MOST_CENTURY = 21


class _Named(NamedTuple):
    """A period at the start of some characters, its part, and what is left."""

    rows: tuple[PeriodRow, ...]
    part: str
    rest: str


def divided(tokens: list[Token], lore: Lore) -> list[Token]:
    """`tokens` with each run of characters parted after the date that it begins with, so that
    what follows (清中期|青花) is not taken for read."""
    if not any(HAN in token.senses for token in tokens):
        return tokens
    parted: list[Token] = []
    for token in tokens:
        length = _length(lore, token.folded) if HAN in token.senses else 0
        if 0 < length < len(token.folded):
            middle = token.start + length
            first, rest = token.folded[:length], token.folded[length:]
            parted.append(token._replace(folded=first, end=middle))
            parted.append(Token(token.senses, rest, middle, token.end, False))
        else:
            parted.append(token)
    return parted


def _length(lore: Lore, written: str) -> int:
    """How many characters make up the date at the start of a run, 0 where they make a mark."""
    if (figures := _YEAR_IN_FIGURES.match(written)) is not None:
        return 0 if _MADE.match(written[figures.end() - 1 :]) else figures.end()
    rest = _period(lore, written).rest
    if rest == written and written.startswith("大"):
        rest = _period(lore, written[1:]).rest
    following = _period(lore, rest)
    rest = following.rest if following.rows and rest != written else rest
    if rest == written:
        rest = _after_century(lore, written)
    if rest[:2] in lore.cycle:
        rest = rest[2:]
        rest = rest[1:] if rest.startswith("年") and not _MADE.match(rest) else rest
    elif (counted := _YEAR_OF_REIGN.match(rest)) is not None and rest != written:
        rest = rest[counted.end() :]
    return 0 if _MADE.match(rest) else len(written) - len(rest)


def _after_century(lore: Lore, written: str) -> str:
    """What follows 世紀後半 (after a number in figures) or 十八世紀後半."""
    numerals = _NUMERALS.match(written)
    begins = numerals.end() if numerals is not None else 0
    after = _word(lore, "century", written[begins:])[1]
    return _word(lore, "part", after)[1] if after != written[begins:] else written


def number_of(lore: Lore, characters: str) -> int:
    """A number up to 99 in Chinese or Japanese numerals: 十二 is 12, 二十 is 20, 元 is 1."""
    values = [lore.numerals[c] for c in characters]
    total = 0
    for place, value in enumerate(values):
        follows_ten = place + 1 < len(values) and values[place + 1] == 10
        if value == 10 and place and values[place - 1] < 10:
            total += values[place - 1] * 10
        elif not follows_ten or value >= 10:
            total += value
    return total


def in_characters(scan: Scan, index: int) -> Item | None:
    """What the characters at token `index` say: 康熙, 光緒丙子, 明治三十年, 昭和12年, 十八世紀."""
    written = scan.at(index).folded
    lore = scan.lore
    century = _century_in_numerals(scan, index)
    if century is not None:
        return century
    if _YEAR_IN_FIGURES.fullmatch(written):
        year = int("".join(str(lore.numerals.get(c, 0)) for c in written[:4]))
        return Item(Unit.YEAR, index, index + 1, number=year, digits=4)
    named = _period(lore, written)
    if not named.rows and written.startswith("大"):  # 'great', before the name of a dynasty
        named = _period(lore, written[1:])
    rows, part, rest = named
    if not rows and (not rest or rest[:2] not in lore.cycle):
        return None
    if _MADE.match(rest):
        return None
    place = lore.cycle.get(rest[:2])
    if place is not None:
        return None if _MADE.match(rest[2:]) else in_cycle(scan, index, index + 1, place, rows)
    row = rows[0]
    counted = _YEAR_OF_REIGN.match(rest)
    if counted is not None and row.kind in ("reign", "era"):
        if _MADE.match(rest[counted.end() :]):
            return None
        return year_in_reign(row, number_of(lore, counted[1]), index, index + 1)
    number = scan.sense(index + 1, NUMBER)
    if not rest and number is not None and scan.at(index + 2).folded.startswith("年"):
        return year_in_reign(row, number.number, index, index + 3)
    item = Item(Unit.PERIOD, index, index + 1, rows=rows, kind_said=True, part=part)
    following = _period(lore, rest)
    return _transition(scan, item, following) if following.rows else item


def century_of_figures(scan: Scan, index: int) -> Item | None:
    """'18世紀後半': a number with the characters for 'century' close behind."""
    number = scan.sense(index, NUMBER)
    if number is None or HAN not in scan.senses(index + 1):
        return None
    return _century(scan, index, index + 2, number.number, scan.at(index + 1).folded)


def _century_in_numerals(scan: Scan, index: int) -> Item | None:
    lore, written = scan.lore, scan.at(index).folded
    numerals = _NUMERALS.match(written)
    if numerals is None:
        return None
    number = number_of(lore, numerals[0])
    return _century(scan, index, index + 1, number, written[numerals.end() :])


def _century(scan: Scan, start: int, end: int, number: int, rest: str) -> Item | None:
    lore = scan.lore
    after = _word(lore, "century", rest)[1]
    if after == rest or not 1 <= number <= _MOST_CENTURY:
        return None
    return Item(Unit.CENTURY, start, end, number=number, part=_word(lore, "part", after)[0])


def _period(lore: Lore, written: str) -> _Named:
    """The period that characters begin with, the narrower where one of another follows (清康熙),
    and the part of it that is named (清末)."""
    rows, rest = _longest(lore, written)
    while rows:
        inner, after = _longest(lore, rest)
        within = {row.within for row in inner}
        if not inner or not any(row.label in within for row in rows):
            break
        rows, rest = inner, after
    if not rows:
        return _Named((), "", written)
    after = _word(lore, "time", rest)[1]
    part, after_part = _word(lore, "part", after)
    if part and all(row.kind != "era" or row.last is not None for row in rows):
        return _Named(rows, part, after_part)
    return _Named(rows, "", after)


def _longest(lore: Lore, written: str) -> tuple[tuple[PeriodRow, ...], str]:
    for length in range(min(_LONGEST_NAME, len(written)), 0, -1):
        if (found := lore.characters.get(written[:length])) is not None:
            return found, written[length:]
    return (), written


def _word(lore: Lore, kind: str, written: str) -> tuple[str, str]:
    """The longest word of `kind` that characters begin with, as the table calls it, and the rest;
    '' and all of them where there is none."""
    words = lore.han_words
    for length in range(min(_LONGEST_WORD, len(written)), 0, -1):
        label = words.get((kind, written[:length]))
        if label is not None:
            return label, written[length:]
    return "", written


def _transition(scan: Scan, first: Item, following: _Named) -> Item:
    """明末清初: from the late Ming to the early Qing."""
    last = Item(Unit.PERIOD, first.start, first.end, rows=following.rows, part=following.part)
    for one in (first, last):
        one.rows = _of_the_same(one.rows, first.rows[0])
        settle(one, scan.lore.conventions)
    if last.last is None or last.last < first.first:
        return first
    return Item(
        Unit.CALENDAR,
        first.start,
        first.end,
        first=first.first,
        last=last.last,
        edtf=edtf_year(first.first),
        edtf_last=edtf_year(last.last),
        rows=(first.rows[0], last.rows[0]),
        kind_said=True,
        rule=f"{first.rule} range",
        convention="; ".join(filter(None, (first.convention, last.convention))),
    )


def _of_the_same(rows: tuple[PeriodRow, ...], row: PeriodRow) -> tuple[PeriodRow, ...]:
    """Of periods of one name those of the culture of `row`, or all where there is none."""
    return tuple(r for r in rows if fold(r.culture) == fold(row.culture)) or rows
