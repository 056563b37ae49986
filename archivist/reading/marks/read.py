"""Marks and inscriptions of a text, as statements."""

from __future__ import annotations

import re

from archivist.model.base import Reading, Term
from archivist.model.marks import Legibility, Mark, MarkKind, MarkRelation
from archivist.model.observations import Observation, ObservationKind, Presence
from archivist.reading.dates import claimed_date
from archivist.reading.marks.around import marks_of
from archivist.reading.marks.entries import Entry, Seen, endings_of, lexicon_of_marks
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
    compounds = endings_of(tables).found(words, taken)
    if (
        not has_head
        and not compounds
        and ":" not in words.folded
        and text.isascii()
        and not MADE_IN_ROMAN.intersection(words.folded)
    ):
        return ()
    found = _with_compounds(_seals(words, lexicon.find(words.folded, taken)), compounds)
    if not MADE_IN_ROMAN.isdisjoint(words.folded):
        romanised = [match.span() for match in ROMANISED.finditer(text)]
        found = [f for f in found if f.entry.role != "mark" or not _within(words, f, romanised)]
    statements: list[Mark | Observation] = []
    position = 0
    known = False
    for first, end in _sections(words):
        inside: list[Found[Entry]] = []
        while position < len(found) and found[position].first < end:
            inside.append(found[position])
            position += 1
        statements.extend(_absent(words, inside))
        headed = labelled(words, inside, first, end, tables)
        seen = [headed] if headed else marks_of(words, inside, first, end, tables)
        known = known or any(not one.is_bare for one in seen)
        statements.extend(
            _mark(one, text, words, tables)
            for one in seen
            if not (known and one.is_bare and _refers_back(one, words))
        )
    covered = [(s.reading.start, s.reading.end) for s in statements if s.reading is not None]
    statements.extend(
        _mark(one, text, words, tables) for one in written_marks(words, found, covered, tables)
    )
    return tuple(sorted(statements, key=lambda s: s.reading.start if s.reading else 0))


def _within(words: Words, match: Found[Entry], spans: list[tuple[int, int]]) -> bool:
    return any(start <= words.starts[match.first] < end for start, end in spans)


def _seals(words: Words, found: list[Found[Entry]]) -> list[Found[Entry]]:
    """'Impressed seal', 'iron-red seal': the seal itself, where no 'mark' or 'script' follows."""
    made = list(found)
    for number, match in enumerate(found):
        if words.folded[match.first : match.end] != ["seal"] or not number:
            continue
        before = found[number - 1]
        after = found[number + 1] if number + 1 < len(found) else None
        goes_on = after is not None and after.first == match.end and after.entry.role in _OF_SCRIPT
        if before.end == match.first and before.entry.role in _WAYS and not goes_on:
            made[number] = match._replace(entry=_SEAL)
    return made


_SEAL = Entry("mark", MarkKind.SEAL.value, script="seal")
_WAYS = ("mark technique", "mark colour")
_OF_SCRIPT = ("mark", "script", "counted character")


def _with_compounds(found: list[Found[Entry]], compounds: list[Found[Entry]]) -> list[Found[Entry]]:
    """The words of the tables with compound words for marks among them."""
    if not compounds:
        return found
    taken = {index for match in found for index in range(match.first, match.end)}
    free = [match for match in compounds if match.first not in taken]
    return sorted((*found, *free), key=lambda match: match.first)


def _refers_back(one: Seen, words: Words) -> bool:
    """Whether 'the mark', 'its mark' only speaks again of a mark that was told of before."""
    return one.kind is MarkKind.UNDETERMINED or (
        one.first > 0 and words.folded[one.first - 1] in _DEFINITE
    )


_DEFINITE = frozenset(("the", "its", "this", "that", "die", "der", "das", "diese", "la", "le"))
_DEFINITE |= frozenset(("het", "de", "il", "el", "sa", "sua", "su", "seine", "ihre", "cette"))


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
    said = claim or one.dated or written
    claims = claimed_date(said, tables) if said else None
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
