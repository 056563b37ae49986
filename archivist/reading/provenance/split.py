"""Provenance text into its events: semicolon, full stop and line, outside of brackets.

A full stop that belongs to an abbreviation or an initial ends nothing. What a mark says of the
passage between two events is for `passages`.
"""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.reading.citations.cues import heading_follows
from archivist.reading.provenance.gaps import gap_in_brackets, only_a_gap
from archivist.reading.sentences import LAST_WORD, WORD_WINDOW, ends_sentence, outside_brackets
from archivist.reading.tables import Tables
from archivist.reading.words import fold

_NOTES = re.compile(
    r"(?:^|\n)[ \t]*(?:NOTES?|Notes?)\b[ \t]*:?|[\s.\]](?:NOTES?|Notes)[ \t]*:", re.MULTILINE
)
_NOTES_BY_NUMBER = re.compile(r"[.\n]\s{0,3}([({\[]1[)}\]])\.?\s+[^\W\d_]")
_SIGNED_OFF = re.compile(r"[A-Z]{2,4} \d{1,2}/\d{1,2}/\d{2,4}$|[A-Z]{2,4} \w+(?: \d{1,2},)? \d{4}$")
_ONLY_A_DATE = re.compile(r"[\d/]+$|(?:in |on |by |c\.? ?|ca\.? ?)?\d{4}$", re.IGNORECASE)
_NOTE = re.compile(r"(?:^|(?<=[\s:]))(?:[\[({](\d{1,2})[\])}]\.?|(\d{1,2})\.(?=\s))")
_LIST_MARK = re.compile(r"^[ \t]*(?:\d{1,2}[.)]|[-•*–·])[ \t]+(?=\S)", re.MULTILINE)
_A_NOTE = re.compile(r"[\[(]?\d{1,2}[\])]?")
GAP = "…"
"""The mark of a break that is itself said to be a gap."""
ARROW = "→"
_STUB = 3
"""Letters that dots right after them abbreviate: 'VB...' is a name somebody could not read."""
_LONGEST = 1500
"""Characters beyond which a segment is a story and no event; it stays unread."""


class Segment(NamedTuple):
    """The words of one event: what parts them from those before, and whether a gap is said to be
    between. `start` may lie before the event's own words where words of a gap lead to them;
    `aside` bounds words within them that cite something."""

    start: int
    end: int
    mark: str
    gap: bool
    words_start: int
    aside: tuple[int, int] = (0, 0)

    def own(self, text: str) -> str:
        """The words that tell of the event, of the same length whatever is left out of them."""
        first, end = self.aside
        if first == end:
            return text[self.words_start : self.end]
        return text[self.words_start : first] + " " * (end - first) + text[end : self.end]


class Provenance(NamedTuple):
    """A text taken apart: its segments, and its numbered notes."""

    segments: tuple[Segment, ...]
    notes: dict[str, str]


def split(text: str, tables: Tables) -> Provenance:
    """The segments of `text` in order; empty ones are left out."""
    notes_at = _notes_start(text)
    body = _without_list_marks(text[:notes_at])
    outside = outside_brackets(body)
    remarks = _remarks(tables)
    gathered = _Gathered(body, remarks, tables)
    start = 0
    for match in _breaks(tables).finditer(body):
        at, mark = match.start(), match.group()
        if not _parts(body, match, outside, tables):
            continue
        gathered.add(start, at, mark if mark in ";.\n" else ARROW if _arrow(mark) else GAP)
        start = match.end()
    gathered.add(start, len(body), "")
    return Provenance(tuple(gathered.segments), _notes(text[notes_at:]))


def _parts(body: str, match: re.Match[str], outside: bytearray, tables: Tables) -> bool:
    """Whether a mark parts two events."""
    mark = match.group()
    if mark not in ";.\n":
        return _is_gap(body, match)
    if not outside[match.start()]:
        return False
    return (
        mark != "."
        or ends_sentence(body, match.start(), tables)
        or heading_follows(body, match.end(), tables)
    )


class _Gathered:
    """The segments so far, and what has been seen since the last of them."""

    def __init__(self, body: str, remarks: tuple[str, ...], tables: Tables) -> None:
        self.segments: list[Segment] = []
        self._body = body
        self._remarks = remarks
        self._tables = tables
        self._marks = ""
        self._gap_from = -1

    def add(self, start: int, end: int, following: str) -> None:
        """Add the words from `start` to `end`, unless they are no event: empty, a note's number,
        a remark, a stray date, words for a gap. `following` is the mark after them."""
        self._add(start, end)
        if following == GAP and self._gap_from < 0:
            self._gap_from = end
        self._marks += following

    def _add(self, start: int, end: int) -> None:
        words = self._body[start:end]
        stripped = words.strip(" \t\r,\u00a0")
        segments = self.segments
        if not any(c.isalnum() for c in stripped) or _A_NOTE.fullmatch(stripped):
            if segments and stripped and _A_NOTE.fullmatch(stripped):
                segments[-1] = segments[-1]._replace(end=start + len(words.rstrip()))
            return
        first = start + len(words) - len(words.lstrip(" \t\r,\u00a0"))
        last = first + len(stripped)
        if len(stripped) > _LONGEST or _is_remark(stripped, self._remarks):
            return
        if only_a_gap(stripped, self._tables):
            self._gap_from = first if self._gap_from < 0 else self._gap_from
            return
        if segments and self._gap_from < 0 and _ONLY_A_DATE.match(stripped):
            segments[-1] = segments[-1]._replace(end=last)
            return
        gap = self._gap_from >= 0
        begins = self._gap_from if gap else first
        segments.append(Segment(begins, last, self._marks if segments else "", gap, first))
        self._marks, self._gap_from = "", -1


@functools.lru_cache(maxsize=8)
def _remarks(tables: Tables) -> tuple[str, ...]:
    return tuple(fold(name) for row in tables.terms("remark") for name in row.names)


def _is_remark(words: str, remarks: tuple[str, ...]) -> bool:
    """Words of whoever kept the file: 'Under review', initials with a date."""
    return bool(_SIGNED_OFF.match(words)) or fold(words[:40]).startswith(remarks)


@functools.lru_cache(maxsize=8)
def _breaks(tables: Tables) -> re.Pattern[str]:
    """Whatever may part two events: a mark, an arrow, an ellipsis, a gap in brackets."""
    dots = r"[\[(]?\s?(?:\.{3,}|…|(?:\. ){2,}\.)\s?[\])]?"
    return re.compile(rf"{dots}|{gap_in_brackets(tables)}|[;\n.]|→|\s(?:->|>{{1,2}})\s")


def _arrow(mark: str) -> bool:
    return mark.strip() in ("→", "->", ">", ">>")


def _is_gap(body: str, match: re.Match[str]) -> bool:
    """Whether an ellipsis stands for owners that nobody knows, and not for words left out; an
    arrow is none and yet parts events."""
    if _arrow(match.group()):
        return True
    attached = body[max(0, match.start() - WORD_WINDOW) : match.start()]
    before = LAST_WORD.search(attached.rstrip())
    if before is not None and attached == attached.rstrip() and len(before.group()) <= _STUB:
        return False
    if before is not None and before.group().islower() and match.group()[0] not in "[(":
        return body[match.start() - 1 : match.start()] in (",", ";", "\n")
    following = body[match.end() : match.end() + 3].lstrip(" ,;.")
    return (
        not following
        or not following[0].isalpha()
        or following[0].isupper()
        or (body[match.end() : match.end() + 1] in " ,;.\n")
    )


def _without_list_marks(text: str) -> str:
    """`text` of the same length without numbers and bullets at the beginnings of its lines."""
    marks = list(_LIST_MARK.finditer(text))
    if len(marks) < 2:
        return text
    return _LIST_MARK.sub(lambda match: " " * len(match.group()), text)


def _notes_start(text: str) -> int:
    match = _NOTES.search(text)
    end = match.start() if match else len(text)
    for numbered in _NOTES_BY_NUMBER.finditer(text, 0, end):
        if numbered.group(1) in text[: numbered.start() + 1]:
            return numbered.start() + 1
    return end


def _notes(words: str) -> dict[str, str]:
    """The numbered notes of a notes section, by number."""
    notes: dict[str, str] = {}
    matches = list(_NOTE.finditer(words))
    if not matches:
        return {}
    ends = [m.start() for m in matches[1:]] + [len(words)]
    for match, end in zip(matches, ends, strict=True):
        number = match.group(1) or match.group(2)
        notes.setdefault(number, words[match.end() : end].strip())
    return notes
