"""Provenance text into its events: semicolon, full stop and line, outside of brackets.

The convention (AAM, *Guide to Provenance Research*, 2001, as quoted in the CMOA Provenance
Standard v0.1, 2015): ';' where a piece passed directly, '.' where it did not or nobody knows.
A full stop that belongs to an abbreviation or an initial ends nothing.
"""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.model.provenance import Passage
from archivist.reading.tables import Tables
from archivist.reading.words import fold

_NOTES = re.compile(
    r"(?:^|\n)[ \t]*(?:NOTES?|Notes?)\b[ \t]*:?|[\s.\]](?:NOTES?|Notes)[ \t]*:", re.MULTILINE
)
_NOTES_BY_NUMBER = re.compile(r"[.\n]\s{0,3}([({\[]1[)}\]])\.?\s+[^\W\d_]")
_SIGNED_OFF = re.compile(r"[A-Z]{2,4} \d{1,2}/\d{1,2}/\d{2,4}$|[A-Z]{2,4} \w+(?: \d{1,2},)? \d{4}$")
_ONLY_A_DATE = re.compile(r"[\d/]+$|(?:in |on |by |c\.? ?|ca\.? ?)?\d{4}$", re.IGNORECASE)
_NOTE = re.compile(r"(?:^|(?<=[\s:]))(?:[\[({](\d{1,2})[\])}]\.?|(\d{1,2})\.(?=\s))")
_BREAKS = re.compile(r"[;\n.]")
_LAST_WORD = re.compile(r"[^\W\d_]+(?:['’.][^\W\d_]+)*$")
_INITIALS = re.compile(r"(?:\b[^\W\d_]\.)+[^\W\d_]$|\b[^\W\d_]$")
_STARTS = re.compile(r"[\s)\]]*\s[\"'“‘(\[]*(.)")
_CLOSES = {"(": ")", "[": "]"}
_WORD_WINDOW = 40
_LONGEST = 1500
"""Characters beyond which a segment is a story and no event; it stays unread."""


class Segment(NamedTuple):
    """The words of one event, and how they follow from those before."""

    start: int
    end: int
    passage: Passage


class Provenance(NamedTuple):
    """A text taken apart: its segments, and its numbered notes with where the notes begin."""

    segments: tuple[Segment, ...]
    notes: dict[str, str]
    notes_start: int


@functools.lru_cache(maxsize=8)
def _abbreviations(tables: Tables) -> tuple[frozenset[str], frozenset[str]]:
    never: set[str] = set()
    may: set[str] = set()
    for row in tables.terms("abbreviation"):
        if row.label == "never ends":
            never.update(row.variants)
        else:
            may.update(row.variants)
    return frozenset(map(fold, never)), frozenset(map(fold, may))


def split(text: str, tables: Tables) -> Provenance:
    """The segments of `text` in order; empty ones are left out."""
    notes_at = _notes_start(text)
    body = text[:notes_at]
    outside = _outside_brackets(body)
    remarks = _remarks(tables)
    segments: list[Segment] = []
    passage = Passage.UNKNOWN
    start = 0
    pending = Passage.UNKNOWN
    for match in _BREAKS.finditer(body):
        at = match.start()
        if not outside[at]:
            continue
        mark = match.group()
        if mark == "." and not _ends_sentence(body, at, tables):
            continue
        following = {";": Passage.DIRECT, ".": Passage.GAP}.get(mark, Passage.UNKNOWN)
        if _append(segments, body, start, at, passage, remarks) or (
            pending is Passage.UNKNOWN and segments
        ):
            pending = following
        passage = pending if segments else Passage.UNKNOWN
        start = at + 1
    _append(segments, body, start, len(body), passage, remarks)
    return Provenance(tuple(segments), _notes(text[notes_at:]), notes_at)


def _append(
    segments: list[Segment],
    body: str,
    start: int,
    end: int,
    passage: Passage,
    remarks: tuple[str, ...],
) -> bool:
    """Add the segment, unless it is no event: empty, a note's number, a remark, a stray date."""
    words = body[start:end]
    stripped = words.strip(" \t\r,\u00a0")
    if not any(c.isalnum() for c in stripped) or re.fullmatch(r"[\[(]?\d{1,2}[\])]?", stripped):
        if segments and stripped:
            last = segments[-1]
            segments[-1] = last._replace(end=start + len(words.rstrip()))
        return False
    lead = len(words) - len(words.lstrip(" \t\r,\u00a0"))
    first = start + lead
    if len(stripped) > _LONGEST or _is_remark(stripped, remarks):
        return False
    if segments and _ONLY_A_DATE.match(stripped):
        segments[-1] = segments[-1]._replace(end=first + len(stripped))
        return False
    segments.append(Segment(first, first + len(stripped), passage))
    return True


@functools.lru_cache(maxsize=8)
def _remarks(tables: Tables) -> tuple[str, ...]:
    return tuple(fold(name) for row in tables.terms("remark") for name in row.names)


def _is_remark(words: str, remarks: tuple[str, ...]) -> bool:
    """Words of whoever kept the file: 'Under review', initials with a date."""
    return bool(_SIGNED_OFF.match(words)) or fold(words[:40]).startswith(remarks)


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


def _outside_brackets(text: str) -> bytearray:
    """For each character, 1 where it stands in no bracket; a bracket never closed is none."""
    outside = bytearray(b"\x01" * len(text))
    opened: list[tuple[str, int]] = []
    for at, character in enumerate(text):
        if character in _CLOSES:
            opened.append((_CLOSES[character], at))
        elif character in ")]":
            while opened and opened[-1][0] != character and len(opened) > 1:
                opened.pop()
            if opened and opened[-1][0] == character:
                _, first = opened.pop()
                if not opened:
                    outside[first : at + 1] = bytes(at + 1 - first)
        elif character == "\n" and text[at + 1 : at + 2] in ("\n", ""):
            opened.clear()
    return outside


def ends_in_abbreviation(words: str, tables: Tables) -> bool:
    """Whether the full stop at the end of `words` belongs to its last word."""
    before = words[:-1][-_WORD_WINDOW:]
    word = _LAST_WORD.search(before)
    never, may = _abbreviations(tables)
    return bool(_INITIALS.search(before)) or (
        word is not None and fold(word.group()) in never | may
    )


def _ends_sentence(text: str, at: int, tables: Tables) -> bool:
    """Whether the full stop at `at` parts two events."""
    if at + 1 >= len(text) or text[at + 1 : at + 2] == "\n":
        return True
    following = _STARTS.match(text, at + 1)
    note = re.match(r"\s?\[\d{1,2}\]", text[at + 1 : at + 8])
    if following is None and note is None:
        return at + 1 >= len(text.rstrip())
    begins = following.group(1) if following else "["
    capital = begins.isupper() or begins in "[(" or (begins.isalpha() and not begins.islower())
    before = text[max(0, at - _WORD_WINDOW) : at]
    word = _LAST_WORD.search(before)
    if word is None:
        return capital or begins.isdigit()
    never, may = _abbreviations(tables)
    folded = fold(word.group())
    if folded in never and not (folded in may and capital):
        return False
    if _INITIALS.search(before):
        place = re.search(r",\s(?:[^\W\d_]\.)+[^\W\d_]$", before)
        return bool(place) and capital and begins != "("
    if folded in may:
        return capital and begins not in "(["
    return capital or begins.isdigit()
