"""Centuries, millennia, decades and turns of centuries, as ordinals and as figures."""

from __future__ import annotations

from archivist.reading.dates.named import ordinal_dynasty, period
from archivist.reading.dates.parts import part
from archivist.reading.dates.pieces import Item, Unit
from archivist.reading.dates.regnal import of_reign, year_of
from archivist.reading.dates.scan import Scan, is_century_shorthand
from archivist.reading.dates.tokens import (
    ANY_LANGUAGE,
    CLOSE,
    COMMA,
    DASH,
    DECADE,
    DOT,
    NUMBER,
    OPEN,
    ROMAN,
    SEMICOLON,
    SLASH,
)
from archivist.reading.dates.words import (
    AND,
    CENTURY,
    CIRCA,
    ERA,
    FRACTION,
    HUNDREDS,
    MILLENNIUM,
    OR,
    ORDINAL,
    PART,
    SHORT_DECADE,
    TO,
    TURN,
    YEAR_WORD,
    Sense,
)

CONNECTORS = (DASH, SLASH, TO, OR, AND)
_MOST_CENTURY = 21
_ENDINGS = {"e": frozenset({"fr"}), "c": ANY_LANGUAGE}
"""What closes a Roman number of a century: 'XVIe', 'XVIc'."""
_COMPARED = frozenset(("later", "earlier", "spater", "fruher"))
_ENDS = frozenset({COMMA, SEMICOLON, CLOSE, DOT, OPEN})


def era_at(scan: Scan, index: int) -> tuple[str, int]:
    """The era after a number, past a full stop or comma: ('bce', end), or ('', index)."""
    at = index
    sense = scan.sense(at, ERA)
    if sense is None and DOT in scan.senses(at):
        at += 1
        sense = scan.sense(at, ERA)
    return (sense.value, at + 1) if sense is not None else ("", index)


def century_word_first(scan: Scan, index: int) -> Item | None:
    """'siglo XVIII', 'sec. XVIII a.C.', 'C18th'."""
    century = scan.sense(index, CENTURY)
    if century is None:
        return None
    token = scan.at(index)
    following = scan.at(index + 1)
    if token.folded == "c":
        number = following.senses.get(NUMBER) or following.senses.get(ORDINAL)
        if number is None or not is_century_shorthand(scan, index):
            return None
        return _century(scan, index, index + 2, number.number, ANY_LANGUAGE)
    languages = century.languages - {"en"}
    if not languages:
        return None
    at = scan.skip(index + 1, DOT, most=1)
    number = scan.sense(at, ROMAN)
    if number is None and len(token.folded) > 2:
        number = scan.sense(at, NUMBER) or scan.sense(at, ORDINAL)
    if number is None or not 1 <= number.number <= _MOST_CENTURY:
        return None
    return _century(scan, index, at + 1, number.number, languages)


def _century(scan: Scan, start: int, end: int, number: int, languages: frozenset[str]) -> Item:
    """A century, with a full stop of an abbreviation, an era and a part behind it taken in."""
    era, end = era_at(scan, end)
    found = Item(Unit.CENTURY, start, end, number=number, era=era, languages=languages)
    _take_part_behind(scan, found)
    return found


def _take_part_behind(scan: Scan, found: Item) -> None:
    """'18th century/late', '19. Jh., 2. Hälfte', 'XVIIe siècle (1re moitié)': a part that stands
    alone behind its century."""
    end = scan.skip(found.end, DOT, most=1)
    opened = OPEN in scan.senses(end)
    parted = opened or COMMA in scan.senses(end) or SLASH in scan.senses(end)
    first = end + 1 if parted else end
    if not parted and found.end == end and FRACTION not in scan.senses(end + 1):
        return
    after, key, sense = part(scan, first)
    if sense is None or scan.at(after - 1).folded in _COMPARED:
        return
    closes = CLOSE in scan.senses(after) if opened else after >= scan.count
    if not opened and parted and not closes:
        closes = not _ENDS.isdisjoint(scan.senses(after)) or scan.text[scan.at(after).start] == "\n"
    if closes and scan.senses(after - 1).keys() & {PART, FRACTION, DOT}:
        found.part, found.end = key, after + opened


def turn(scan: Scan, index: int) -> Item | None:
    """'turn of the century', 'turn of the 20th century', 'turn of the 18th/19th century'."""
    if TURN not in scan.senses(index):
        return None
    if CENTURY in scan.senses(index + 1):
        number = scan.sense(index + 2, NUMBER)
        if number is not None and number.number % 100 == 0 and len(number.value) == 4:
            return Item(Unit.TURN, index, index + 3, number=number.number // 100 + 1)
        return Item(Unit.TURN, index, index + 2, number=20, confidence="0.7")
    end = index + 1
    last: Sense | None = None
    for _ in range(2):
        ordinal = scan.sense(end, ORDINAL) or scan.sense(end, ROMAN)
        if ordinal is None:
            break
        last, end = ordinal, end + 1
        if any(kind in scan.senses(end) for kind in CONNECTORS):
            end += 1
    end = scan.skip(end, DASH, most=1)
    if last is None or CENTURY not in scan.senses(end):
        return None
    return Item(Unit.TURN, index, end + 1, number=last.number)


def ordinal_item(scan: Scan, index: int, has_part: bool) -> Item | None:
    """'18th century', 'XVIIIe siècle', '18. Jahrhundert', '26th Dynasty', '3rd millennium BC'."""
    senses = scan.senses(index)
    ordinal = senses.get(ORDINAL) or senses.get(ROMAN)
    end = index + 1
    if ordinal is None:
        ordinal = senses.get(NUMBER)
        if ordinal is None or len(ordinal.value) > 2 or not ordinal.number:
            return None
        if DOT in scan.senses(end):
            end += 1
            follows = scan.senses(end)
            if not (CENTURY in follows or SLASH in follows or DASH in follows):
                return None
            if CENTURY not in follows:
                languages = ANY_LANGUAGE - {"en"}
                return Item(Unit.ORDINAL, index, end, number=ordinal.number, languages=languages)
        elif not _is_century_behind(scan, scan.skip(end, DASH, most=1), ordinal.number):
            return None
    if ordinal.number < 1:
        return None
    counted = year_of(scan, index)
    if counted is not None:
        number, at = counted
        named = period(scan, at)
        if named is not None and named.unit is Unit.PERIOD:
            return of_reign(named, number, index)
        return None
    if ordinal_dynasty(scan, index) and ordinal.number in scan.lore.dynasties:
        return Item(Unit.DYNASTY, index, index + 2, number=ordinal.number, kind_said=True)
    at = scan.skip(end, DASH, DOT, most=1)
    century = scan.sense(at, CENTURY)
    if century is not None:
        return _century(scan, index, at + 1, ordinal.number, century.languages)
    if MILLENNIUM in scan.senses(at):
        era, after = era_at(scan, at + 1)
        languages = scan.senses(at)[MILLENNIUM].languages
        return Item(
            Unit.MILLENNIUM, index, after, number=ordinal.number, era=era, languages=languages
        )
    if ordinal.number > 60:
        return None
    raw = scan.text[scan.at(index).start : scan.at(index).end]
    clear = raw[0].isupper() or len(raw) > 3  # 'xie' is a name
    if ROMAN in senses and raw[-1] in "ec" and ordinal.number >= 9 and clear:
        found = _century(scan, index, end, ordinal.number, _ENDINGS[raw[-1]])
        found.confidence = "0.9"
        return found
    if ROMAN in senses and ORDINAL not in senses and ordinal.number < 9 and not has_part:
        return None
    return Item(Unit.ORDINAL, index, end, number=ordinal.number, languages=ANY_LANGUAGE - {"en"})


def _is_century_behind(scan: Scan, index: int, number: int) -> bool:
    """'18 century', and '18C': a capital close behind a number of two figures."""
    token = scan.at(index)
    if CENTURY not in token.senses or len(token.folded) > 1:
        return CENTURY in token.senses
    return not token.spaced and scan.text[token.start] == "C" and 9 <= number <= _MOST_CENTURY


def decade(scan: Scan, index: int, has_part: bool) -> Item | None:
    """'1880s', 'the late 40s', 'années 1830', 'Settecento'."""
    senses = scan.senses(index)
    if (said := senses.get(DECADE)) is not None:
        era, end = era_at(scan, _after_years(scan, index + 1))
        return Item(Unit.DECADE, index, end, number=said.number, era=era, languages=ANY_LANGUAGE)
    if (said := senses.get(SHORT_DECADE)) is not None:
        circa_before = CIRCA in scan.senses(index - 1) or CIRCA in scan.senses(index - 2)
        marked = not scan.text[scan.at(index).start].isalnum() or " " in scan.at(index).folded
        ends_range = scan.senses(index - 1).keys() & {DASH, SLASH} and scan.senses(
            index - 2
        ).keys() & {NUMBER, DECADE}
        if not ends_range and (has_part or circa_before or marked or scan.permissive):
            return Item(
                Unit.DECADE,
                index,
                _after_years(scan, index + 1),
                number=1900 + said.number,
                confidence="0.7",
                languages=ANY_LANGUAGE,
                convention=f"{said.value}s: of the twentieth century",
            )
        return Item(Unit.SHORT_DECADE, index, index + 1, number=said.number)
    if (hundreds := senses.get(HUNDREDS)) is not None:
        if scan.at(index).folded == "" and not (has_part or scan.permissive):
            return None  # "'700 pieces'" opens a quotation
        return Item(
            Unit.CENTURY,
            index,
            index + 1,
            number=hundreds.number // 100 + 1,
            languages=hundreds.languages,
        )
    years = senses.get(YEAR_WORD)
    if years is not None and "en" not in years.languages:
        at = index + 1 + _is_apostrophe(scan, index + 1)
        number = scan.sense(at, NUMBER)
        if number is None or number.number % 10 or len(number.value) not in (2, 4):
            return None
        short = len(number.value) == 2
        return Item(
            Unit.DECADE,
            index,
            at + 1,
            number=number.number + 1900 * short,
            confidence="0.9" if short else "1",
            languages=years.languages,
        )
    return None


def _after_years(scan: Scan, index: int) -> int:
    """After 'Jahre' in '1920er Jahre'."""
    years = scan.sense(index, YEAR_WORD)
    return index + 1 if years is not None and "de" in years.languages else index


def _is_apostrophe(scan: Scan, index: int) -> bool:
    return scan.text[scan.at(index).start : scan.at(index).end] in ("'", "’", "‘")
