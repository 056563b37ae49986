"""How each event follows from the one before it, as far as the text can be trusted to say so.

The convention (AAM, *Guide to Provenance Research*, from memory): ';' where a piece passed
directly, '.' where it did not or nobody knows. It is held to only where a text keeps to it
throughout: a semicolon beside a gap, a full stop before 'his son', a list of sentences show that
its marks are no more than marks. A gap that is said in words or by an ellipsis is one in any text.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from typing import NamedTuple

from archivist.model.provenance import EventKind, Passage
from archivist.reading.level import either, level
from archivist.reading.moments import EventDate
from archivist.reading.tables import Tables

_SET_APART = re.compile(r"\([^()]*\)|\[[^\[\]]*\]|[\"“„«][^\"”“»]*[\"”“»]")


class Link(NamedTuple):
    """One event as far as passages depend on it: the marks before it, whether words or an
    ellipsis say that there is a gap before it, its words, kind and dates."""

    marks: str
    gap: bool
    words: str
    kind: EventKind
    when: EventDate | None


@functools.lru_cache(maxsize=8)
def _follows_on(tables: Tables) -> re.Pattern[str]:
    """Words that refer to whoever had the piece before."""
    names = (
        name
        for row in tables.terms("possessive", "pronoun")
        if row.label in ("theirs", "the one before") and row.language in ("", "en", "de", "nl")
        for name in row.variants
    )
    return re.compile(rf"(?<![^\W_])(?:{either(names)})(?![^\W_])")


@functools.lru_cache(maxsize=8)
def _prose(tables: Tables) -> re.Pattern[str]:
    names = either(name for row in tables.terms("running prose") for name in row.variants)
    return re.compile(rf"(?<![^\W_])(?:{names})(?![^\W_])")


def passages(links: Sequence[Link], tables: Tables) -> tuple[Passage, ...]:
    """The passage to each event."""
    parted = [_parted(links[at - 1], link) if at else False for at, link in enumerate(links)]
    trusted = _keeps_to_convention(links, parted, tables)
    found = []
    for link, apart in zip(links, parted, strict=True):
        if link.gap or apart:
            found.append(Passage.GAP)
        elif not trusted:
            found.append(Passage.UNKNOWN)
        else:
            found.append({";": Passage.DIRECT, ".": Passage.GAP}.get(_mark(link), Passage.UNKNOWN))
    if found:
        found[0] = Passage.UNKNOWN
    return tuple(found)


def _mark(link: Link) -> str:
    """The semicolon or full stop before an event, '' where neither or both stand there."""
    marks = [mark for mark in link.marks if mark in ";."]
    return marks[0] if len(set(marks)) == 1 else ""


def _keeps_to_convention(links: Sequence[Link], parted: Sequence[bool], tables: Tables) -> bool:
    later = links[1:]
    if any(link.gap and ";" in link.marks for link in later):
        return False
    if any(apart and _mark(link) == ";" for link, apart in zip(links, parted, strict=True)):
        return False
    stops = [link for link in later if _mark(link) == "."]
    words = [_SET_APART.sub("", level(link.words)) for link in links]
    if any(_prose(tables).match(one) for one in words):
        return False
    if stops and any(_prose(tables).search(one) for one in words):
        return False
    if any(_follows_on(tables).search(_SET_APART.sub("", level(link.words))) for link in stops):
        return False
    lines_only = all("\n" in link.marks for link in stops)
    return not (stops and lines_only and len(stops) == len(later) > 1)


def _parted(before: Link, link: Link) -> bool:
    """Whether the dates leave years between the end of one stay and the beginning of the next."""
    end = before.when
    if end is None or link.when is None or link.when.date is None:
        return False
    last = None
    if end.until is not None:
        last = end.until.latest
    elif end.date is not None and before.kind is EventKind.STAY and _is_range(end):
        last = end.date.latest
    first = link.when.date.earliest
    return last is not None and first is not None and first > last + 1


def _is_range(when: EventDate) -> bool:
    date = when.date
    if date is None or date.earliest is None or date.latest is None:
        return False
    return "/" in date.edtf and date.latest > date.earliest and not date.edtf.startswith("..")
