"""The segments of a provenance, sorted: events, citations that stand among them, and neither.

In the old papers of a dealer the history of a piece, its literature and its exhibitions often
stand in one cell; they are parted here, each under its heading or by its own words.
"""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.model.citations import Citation
from archivist.model.provenance import EventKind
from archivist.model.records import Relation
from archivist.reading.citations.cues import (
    CitedAs,
    Cue,
    cites,
    cue_at,
    cue_within,
    denied,
    heading_at,
    locates,
    may_cite,
    of_another,
)
from archivist.reading.citations.read import citation, continues, looks_cited, parted
from archivist.reading.level import either, level
from archivist.reading.provenance.gaps import gap_at_end
from archivist.reading.provenance.parse import phrases
from archivist.reading.provenance.split import Segment
from archivist.reading.tables import Tables
from archivist.reading.words import Words

_CHANGES = frozenset(
    {
        EventKind.SALE,
        EventKind.GIFT,
        EventKind.DESCENT,
        EventKind.TRANSFER,
        EventKind.EXCHANGE,
        EventKind.LOAN,
        EventKind.SEIZURE,
        EventKind.RESTITUTION,
        EventKind.RETURN,
        EventKind.FIND,
        EventKind.CONSIGNMENT,
        EventKind.COMMISSION,
    }
)


_OTHER_PIECE = re.compile(r"(?:an?|the|its|another|ein|eine|un|une|una|een|le|la|das|die|der)\s")
_SEEN = re.compile(r"\s+(to|by|from)\s")


class Sorted(NamedTuple):
    """Segments that are events, and the citations with relations to other pieces."""

    events: tuple[Segment, ...]
    citations: tuple[Citation | Relation, ...]


def sort(text: str, segments: tuple[Segment, ...], tables: Tables) -> Sorted:
    """Part the citations among the segments from the events."""
    sorter = _Sorter(text, tables)
    for segment in segments:
        sorter.take(segment)
    return Sorted(tuple(sorter.events), tuple(sorter.citations))


class _Sorter:
    def __init__(self, text: str, tables: Tables) -> None:
        self.text = text
        self.plain = level(text)
        self.tables = tables
        self._may_cite = may_cite(self.plain, tables)
        self.events: list[Segment] = []
        self.citations: list[Citation | Relation] = []
        self._section: CitedAs | None = None
        self._open_from = -1
        self._marks = ""
        self._gap = False

    def take(self, segment: Segment) -> None:
        """Sort one segment by the section it stands in, its heading and its own words."""
        start, end = segment.words_start, segment.end
        if not self._may_cite:
            self._events_of(segment)
            return
        heading = heading_at(self.text, self.plain, start, self.tables)
        if heading is not None:
            of_events = heading.cited is CitedAs.PROVENANCE
            self._section = None if of_events else heading.cited
            cites_here = not of_events and heading.cited is not CitedAs.OTHER
            self._open_from = start if cites_here else -1
            if heading.end >= end:
                self._marks += segment.mark
                return
        if self._section is CitedAs.OTHER:
            if heading is not None or "\n" not in segment.mark:
                self._marks += segment.mark
                return
            self._section = None
        body = heading.end if heading is not None and self._section is not None else start
        if self._section is not None and self._goes_on(body, end, heading):
            cue = Cue(self._section, body, body)
            self._cite(start if self._open_from < 0 else self._open_from, end, cue, segment)
            return
        self._section = None
        cue_here = cue_at(self.plain, start, self.tables)
        if cue_here is not None and cue_here.end <= end:
            if denied(self.plain, cue_here, self.tables):
                self._marks += segment.mark
                return
            if self._names_where(cue_here, end):
                self._cite(start, end, cue_here, segment)
                return
        if self._is_of_another(start, end):
            self._cite(start, end, Cue(CitedAs.COMPARISON, start, start), segment)
            return
        if self._adds_a_page(segment):
            return
        self._events_of(segment)

    def _goes_on(self, start: int, end: int, heading: Cue | None) -> bool:
        """Whether a section of citations goes on: its first words always do, later ones unless
        they begin like an event and cite nothing."""
        if heading is not None or self._open_from >= 0:
            return True
        words = Words(self.plain[start : min(end, start + 60)])
        first = phrases(self.tables).match(words.folded, 0) if len(words) else None
        if first is not None and first.entry.role in ("event", "at auction"):
            return False
        return looks_cited(self.plain[start:end], self.tables)

    def _is_of_another(self, start: int, end: int) -> bool:
        """Whether a sentence tells where another piece is cited: 'its companion is in ...'."""
        words = self.plain[start:end]
        return (
            _OTHER_PIECE.match(words) is not None
            and looks_cited(words, self.tables)
            and of_another(words, self.tables)
        )

    def _names_where(self, cue: Cue, end: int) -> bool:
        """Whether more is said of an exhibition than when, or who saw it: that is an event."""
        if cue.cited is not CitedAs.EXHIBITION:
            return True
        seen = _SEEN.match(self.plain, cue.end, end)
        if seen is not None and (
            seen[1] == "to" or not locates(self.plain[cue.end : end], self.tables)
        ):
            return False
        return cites(self.text[cue.end : end], self.tables)

    def _cite(self, start: int, end: int, cue: Cue, segment: Segment) -> None:
        self._open_from = -1
        self._marks += segment.mark
        self._gap = self._gap or segment.gap
        parts = parted(self.text, self.plain, start, end, cue, self.tables)
        for first, stop, inner in parts[:-1]:
            before = citation(self.text, self.plain, first, stop, inner, self.tables)
            self.citations += [before] if before is not None else []
        start, end, cue = parts[-1]
        found = citation(self.text, self.plain, start, end, cue, self.tables)
        if found is None:
            return
        mark = "." if segment.mark.startswith(".") else ";"
        if self.citations and continues(self.citations[-1], found, mark, self.text, self.tables):
            last = self.citations.pop().reading
            begin = last.start if last is not None else start
            again = heading_at(self.text, self.plain, begin, self.tables)
            from_there = Cue(cue.cited, begin, again.end if again is not None else begin)
            found = citation(self.text, self.plain, begin, end, from_there, self.tables) or found
        self.citations.append(found)

    def _adds_a_page(self, segment: Segment) -> bool:
        """Whether words only say on what page or plate the citation before them is."""
        if not self.citations or not segment.mark.startswith("."):
            return False
        last = self.citations[-1].reading
        if last is None or self.text[last.end : segment.words_start].strip(" .\n"):
            return False
        start, end = segment.words_start, segment.end
        cited = CitedAs.LITERATURE
        if isinstance(self.citations[-1], Citation):
            cited = CitedAs(self.citations[-1].kind.value)
        found = citation(self.text, self.plain, start, end, Cue(cited, start, start), self.tables)
        if not isinstance(found, Citation) or found.title or found.venue or found.authors:
            return False
        if not (found.pages or found.number):
            return False
        self._cite(start, end, Cue(cited, start, start), segment)
        return True

    def _events_of(self, segment: Segment) -> None:
        """The events of one segment, without citations after a comma, and each change of hands
        by itself."""
        start, end, first = segment.words_start, segment.end, segment.start
        inner = None
        if self._may_cite:
            inner = cue_within(self.text[start:end], self.plain[start:end], self.tables)
        aside = (0, 0)
        cited_from = end
        if inner is not None:
            cited_from = start + inner.start
            aside = self._aside(cited_from, start, end)
        own_end = end if aside != (0, 0) else self._before(cited_from, start)
        gap_from = gap_at_end(self.text[start:own_end], self.tables)
        stop = own_end if gap_from < 0 else start + gap_from
        marks, gap = self._marks + segment.mark, self._gap or segment.gap
        self._marks, self._gap = "", gap_from >= 0
        for at, (begin, last) in enumerate(changes(self.text[start:stop], self.tables)):
            event = Segment(
                first if at == 0 else start + begin,
                start + last,
                marks if at == 0 else ",",
                gap and at == 0,
                start + begin,
            )
            if event.words_start <= aside[0] < event.end:
                event = event._replace(aside=aside)
            self.events.append(event)
        if gap_from >= 0:
            self.events[-1] = self.events[-1]._replace(end=own_end, aside=(stop, own_end))
        if inner is not None:
            until = aside[1] - 1 if aside != (0, 0) else end
            cue = Cue(inner.cited, cited_from, start + inner.end)
            found = citation(self.text, self.plain, cited_from, until, cue, self.tables)
            if found is not None:
                self.citations.append(found)

    def _before(self, at: int, start: int) -> int:
        """Where the words before `at` end, without the mark that parts them from what follows."""
        return start + len(self.text[start:at].rstrip(" ,(\t")) if at > start else at

    def _aside(self, at: int, start: int, end: int) -> tuple[int, int]:
        """The bracket within an event's words that begins right before `at`, if one does."""
        opened = self._before(at, start)
        if "(" not in self.text[opened:at]:
            return (0, 0)
        closed = self.text.find(")", at, end)
        return (opened, closed + 1) if closed > 0 else (0, 0)


@functools.lru_cache(maxsize=8)
def _joining(tables: Tables) -> re.Pattern[str]:
    names = either(n for row in tables.terms("opening") for n in row.variants)
    return re.compile(
        rf",\s*(?:(?:and|{names}|he|she|they|who)\s+)*$|\s(?:and|und|et|y)\s+(?:(?:{names})\s+)*$"
    )


_ONWARD = re.compile(
    r",\s*(?:and\s+)?((?:by (?:him|her|them)|thence|then|later|afterwards)\s+"
    r"(?:(?:sold|given|passed|bequeathed)\s+)?to\s)"
)


def changes(words: str, tables: Tables) -> list[tuple[int, int]]:
    """Where each change of hands begins and ends in the words of one segment: 'bought by Marr,
    1920, sold to Voss, 1931' are two. A sale with its buyer, or an owner with what he did, is one.
    """
    if "," not in words and " and " not in words:
        return [(0, len(words))]
    tokens = Words(words)
    found = phrases(tables).find(tokens.folded)
    joining = _joining(tables)
    plain = level(words)
    begins = [0]
    changed = False
    for at, match in enumerate(found):
        phrase = match.entry
        if phrase.role != "event":
            continue
        start = tokens.starts[match.first]
        end = tokens.ends[match.end - 1]
        directed = phrase.after in ("receiver", "giver") or (
            at + 1 < len(found)
            and found[at + 1].entry.role in ("receiver", "giver", "by")
            and found[at + 1].first == match.end
        )
        joined = joining.search(plain[max(0, start - 40) : start]) if start else None
        if changed and directed and joined is not None and phrase.kind in _CHANGES:
            begins.append(start)
        if start == 0 or not plain[begins[-1] : start].strip(" ,") or joined is not None:
            changed = changed or (phrase.kind in _CHANGES and end < len(words))
    if changed:
        begins = sorted({*begins, *(match.start(1) for match in _ONWARD.finditer(plain))})
    ends = [*begins[1:], len(words)]
    return [
        (begin, begin + len(words[begin:stop].rstrip(" ,\t")))
        for begin, stop in zip(begins, ends, strict=True)
    ]
