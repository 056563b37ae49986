"""How a mark stands to a date that is set against it: 'Qianlong mark but 19th century'."""

from __future__ import annotations

import functools

from archivist.model.base import Certainty
from archivist.model.dates import Date
from archivist.model.marks import MarkRelation
from archivist.model.records import Attribution
from archivist.reading.dates import overall, read_dates
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
    if at >= len(words) or words.folded[at] not in _contrasts(tables):
        return MarkRelation.UNSTATED
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


@functools.lru_cache(maxsize=8)
def _contrasts(tables: Tables) -> frozenset[str]:
    return frozenset(fold(n) for row in tables.terms("mark contrast") for n in row.names)
