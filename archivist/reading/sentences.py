"""Where a sentence ends, and what stands in brackets: a full stop is not always an end."""

from __future__ import annotations

import functools
import re

from archivist.reading.level import either, level
from archivist.reading.tables import Tables
from archivist.reading.words import fold

LAST_WORD = re.compile(r"[^\W\d_]+(?:['’.][^\W\d_]+)*$")
_INITIALS = re.compile(r"(?:\b[^\W\d_]\.)+[^\W\d_]$|\b[^\W\d_]$")
_DAY = re.compile(r"(?<!\d)\d{1,2}$")
_STARTS = re.compile(r"[\s)\]]*\s[\"'“‘(\[]*(.)")
_CLOSES = {"(": ")", "[": "]"}
WORD_WINDOW = 40


@functools.lru_cache(maxsize=8)
def _month(tables: Tables) -> re.Pattern[str]:
    names = either(
        name for w in tables.date_words for names in w.get("months", {}).values() for name in names
    )
    return re.compile(rf"\s*(?:{names})(?![^\W_])")


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


def outside_brackets(text: str) -> bytearray:
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
    before = words[:-1][-WORD_WINDOW:]
    word = LAST_WORD.search(before)
    never, may = _abbreviations(tables)
    return bool(_INITIALS.search(before)) or (
        word is not None and fold(word.group()) in never | may
    )


def ends_sentence(text: str, at: int, tables: Tables) -> bool:
    """Whether the full stop at `at` parts two events."""
    if at + 1 >= len(text) or text[at + 1 : at + 2] == "\n":
        return True
    following = _STARTS.match(text, at + 1)
    note = re.match(r"\s?\[\d{1,2}\]", text[at + 1 : at + 8])
    if following is None and note is None:
        return at + 1 >= len(text.rstrip())
    begins = following.group(1) if following else "["
    capital = begins.isupper() or begins in "[(" or (begins.isalpha() and not begins.islower())
    before = text[max(0, at - WORD_WINDOW) : at]
    word = LAST_WORD.search(before)
    if _DAY.search(before) and _month(tables).match(level(text[at + 1 : at + WORD_WINDOW])):
        return False
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
