"""The years for which a provenance says nothing."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import zip_longest

from archivist.model import Certainty, ObjectRecord, Passage, ProvenanceEvent


def silent_years(record: ObjectRecord, first: int, last: int) -> tuple[int, ...]:
    """The years from `first` to `last` for which the provenance says nothing.

    An event speaks for its own years, up to its `until`; and for those up to the next event where
    that followed directly. Nothing is asked of years before the piece was made.
    """
    if made_after(record, last):
        return ()
    made = record.date.earliest if record.date and record.date.earliest is not None else first
    covered: set[int] = set()
    events = _standing(record)
    for event, following in zip_longest(events, events[1:]):
        covered.update(_spoken_for(event, following, first, last))
    return tuple(year for year in range(max(first, made), last + 1) if year not in covered)


def _spoken_for(
    event: ProvenanceEvent, following: ProvenanceEvent | None, first: int, last: int
) -> Iterable[int]:
    start = event.date.latest if event.date else None
    ends = [
        event.date.latest if event.date else None,
        event.until.earliest if event.until else None,
    ]
    if following is not None and following.passage is Passage.DIRECT and following.date:
        ends.append(following.date.earliest)
    known = [end for end in ends if end is not None]
    if not known:
        return ()
    begin = start if start is not None else min(known)
    return range(max(begin, first), min(max(known), last) + 1)


def made_after(record: ObjectRecord, year: int) -> bool:
    """Whether the piece is held to be made later than `year`."""
    return record.date is not None and (record.date.earliest or year) > year


def reaches(record: ObjectRecord, year: int) -> bool:
    """Whether an event of the provenance is certainly no later than `year`."""
    ends = (
        date.latest
        for event in _standing(record)
        for date in (event.date, event.until)
        if date is not None
    )
    return any(end is not None and end <= year for end in ends)


def _standing(record: ObjectRecord) -> list[ProvenanceEvent]:
    return [event for event in record.provenance if event.certainty is not Certainty.REJECTED]


def spans(years: Iterable[int]) -> list[str]:
    """Years as spans, from the earliest: '1933–1936', '1941'."""
    found: list[list[int]] = []
    for year in years:
        if found and year == found[-1][1] + 1:
            found[-1][1] = year
        else:
            found.append([year, year])
    return [str(first) if first == last else f"{first}–{last}" for first, last in found]
