"""Marks and inscriptions of a text, as statements."""

from __future__ import annotations

import re

from archivist.model.base import Reading, Term
from archivist.model.marks import Legibility, Mark, MarkKind, MarkRelation
from archivist.model.observations import Observation, ObservationKind, Presence
from archivist.reading.dates import claimed_date
from archivist.reading.marks.around import marks_of
from archivist.reading.marks.entries import Entry, Seen, lexicon_of_marks
from archivist.reading.marks.standing import relation_to_date
from archivist.reading.marks.written import (
    CJK_RUN,
    MADE,
    MADE_IN_ROMAN,
    ROMANISED,
    WRITTEN,
    labelled,
    written_marks,
)
from archivist.reading.result import Understood
from archivist.reading.tables import Tables
from archivist.reading.words import Found, Words, fillers, unread_spans

_SECTION_ENDS = frozenset(";\n")

_GAP = re.compile(r"\[[^\]]*(?:illeg|obscured|unclear)[^\]]*\]|\[\?\]|\.\.\.")


def read_marks(text: str, tables: Tables) -> Understood:
    """The marks, inscriptions, labels and tags that `text` tells of, in order.

    'Unmarked' and 'no inscription' are observations: looked for, and not there.
    """
    words = Words(text)
    statements = marks_in(words, tables)
    spans = [(s.reading.start, s.reading.end) for s in statements if s.reading is not None]
    return Understood(
        text=text,
        statements=statements,
        unread=unread_spans(words, spans, fillers(tables)),
    )


def marks_in(
    words: Words, tables: Tables, taken: bytearray | None = None
) -> tuple[Mark | Observation, ...]:
    """As `read_marks`, for readers that keep account of the words themselves."""
    lexicon, heads = lexicon_of_marks(tables)
    text = words.text
    has_head = not heads.isdisjoint(words.folded)
    if (
        not has_head
        and ":" not in words.folded
        and text.isascii()
        and not MADE_IN_ROMAN.intersection(words.folded)
    ):
        return ()
    found = lexicon.find(words.folded, taken)
    statements: list[Mark | Observation] = []
    position = 0
    for first, end in _sections(words):
        inside: list[Found[Entry]] = []
        while position < len(found) and found[position].first < end:
            inside.append(found[position])
            position += 1
        statements.extend(_absent(words, inside))
        headed = labelled(words, inside, first, end, tables)
        seen = [headed] if headed else marks_of(words, inside, first, end, tables)
        statements.extend(_mark(one, text, words, tables) for one in seen)
    covered = [(s.reading.start, s.reading.end) for s in statements if s.reading is not None]
    statements.extend(
        _mark(one, text, words, tables) for one in written_marks(words, found, covered, tables)
    )
    return tuple(sorted(statements, key=lambda s: s.reading.start if s.reading else 0))


def _sections(words: Words) -> list[tuple[int, int]]:
    """Token ranges between semicolons and line ends."""
    sections: list[tuple[int, int]] = []
    first = 0
    for index, token in enumerate(words.folded):
        if token in _SECTION_ENDS:
            if index > first:
                sections.append((first, index))
            first = index + 1
    if len(words) > first:
        sections.append((first, len(words)))
    return sections


def _absent(words: Words, found: list[Found[Entry]]) -> list[Observation]:
    return [
        Observation(
            as_stated=words.between(match.first, match.end),
            reading=Reading(
                rule="no mark",
                confidence="0.9",
                start=words.starts[match.first],
                end=words.ends[match.end - 1],
            ),
            term=Term(label=match.entry.label),
            kind=ObservationKind.MAKING,
            presence=Presence.ABSENT,
        )
        for match in found
        if match.entry.role == "mark absent"
    ]


def _mark(one: Seen, text: str, words: Words, tables: Tables) -> Mark:
    start = words.starts[one.first]
    stop = max(one.stop, words.ends[one.end - 1])
    stated = text[start:stop]
    if one.stop and stop < len(text) and text[stop] in "\"”’»'":
        stop += 1
        stated = text[start:stop]
    characters = one.characters
    if not characters and (run := CJK_RUN.search(stated)):
        characters = run.group()
    if CJK_RUN.fullmatch(characters):
        columns = [column for column in re.split(r"[\s/|]+", characters) if column]
        characters = "\n".join(columns)
        one.columns = one.columns or (len(columns) if len(columns) > 1 else 0)
        one.count = one.count or sum(map(len, columns))
        if characters[-1] in MADE and one.kind in (MarkKind.UNDETERMINED, MarkKind.SEAL):
            one.kind = MarkKind.REIGN
    match = ROMANISED.search(stated)
    romanised = match.group() if match else ""
    claim = match.group(1) if match else " ".join(one.claim)
    written = re.sub(r"\s", "", characters)
    if one.rule == WRITTEN and not claim:
        claim = written
    claims = claimed_date(claim or written, tables) if claim or written else None
    kind = one.kind
    if kind in (MarkKind.UNDETERMINED, MarkKind.SEAL) and (one.claim or romanised):
        kind = MarkKind.REIGN
    relation = one.relation
    if relation is MarkRelation.UNSTATED and claims is not None:
        relation = relation_to_date(claims, one.end, words, tables)
    legibility = one.legibility
    if legibility is Legibility.UNSTATED and _GAP.search(characters):
        legibility = Legibility.PARTIAL
    return Mark(
        as_stated=stated,
        certainty=one.certainty,
        reading=Reading(rule=one.rule, confidence="0.9", start=start, end=stop),
        kind=kind,
        characters=re.sub(r"\s*/\s*", "\n", characters),
        romanised=romanised,
        script=one.script,
        technique=one.technique,
        colour=one.colour,
        place=one.place,
        columns=one.columns,
        count=one.count,
        legibility=legibility,
        claim=claim or (characters if kind in (MarkKind.LABEL, MarkKind.TAG) else ""),
        claims=claims,
        relation=relation,
    )
