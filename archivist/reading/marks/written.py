"""What stands on a piece: after a colon, in characters, or romanised."""

from __future__ import annotations

import re

from archivist.model.base import Reading
from archivist.model.marks import Mark, MarkKind
from archivist.model.observations import Observation
from archivist.reading.dates import claimed_date
from archivist.reading.marks.around import gather
from archivist.reading.marks.entries import Entry, Seen
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

_WRITTEN_WITH = frozenset(("ink", "pencil"))


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
    one = Seen(first, end, rule="what is written after a colon")
    for match in head:
        gather(one, match, words, tables)
    one.characters = words.text[words.starts[colon + 1] : words.ends[end - 1]].strip()
    return one


def _heads_a_mark(head: list[Found[Entry]]) -> bool:
    """Whether words before a colon speak of a mark: a word for one, ink, or a way and a place.

    'Carved jade: a dragon' does not.
    """
    roles = {f.entry.role for f in head}
    if "mark" in roles or any(f.entry.label in _WRITTEN_WITH for f in head):
        return True
    return "mark technique" in roles and bool(roles & {"part", "mark place", "mark glue"})


def written_marks(words: Words, statements: list[Mark | Observation], tables: Tables) -> list[Mark]:
    """Characters or their romanisation that stand in the text with no word for a mark."""
    text = words.text
    covered = [(s.reading.start, s.reading.end) for s in statements if s.reading is not None]
    marks: list[Mark] = []
    for match in () if text.isascii() else CJK_RUN.finditer(text):
        run = match.group()
        inside = any(s <= match.start() < e for s, e in covered)
        if inside or run[-1] not in MADE:
            continue
        marks.append(_written_mark(match, "", run, text, tables))
    for match in ROMANISED.finditer(text):
        if not any(s <= match.start() < e for s, e in covered):
            marks.append(_written_mark(match, match.group(), match.group(1), text, tables))
    return marks


def _written_mark(
    match: re.Match[str], romanised: str, reign: str, text: str, tables: Tables
) -> Mark:
    start, end = match.span()
    columns = [] if romanised else [c for c in re.split(r"[\s/|]+", reign) if c]
    return Mark(
        as_stated=text[start:end],
        reading=Reading(rule="characters of a mark", confidence="0.9", start=start, end=end),
        kind=MarkKind.REIGN,
        characters="\n".join(columns),
        romanised=romanised,
        columns=len(columns) if len(columns) > 1 else 0,
        count=sum(map(len, columns)),
        claim=reign,
        claims=claimed_date("".join(columns) or reign, tables),
    )
