"""Marks and inscriptions: what is written on a piece, and how that stands to the date held.

A mark is what is written; a date is what somebody holds. A reign in a mark becomes what the mark
claims, and never the date of the piece.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass, field
from typing import NamedTuple

from archivist.model.base import Certainty, Reading, Term
from archivist.model.marks import Legibility, Mark, MarkKind, MarkRelation, Script
from archivist.model.observations import Observation, ObservationKind, Presence
from archivist.reading.dates import claimed_date
from archivist.reading.result import Understood
from archivist.reading.tables import Tables
from archivist.reading.words import CJK, Found, Lexicon, Words, fillers, unread_spans

_SECTION_ENDS = frozenset(";\n")
_NUMBERS = {
    name: number
    for number, names in enumerate(
        ((), ("single", "one"), ("two", "double"), ("three",), ("four",), ("five",), ("six",)),
    )
    for name in names
} | {"eight": 8, "ten": 10, "twelve": 12, "sixteen": 16}
_CJK_RUN = re.compile(rf"[{CJK}](?:[\s/|]?[{CJK}])+")
_CHARACTER = re.compile(rf"[{CJK}]")
_MADE = frozenset("製制造")
_MADE_IN_ROMAN = frozenset(("nian", "nien", "nianzhi", "nianzao"))
_ROMANISED = re.compile(
    r"\b(?:D[aà]|Ta)[\s-]+(?:Q[iī]ng|M[ií]ng|Ch['’]?ing)[\s-]+([\w'’\-\s]{3,20}?)"
    r"[\s-](?:nian|nien)[\s-]*(?:zhi|zao|chih|tsao)\b",
    re.IGNORECASE,
)
_QUOTED = re.compile(r"[\"“„«]([^\"”“»\n]{1,200})[\"”“»]|‘([^’\n]{1,200})’")
_GAP = re.compile(r"\[[^\]]*(?:illeg|obscured|unclear)[^\]]*\]|\[\?\]|\.\.\.")
_HEAD_LENGTH = 90
_NAME_WORDS = 5
_WRITTEN_WITH = frozenset(("ink", "pencil"))
_QUOTE_REACH = 260


class _Entry(NamedTuple):
    role: str
    label: str = ""
    technique: str = ""
    colour: str = ""
    script: str = ""
    certainty: Certainty = Certainty.CERTAIN


_ROLES = (
    "mark",
    "mark technique",
    "mark trigger",
    "mark colour",
    "script",
    "legibility",
    "mark relation",
    "mark absent",
    "mark glue",
    "mark place",
    "part",
)
"""In the order of precedence where a word stands in more than one role."""

_OF_A_MARK = frozenset(
    (
        "mark",
        "mark technique",
        "mark colour",
        "script",
        "legibility",
        "mark relation",
        "part",
        "mark place",
        "claim",
        "hedge",
        "mark glue",
        "number",
    )
)


@dataclass(slots=True)
class _Seen:
    """A mark being read."""

    first: int
    end: int
    kind: MarkKind = MarkKind.UNDETERMINED
    script: Script = Script.UNSTATED
    technique: str = ""
    colour: str = ""
    place: str = ""
    legibility: Legibility = Legibility.UNSTATED
    relation: MarkRelation = MarkRelation.UNSTATED
    certainty: Certainty = Certainty.CERTAIN
    claim: list[str] = field(default_factory=list)
    characters: str = ""
    romanised: str = ""
    columns: int = 0
    count: int = 0
    stop: int = 0
    rule: str = "mark"


@functools.lru_cache(maxsize=8)
def _lexicon(tables: Tables) -> tuple[Lexicon[_Entry], frozenset[str]]:
    """The words of marks, and a few of which every text that speaks of a mark holds one."""
    entries: list[tuple[str, _Entry]] = []
    for row in (row for role in _ROLES for row in tables.terms(role)):
        more = row.more
        entry = _Entry(
            row.kind,
            row.label,
            more.get("technique", ""),
            more.get("colour", ""),
            more.get("script", ""),
        )
        names = row.names if row.kind == "part" else row.variants
        entries.extend((name, entry) for name in names)
    for period in tables.periods:
        if period.kind in ("reign", "dynasty", "era"):
            claim = _Entry("claim", period.label)
            names = (period.label, *period.variants)
            entries.extend((name, claim) for name in names if len(name) > 2)
    for row in tables.terms("hedge"):
        hedge = _Entry("hedge", certainty=Certainty(row.more["certainty"]))
        entries.extend((name, hedge) for name in row.names)
    entries.extend((name, _Entry("number", str(n))) for name, n in _NUMBERS.items())
    tokenised = [
        Words(name).folded
        for name, entry in entries
        if entry.role in ("mark", "mark trigger", "mark absent")
    ]
    heads = {tokens[0] for tokens in tokenised if len(tokens) == 1}
    heads.update(tokens[-1] for tokens in tokenised if heads.isdisjoint(tokens))
    return Lexicon(entries), frozenset(heads)


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
    lexicon, heads = _lexicon(tables)
    text = words.text
    has_head = not heads.isdisjoint(words.folded)
    if (
        not has_head
        and ":" not in words.folded
        and text.isascii()
        and not _MADE_IN_ROMAN.intersection(words.folded)
    ):
        return ()
    found = lexicon.find(words.folded, taken)
    statements: list[Mark | Observation] = []
    position = 0
    for first, end in _sections(words):
        inside: list[Found[_Entry]] = []
        while position < len(found) and found[position].first < end:
            inside.append(found[position])
            position += 1
        statements.extend(_absent(words, inside))
        labelled = _labelled(words, inside, first, end)
        seen = [labelled] if labelled else _marks_of(words, inside, first, end, tables)
        statements.extend(_mark(one, text, words, tables) for one in seen)
    statements.extend(_written(words, statements, tables))
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


def _absent(words: Words, found: list[Found[_Entry]]) -> list[Observation]:
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


def _labelled(words: Words, found: list[Found[_Entry]], first: int, end: int) -> _Seen | None:
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
    one = _Seen(first, end, rule="what is written after a colon")
    for match in head:
        _gather(one, match, words)
    one.characters = words.text[words.starts[colon + 1] : words.ends[end - 1]].strip()
    return one


def _heads_a_mark(head: list[Found[_Entry]]) -> bool:
    """Whether words before a colon speak of a mark: a word for one, ink, or a way and a place.

    'Carved jade: a dragon' does not.
    """
    roles = {f.entry.role for f in head}
    if "mark" in roles or any(f.entry.label in _WRITTEN_WITH for f in head):
        return True
    return "mark technique" in roles and bool(roles & {"part", "mark place", "mark glue"})


def _marks_of(
    words: Words, found: list[Found[_Entry]], first: int, end: int, tables: Tables
) -> list[_Seen]:
    """The marks of one section: each from a word for a mark and the mark words around it."""
    seen: list[_Seen] = []
    lowest = first
    for number, match in enumerate(found):
        if match.entry.role != "mark" or match.first < lowest:
            continue
        one = _Seen(match.first, match.end)
        _gather(one, match, words)
        _leftwards(one, words, found, number, lowest)
        _rightwards(one, words, found, number, end)
        if (
            one.kind is MarkKind.UNDETERMINED
            and not one.claim
            and one.relation in (MarkRelation.UNSTATED,)
        ):
            _misspelt_claim(one, words, lowest, tables)
        lowest = one.end
        seen.append(one)
    return seen


def _leftwards(
    one: _Seen, words: Words, found: list[Found[_Entry]], number: int, lowest: int
) -> None:
    """Mark words directly before: 'an apocryphal six-character Chenghua ... mark'."""
    at = one.first
    for index in range(number - 1, -1, -1):
        match = found[index]
        if match.end < at and not _only_marks(words, match.end, at, allowed="-("):
            break
        if match.first < lowest or match.entry.role not in _OF_A_MARK:
            break
        if match.entry.role in ("mark", "part"):
            break
        at = match.first
        if match.entry.role != "mark glue" or words.folded[match.first].startswith("character"):
            one.first = at
            _gather(one, match, words)
    before = one.first - 1
    if before >= lowest and words.folded[one.first].startswith("character"):
        one.first -= words.folded[before].isdigit()
    while one.first > lowest and _CHARACTER.match(words.folded[one.first - 1]):
        one.first -= 1


def _rightwards(
    one: _Seen, words: Words, found: list[Found[_Entry]], number: int, end: int
) -> None:
    """Mark words after: '... in two columns within a double circle, of the period'."""
    at = one.end
    for index in range(number + 1, len(found)):
        match = found[index]
        if match.first > at and not _only_marks(words, at, match.first, allowed=",()-&"):
            break
        role = match.entry.role
        if role not in _OF_A_MARK or role == "mark":
            break
        at = match.end
        if role == "part" and one.place:
            break
        if role == "claim" and one.claim and "," in words.folded[one.end : match.first]:
            break
        if role != "mark glue" or words.folded[match.first].startswith(_COUNTED):
            one.end = at
            _gather(one, match, words)
    said = words.ends[one.end - 1]
    after = words.text[said : min(words.ends[end - 1], said + _QUOTE_REACH)]
    quoted = _QUOTED.search(after)
    if quoted and len(words_before(after[: quoted.start()])) <= 3:
        one.characters = quoted.group(1) or quoted.group(2)
        one.end = words.at(words.ends[one.end - 1] + quoted.end())
        one.stop = words.ends[one.end - 1]
    elif one.kind is MarkKind.SIGNATURE and not one.claim:
        _signed_name(one, words, end)


def _signed_name(one: _Seen, words: Words, end: int) -> None:
    """'Signed Ellis Marr': capitals that follow directly are the name."""
    stop = one.end
    while stop < end and stop - one.end < _NAME_WORDS and words.folded[stop].isalpha():
        if not words.text[words.starts[stop]].isupper():
            break
        stop += 1
    if stop > one.end:
        one.characters = words.between(one.end, stop)
        one.end = stop


_COUNTED = ("column", "line", "row", "character", "circle", "ring", "square", "cartouche")


def words_before(text: str) -> list[str]:
    """The words of a short stretch of text."""
    return re.findall(r"\w+", text)


def _only_marks(words: Words, first: int, end: int, allowed: str) -> bool:
    return all(words.folded[i] in allowed for i in range(first, end))


def _gather(one: _Seen, match: Found[_Entry], words: Words) -> None:
    """Let one word say what it says of the mark; what was said nearer to it stands."""
    entry = match.entry
    if entry.role == "mark" and one.kind is MarkKind.UNDETERMINED:
        one.kind = MarkKind(entry.label)
    if entry.script and one.script is Script.UNSTATED:
        one.script = Script(entry.script)
    one.technique = one.technique or entry.technique
    one.colour = one.colour or entry.colour
    if entry.role == "legibility" and one.legibility is Legibility.UNSTATED:
        one.legibility = Legibility(entry.label)
    elif entry.role == "mark relation" and one.relation is MarkRelation.UNSTATED:
        one.relation = MarkRelation(entry.label)
    elif entry.role in ("part", "mark place"):
        one.place = one.place or entry.label
    elif entry.role == "claim":
        one.claim.append(words.between(match.first, match.end))
    elif entry.role == "hedge":
        one.certainty = entry.certainty
    elif entry.role == "number":
        _count(one, int(entry.label), words.folded[match.end : match.end + 2])
    if entry.role == "mark glue" or entry.role == "number":
        before = words.folded[match.first - 1] if match.first else ""
        if before.isdigit() and len(before) < 3:
            _count(one, int(before), words.folded[match.first : match.first + 1])


def _count(one: _Seen, number: int, following: list[str]) -> None:
    for word in following:
        if word.startswith("character"):
            one.count = one.count or number
            return
        if word.startswith(("column", "line", "row")):
            one.columns = one.columns or number
            return


def _misspelt_claim(one: _Seen, words: Words, lowest: int, tables: Tables) -> None:
    """A word before 'mark' that is no table word may still be a reign, misheard."""
    before = one.first - 1
    if before < lowest or not words.text[words.starts[before]].isupper():
        return
    word = words.between(before, before + 1)
    if len(word) > 4 and claimed_date(word, tables) is not None:
        one.first = before
        one.claim.append(word)


def _written(words: Words, statements: list[Mark | Observation], tables: Tables) -> list[Mark]:
    """Characters or their romanisation that stand in the text with no word for a mark."""
    text = words.text
    covered = [(s.reading.start, s.reading.end) for s in statements if s.reading is not None]
    marks: list[Mark] = []
    for match in () if text.isascii() else _CJK_RUN.finditer(text):
        run = match.group()
        inside = any(s <= match.start() < e for s, e in covered)
        if inside or run[-1] not in _MADE:
            continue
        marks.append(_written_mark(match, "", run, text, tables))
    for match in _ROMANISED.finditer(text):
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


def _mark(one: _Seen, text: str, words: Words, tables: Tables) -> Mark:
    start = words.starts[one.first]
    stop = max(one.stop, words.ends[one.end - 1])
    stated = text[start:stop]
    if one.stop and stop < len(text) and text[stop] in '"”’»':
        stop += 1
        stated = text[start:stop]
    characters = one.characters
    if not characters and (run := _CJK_RUN.search(stated)):
        characters = run.group()
        one.count = one.count or len(re.sub(r"\W", "", characters))
        if characters[-1] in _MADE:
            one.kind = MarkKind.REIGN
    match = _ROMANISED.search(stated)
    romanised = match.group() if match else ""
    claim = match.group(1) if match else " ".join(one.claim)
    claims = claimed_date(claim or characters, tables) if claim or characters else None
    kind = one.kind
    if kind in (MarkKind.UNDETERMINED, MarkKind.SEAL) and (one.claim or romanised):
        kind = MarkKind.REIGN
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
        relation=one.relation,
    )
