"""One item of a date: a year, decade, century, millennium, month, period, or a part of one."""

from __future__ import annotations

from archivist.model.base import Certainty
from archivist.reading.dates.centuries import (
    CONNECTORS,
    century_word_first,
    decade,
    era_at,
    ordinal_item,
    turn,
)
from archivist.reading.dates.characters import century_of_figures
from archivist.reading.dates.days import day_month_or_season
from archivist.reading.dates.named import (
    dynasty_number,
    name_of_several_words,
    period,
)
from archivist.reading.dates.parts import part
from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.regnal import cyclical, hijri, regnal
from archivist.reading.dates.scan import Scan, qualifiers
from archivist.reading.dates.settle import weaker
from archivist.reading.dates.tokens import (
    ANY_LANGUAGE,
    DASH,
    DOT,
    NUMBER,
)
from archivist.reading.dates.words import (
    ERA,
    FILLER,
    KIND,
    Sense,
)

FIRST_YEAR, LAST_YEAR = 1000, 2100
"""Numbers of four figures between these may be years where nothing says so."""


def item(scan: Scan, start: int) -> Item | None:
    """The item that begins at token `start` with the words that qualify it, or None."""
    index, circa, certainty = qualifiers(scan, start)
    after, part_key, part_sense = part(scan, index)
    if scan.at(index).senses and (whole := name_of_several_words(scan, index)) is not None:
        whole.start, whole.circa = start, circa
        whole.certainty = weaker(whole.certainty, certainty)
        return whole
    if part_sense is not None:
        after, more_circa, more_certainty = qualifiers(scan, after)
        circa = circa or more_circa
        certainty = more_certainty if certainty is Certainty.CERTAIN else certainty
    found = _head(scan, after, bool(part_key))
    if found is None and part_sense is not None and _is_joined(scan, index, after):
        found = Item(Unit.PART, after, after, languages=part_sense.languages)
    if found is None:
        return None
    if part_sense is not None:
        if found.unit is not Unit.PART and not _same_language(part_sense, found):
            return None
        found.part = part_key
    found.start = start
    found.circa = found.circa or circa
    found.certainty = weaker(found.certainty, certainty)
    return found


def _is_joined(scan: Scan, index: int, after: int) -> bool:
    """Whether a part without its century is joined to another ('mid- to late-19th century')."""
    if any(kind in scan.senses(after) for kind in CONNECTORS):
        return True
    return DASH in scan.senses(after - 1) and after > index + 1


def _same_language(sense: Sense, found: Item) -> bool:
    """'fine XVIII secolo' is Italian; 'a fine 18th century bowl' is not."""
    if "en" in sense.languages:
        return True
    return bool(sense.languages & found.languages)


def _head(scan: Scan, index: int, has_part: bool) -> Item | None:
    token = scan.at(index)
    senses = token.senses
    if senses:
        if (year := _plain_year(scan, index)) is not None:
            return year
        found = (
            turn(scan, index)
            or hijri(scan, index)
            or _after_era(scan, index)
            or century_word_first(scan, index)
            or century_of_figures(scan, index)
            or day_month_or_season(scan, index)
            or ordinal_item(scan, index, has_part)
            or _number(scan, index)
            or decade(scan, index, has_part)
            or dynasty_number(scan, index)
        )
        if found is not None:
            return found
    if token.folded:
        return _named(scan, index) or _kind_first(scan, index)
    return None


def _kind_first(scan: Scan, index: int) -> Item | None:
    """'époque Kangxi', 'dinastia Ming': the word for what it is goes before the name."""
    kind = scan.sense(index, KIND)
    if kind is None or "en" in kind.languages:
        return None
    found = period(scan, scan.skip(index + 1, FILLER, most=2))
    return found if found is not None and found.unit is Unit.PERIOD else None


def _plain_year(scan: Scan, index: int) -> Item | None:
    """A year of four figures with nothing behind it that could make it anything else."""
    number = scan.senses(index).get(NUMBER)
    if number is None or len(number.value) != 4:
        return None
    if not FIRST_YEAR <= number.number <= LAST_YEAR:
        return None
    following = scan.senses(index + 1)
    if following and DASH not in following:
        return None
    return Item(Unit.YEAR, index, index + 1, number=number.number, digits=4, languages=ANY_LANGUAGE)


def _named(scan: Scan, index: int) -> Item | None:
    found = period(scan, index)
    if found is not None:
        if found.unit is Unit.PERIOD:
            return regnal(scan, found) or found
        return found
    return cyclical(scan, index)


def _after_era(scan: Scan, index: int) -> Item | None:
    """'AD 265', 'BC 200'."""
    era = scan.sense(index, ERA)
    if era is None:
        return None
    at = scan.skip(index + 1, DOT, FILLER, most=1)
    number = scan.sense(at, NUMBER)
    if number is None or len(number.value) > 5 or "en" not in era.languages:
        return None
    if not scan.at(at).spaced and at == index + 1:
        return None  # a number of something: 'AC112'
    return Item(
        Unit.YEAR,
        index,
        at + 1,
        number=number.number,
        digits=len(number.value),
        era=era.value,
        languages=ANY_LANGUAGE,
    )


def _number(scan: Scan, index: int) -> Item | None:
    number = scan.sense(index, NUMBER)
    if number is None:
        return None
    digits = len(number.value)
    era, end = era_at(scan, index + 1)
    unit = Unit.NUMBER
    if era or (digits == 4 and FIRST_YEAR <= number.number <= LAST_YEAR):
        unit = Unit.YEAR
    if unit is Unit.YEAR and scan.at(end).folded == "年":
        end += 1
    return Item(
        unit, index, end, number=number.number, digits=digits, era=era, languages=ANY_LANGUAGE
    )
