"""'Early', 'the first half of the', 'last quarter': which part of a century or period is meant."""

from __future__ import annotations

from archivist.reading.dates.scan import Scan
from archivist.reading.dates.tokens import DASH, DOT, NUMBER, ROMAN
from archivist.reading.dates.words import FILLER, FRACTION, ORDINAL, PART, Sense

_BEGINNING = frozenset({PART, ORDINAL, ROMAN, NUMBER})
_LAST = {"half": 2, "third": 3, "quarter": 4, "decade": 10}


def part(scan: Scan, index: int) -> tuple[int, str, Sense | None]:
    """The part that begins at `index`: where it ends, its key in the conventions, its sense.

    Returns `index`, '' and None where none begins there.
    """
    senses = scan.senses(index)
    if _BEGINNING.isdisjoint(senses) or (NUMBER in senses and DOT not in scan.senses(index + 1)):
        return index, "", None
    fraction = _fraction(scan, index)
    if fraction is not None:
        return fraction
    sense = senses.get(PART)
    if sense is None:
        return index, "", None
    after = scan.skip(index + 1, DASH, DOT, most=1)
    return scan.skip(after, FILLER), sense.value, sense


def _fraction(scan: Scan, index: int) -> tuple[int, str, Sense] | None:
    """'first half of the', '2. Viertel', 'IV quarto del', 'last decade of the'."""
    senses = scan.senses(index)
    ordinal = senses.get(ORDINAL) or senses.get(ROMAN)
    after = index + 1
    if ordinal is None:
        ordinal = senses.get(NUMBER)
        if ordinal is None or DOT not in scan.senses(after):
            return None
        after += 1
    after = scan.skip(after, DASH, most=1)
    fraction = scan.sense(after, FRACTION)
    if fraction is None:
        return None
    number = ordinal.number if ordinal.number > 0 else _LAST[fraction.value]
    if number > _LAST[fraction.value]:
        return None
    after = scan.skip(after + 1, DASH, DOT, most=1)
    return scan.skip(after, FILLER), f"{fraction.value} {number}", fraction
