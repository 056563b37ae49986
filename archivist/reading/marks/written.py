"""What stands on a piece: after a colon, in characters, or romanised."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator

from archivist.model.marks import MarkKind
from archivist.reading.marks.around import gather, words_after
from archivist.reading.marks.entries import WRITTEN_WITH, Entry, Seen
from archivist.reading.tables import Tables
from archivist.reading.words import CJK, Found, Words

CJK_RUN = re.compile(rf"[{CJK}](?:[\s/|]?[{CJK}])+")

MADE = frozenset("製制造")

MADE_IN_ROMAN = frozenset(("nian", "nien", "nianzhi", "nianzao"))

ROMANISED = re.compile(
    r"\b(?:D[aà]|Ta)[\s-]+(?:Q[iī]ng|M[ií]ng|Ch['’]?ing)[\s-]+([\w'’\-\s]{3,20}?)"
    r"[\s-](?:nian|nien)[\s-]*(?:zhi|zao|chih|tsao)\b",
    re.IGNORECASE,
)

_HEAD_LENGTH = 90

WRITTEN = "characters of a mark"
"""The rule that reads characters with no word for a mark."""


def labelled(
    words: Words, found: list[Found[Entry]], first: int, end: int, tables: Tables
) -> Seen | None:
    """'Inscribed, underside: L. M. / 1881': what follows the colon stands on the piece."""
    colon = next((i for i in range(first, end) if words.folded[i] == ":"), -1)
    if colon <= first or colon + 1 >= end:
        return None
    if words.starts[colon] - words.starts[first] > _HEAD_LENGTH:
        return None
    head = [f for f in found if f.end <= colon]
    if not _heads_a_mark(head):
        return None
    covered = sum(f.end - f.first for f in head if f.entry.role != "claim")
    if covered * 2 < colon - first:
        return None
    behind = next((f for f in found if f.first == colon + 1), None)
    if behind is not None and behind.entry.role in _OF_THE_WRITER:
        return None
    end = _sentence_end(words, colon + 1, end)
    one = Seen(first, end, rule="what is written after a colon")
    for match in head:
        gather(one, match, words, tables)
    written = CJK_RUN.match(words.text, words.starts[colon + 1])
    if written is not None and written.group()[-1] in MADE:
        one.characters, one.end = written.group(), words.at(written.end())
        following = bisect_left(found, one.end, key=lambda f: f.first)
        words_after(one, words, found, following, tables)
    else:
        one.characters = words.text[words.starts[colon + 1] : words.ends[end - 1]].strip()
    return one


_OF_THE_WRITER = ("mark relation", "claim", "counted character", "number", "script", "hedge")
"""Words behind a colon that tell of the mark and do not stand in it: 'Mark: apocryphal Wanli'."""
_SHORTEST_LAST_WORD = 4


def _sentence_end(words: Words, index: int, end: int) -> int:
    """Where what is written ends: at a full stop after a whole word, before a capital."""
    for at in range(index + 1, end - 1):
        if (
            words.folded[at] == "."
            and len(words.folded[at - 1]) >= _SHORTEST_LAST_WORD
            and words.starts[at + 1] > words.ends[at]
            and words.text[words.starts[at + 1]].isupper()
        ):
            return at
    return end


def _heads_a_mark(head: list[Found[Entry]]) -> bool:
    """Whether words before a colon speak of a mark: a word for one, ink, or a way and a place.

    'Carved jade: a dragon' does not.
    """
    roles = {f.entry.role for f in head}
    if "mark" in roles or any(f.entry.label in WRITTEN_WITH for f in head):
        return True
    return "mark technique" in roles and bool(roles & {"part", "mark place", "mark glue"})


def written_marks(
    words: Words, found: list[Found[Entry]], covered: list[tuple[int, int]], tables: Tables
) -> Iterator[Seen]:
    """Characters or their romanisation that stand in the text, outside the spans `covered`, with
    no word for a mark; what follows them ('..., apocryphal') is of the mark."""
    text = words.text
    runs = () if text.isascii() else CJK_RUN.finditer(text)
    made = (run for run in runs if run.group()[-1] in MADE)
    for match in (*made, *ROMANISED.finditer(text)):
        if any(start <= match.start() < end for start, end in covered):
            continue
        one = Seen(words.at(match.start()), words.at(match.end()), rule=WRITTEN)
        if match.re is CJK_RUN:
            one.characters = match.group()
        one.kind = MarkKind.REIGN
        following = bisect_left(found, one.end, key=lambda f: f.first)
        words_after(one, words, found, following, tables)
        yield one
