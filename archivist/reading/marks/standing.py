"""How a mark stands to a date that is set against it: 'Qianlong mark but 19th century'."""

from __future__ import annotations

import functools

from archivist.model.base import Certainty
from archivist.model.dates import Date
from archivist.model.marks import MarkRelation
from archivist.model.records import Attribution
from archivist.reading.dates import overall, read_dates
from archivist.reading.marks.entries import PERIOD_WORDS
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fold

_ENDS = frozenset(",;:.\n()")


def relation_to_date(claims: Date | None, end: int, words: Words, tables: Tables) -> MarkRelation:
    """What a date says of the mark that ends before token `end` and claims `claims`.

    Only where the writer sets them against each other ('but', 'though'): a date that begins
    after the claim ends makes the mark later than it claims. One that does not, or that is not
    certain, leaves it undetermined, as the writer doubts the mark without saying so outright.
    """
    at = end + (words.folded[end : end + 1] == [","])
    if at >= len(words):
        return MarkRelation.UNSTATED
    if words.folded[at] not in _contrasts(tables):
        return _beside_a_period(claims, end, words, tables)
    stop = at + 1
    while stop < len(words) and words.folded[stop] not in _ENDS:
        stop += 1
    understood = read_dates(words.between(at + 1, stop), tables)
    date = overall(understood)
    if date is None or claims is None or claims.latest is None:
        return MarkRelation.UNSTATED
    certain = all(
        s.certainty is Certainty.CERTAIN
        for s in understood.statements
        if isinstance(s, Attribution)
    )
    if certain and date.earliest is not None and date.earliest > claims.latest:
        return MarkRelation.LATER_THAN_IT_CLAIMS
    return MarkRelation.UNDETERMINED


def _beside_a_period(claims: Date | None, end: int, words: Words, tables: Tables) -> MarkRelation:
    """'Xuande mark, Kangxi period': the convention of the trade for a mark of an earlier reign.

    Only where the period is called one and begins after the claim has ended; a century or a year
    says nothing of the mark. Common practice, no source.
    """
    if claims is None or claims.latest is None or words.folded[end : end + 1] != [","]:
        return MarkRelation.UNSTATED
    stop = end + 1
    while stop < len(words) and words.folded[stop] not in _ENDS:
        stop += 1
    if not PERIOD_WORDS.intersection(words.folded[end + 1 : stop]):
        return MarkRelation.UNSTATED
    found = read_dates(words.between(end + 1, stop), tables)
    date = overall(found)
    later = date is not None and date.earliest is not None and date.earliest > claims.latest
    sure = all(s.certainty is Certainty.CERTAIN for s in found.statements)
    return MarkRelation.LATER_THAN_IT_CLAIMS if later and sure else MarkRelation.UNSTATED


@functools.lru_cache(maxsize=8)
def _contrasts(tables: Tables) -> frozenset[str]:
    return frozenset(fold(n) for row in tables.terms("mark contrast") for n in row.names)
