"""Condition and making: what was seen on which part, and what a 'no' or a 'possibly' governs.

'If you don't know the mechanism, just describe the evidence' (Alaska State Museum): a term whose
cause depends on the piece (crazing, a star crack) is of kind undetermined.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass, field
from typing import NamedTuple

from archivist.model.base import Certainty, Reading, Term
from archivist.model.observations import Observation, ObservationKind, Presence
from archivist.reading.result import Question, Span, Understood
from archivist.reading.tables import Tables
from archivist.reading.words import (
    Found,
    Lexicon,
    Words,
    fillers,
    fold,
    plurals,
    unread_spans,
)

_ENDS = frozenset(".;:\n!")
_SIZE = re.compile(r"\d+(?:\.\d+)?(?:mm|cm|in)?$")
_UNITS = frozenset(("mm", "cm", "in", "inch", "inches", '"'))
_ARTICLES = frozenset(("a", "an", "the"))
_JOINS = frozenset(("and", "&", "or", "/"))
_LOOSE_WORDS = 2
"""How many words that say nothing here may stand between a 'no' or 'possibly' and its term."""


class _Entry(NamedTuple):
    role: str
    label: str = ""
    kind: ObservationKind = ObservationKind.UNDETERMINED
    part: str = ""
    term: Term | None = None
    certainty: Certainty = Certainty.CERTAIN


class ConditionReading(NamedTuple):
    """The observations and questions of a text, without the account of what was not read."""

    statements: tuple[Observation, ...] = ()
    questions: tuple[Question, ...] = ()


_PLURAL_ROLES = ("condition", "part")
_ROLES = (
    "part",
    "extent",
    "condition break",
    "preposition",
    "conjunction",
    "article",
    "undecided",
    "negation",
    "negation after",
    "exception",
    "condition none",
)


class _Lexicons(NamedTuple):
    everything: Lexicon[_Entry]
    terms: frozenset[str]


@functools.lru_cache(maxsize=8)
def _lexicons(tables: Tables) -> _Lexicons:
    entries: list[tuple[str, _Entry]] = []
    for row in tables.terms("condition", "condition absent"):
        kind = ObservationKind(row.more.get("class", "undetermined"))
        part = row.more.get("part", "")
        names = row.names if row.kind == "condition" else row.variants
        entry = _Entry(row.kind, row.label, kind, part, row.term)
        entries.extend((spelled, entry) for name in names for spelled in plurals(name))
    for row in tables.terms("hedge"):
        hedge = _Entry("hedge", row.label, certainty=Certainty(row.more["certainty"]))
        entries.extend((name, hedge) for name in row.names)
    for row in tables.terms(*_ROLES):
        entry = _Entry(row.kind, row.label, part=row.label if row.kind == "part" else "")
        for name in row.names:
            names = plurals(name) if row.kind == "part" else (name,)
            entries.extend((spelled, entry) for spelled in names)
    first = frozenset(
        Words(name).folded[0] for name, e in entries if e.role in ("condition", "condition absent")
    )
    return _Lexicons(Lexicon(entries), first)


@dataclass(slots=True)
class _Seen:
    """An observation being read: token bounds, and what governs it."""

    entry: _Entry
    first: int
    end: int
    parts: list[str] = field(default_factory=list)
    presence: Presence = Presence.PRESENT
    certainty: Certainty = Certainty.CERTAIN
    extent: str = ""
    joined: bool = False
    ambiguous: bool = False
    clause: int = 0


@dataclass(slots=True)
class _Scope:
    """What is in force at a place in the text."""

    negation: int = -1
    hedge: int = -1
    certainty: Certainty = Certainty.CERTAIN
    undecided: int = -1
    loose: int = 0
    parts: list[str] = field(default_factory=list)
    part_at: int = -1
    extent_at: int = -1
    extent_end: int = -1
    extent_stop: int = -1
    ambiguous: bool = False

    def clear(self) -> None:
        """A new sentence: nothing is in force."""
        self.negation = self.hedge = self.undecided = -1
        self.certainty = Certainty.CERTAIN
        self.ambiguous = False
        self.loose = 0
        self.forget()

    def forget(self) -> None:
        """A new phrase: parts and extents wait for no term any more."""
        self.parts = []
        self.part_at = self.extent_at = self.extent_end = -1


def read_condition(text: str, tables: Tables) -> Understood:
    """The observations that `text` makes, in order."""
    words = Words(text)
    found = condition_in(words, tables)
    spans = [(s.reading.start, s.reading.end) for s in found.statements if s.reading is not None]
    return Understood(
        text=text,
        statements=found.statements,
        unread=unread_spans(words, spans, fillers(tables)),
        questions=found.questions,
    )


def condition_in(words: Words, tables: Tables, taken: bytearray | None = None) -> ConditionReading:
    """As `read_condition`, for readers that keep account of the words themselves.

    Tokens marked in `taken` have been read by others and end a phrase.
    """
    lexicons = _lexicons(tables)
    if lexicons.terms.isdisjoint(words.folded):
        return ConditionReading()
    found = {f.first: f for f in lexicons.everything.find(words.folded, taken)}
    seen = _walk(words, found, taken)
    return _finished(seen, words)


def _walk(words: Words, found: dict[int, Found[_Entry]], taken: bytearray | None) -> list[_Seen]:
    """Go through the tokens once, keeping what is in force."""
    folded = words.folded
    seen: list[_Seen] = []
    scope = _Scope()
    clause = 0
    index, length = 0, len(folded)
    while index < length:
        match = found.get(index)
        token = folded[index]
        if taken is not None and taken[index]:
            scope.forget()
            scope.hedge = scope.undecided = -1
            scope.loose += 1
            index += 1
        elif match is None or (match.entry.role == "negation" and _is_number(folded, match)):
            if token in _ENDS and not _is_decimal(words, index):
                if token != ":":
                    scope.clear()
                    clause += 1
            elif token == ",":
                _at_comma(scope, folded, found, index)
            elif token == "?" and seen and seen[-1].clause == clause:
                _doubt(seen[-1], words, index)
            elif token in ("(", ")", "["):
                pass
            elif size := _size_at(folded, index):
                scope.extent_at = index if scope.extent_end != index else scope.extent_at
                scope.extent_end = scope.extent_stop = size
                index = size - 1
            else:
                scope.loose += 1
                if scope.loose > _LOOSE_WORDS:
                    scope.negation = scope.hedge = scope.undecided = -1
            index += 1
        elif match.entry.role in ("condition", "condition absent"):
            one = _observe(match, scope, words, clause)
            index = _after_term(one, found, words)
            _share_part(seen, one)
            seen.append(one)
            scope.hedge = scope.undecided = -1
            scope.certainty = Certainty.CERTAIN
            scope.extent_at = scope.extent_end = -1
            scope.loose = 0
            if found.get(match.first - 1, match).entry.role == "part":
                _keep_if_done(scope, folded, match.end)
        else:
            _govern(match, scope, seen, found, words, clause)
            index = match.end
    return seen


def _is_number(folded: list[str], match: Found[_Entry]) -> bool:
    """'No. 5' numbers and negates nothing."""
    if folded[match.first] != "no" or match.end >= len(folded):
        return False
    following = folded[match.end]
    return following.isdigit() or following == "."


def _is_decimal(words: Words, index: int) -> bool:
    """A point within a number or after an abbreviation of one letter ends no sentence."""
    text, at = words.text, words.starts[index]
    if words.folded[index] != ".":
        return False
    return text[at + 1 : at + 2].isalnum()


def _govern(
    match: Found[_Entry],
    scope: _Scope,
    seen: list[_Seen],
    found: dict[int, Found[_Entry]],
    words: Words,
    clause: int,
) -> None:
    """Let a word that is no term change what is in force."""
    role = match.entry.role
    if role == "negation":
        doubled = scope.negation >= 0 and scope.loose == 0 and match.first - scope.negation == 1
        scope.negation = -1 if doubled else match.first
        scope.loose = 0
        scope.ambiguous = False
    elif role == "negation after":
        _negate_backwards(match, seen, scope, clause)
    elif role in ("exception", "condition break"):
        scope.negation = -1
        used = bool(seen) and words.starts[seen[-1].end - 1] >= words.starts[scope.part_at]
        if role == "exception" or used:
            scope.forget()
    elif role == "hedge":
        scope.hedge, scope.certainty, scope.loose = match.first, match.entry.certainty, 0
    elif role == "undecided":
        scope.undecided, scope.loose = match.first, 0
    elif role == "part":
        if scope.part_at < 0 or not _joined_parts(words, scope, match):
            scope.parts = []
            scope.part_at = match.first
        scope.parts.append(match.entry.label)
        if scope.extent_end == match.first:
            scope.extent_end = match.end
    elif role == "extent":
        if scope.extent_end != match.first:
            scope.extent_at = match.first
        scope.extent_end = scope.extent_stop = match.end
    elif (
        role == "conjunction"
        and match.entry.label == "and"
        and not _bare_term(found, match.end, words.folded)
    ):
        scope.negation = -1
    elif role == "condition none":
        scope.forget()
    if role == "article" and match.entry.label == "article" and scope.extent_end == match.first:
        scope.extent_end = match.end


def _joined_parts(words: Words, scope: _Scope, match: Found[_Entry]) -> bool:
    return match.first > 0 and words.folded[match.first - 1] in ("and", "&", "+")


def _bare_term(found: dict[int, Found[_Entry]], index: int, folded: list[str]) -> bool:
    """Whether at `index` stands a term with no article or size before it and no part after."""
    match = found.get(index)
    if match is None or match.entry.role != "condition":
        return False
    after = found.get(match.end)
    if after is not None and after.entry.role == "preposition":
        return False
    return match.end >= len(folded) or after is None or after.entry.role != "part"


def _at_comma(
    scope: _Scope, folded: list[str], found: dict[int, Found[_Entry]], comma: int
) -> None:
    """A comma ends a phrase, unless it lists what a 'no' governs up to an 'or'."""
    if scope.negation >= 0:
        listed, alone = _list_ahead(folded, found, comma + 1)
        scope.ambiguous = alone and not listed
        if not listed and not alone:
            scope.negation = -1
    scope.hedge = scope.undecided = -1
    scope.certainty = Certainty.CERTAIN
    scope.loose = 0
    scope.forget()


def _list_ahead(
    folded: list[str], found: dict[int, Found[_Entry]], index: int
) -> tuple[bool, bool]:
    """Whether terms go on to an 'or', and whether one bare term alone ends the sentence."""
    terms = 0
    bare = _bare_term(found, index, folded)
    while index < len(folded):
        match = found.get(index)
        if match is None:
            if folded[index] == ",":
                index += 1
                continue
            ends = folded[index] in _ENDS
            return False, bare and terms == 1 and ends
        role = match.entry.role
        if role == "conjunction" and match.entry.label == "or":
            return True, False
        if role not in ("condition", "extent", "part", "preposition", "conjunction"):
            return False, False
        if role == "extent" and match.end - match.first == 1 and folded[index] in ("one", "two"):
            return False, False
        terms += role == "condition"
        index = match.end
    return False, bare and terms == 1


def _observe(match: Found[_Entry], scope: _Scope, words: Words, clause: int) -> _Seen:
    """The observation that a term makes under what is in force."""
    one = _Seen(match.entry, match.first, match.end, clause=clause)
    if scope.extent_at >= 0 and scope.extent_end == match.first:
        one.extent = words.between(scope.extent_at, scope.extent_stop).strip()
        one.first = scope.extent_at
    if scope.parts:
        one.parts = list(scope.parts)
        one.first = min(one.first, scope.part_at)
    if match.entry.role == "condition absent":
        one.presence = Presence.ABSENT
    if scope.undecided >= 0:
        one.presence = Presence.UNKNOWN
        one.first = min(one.first, scope.undecided)
    elif scope.negation >= 0:
        absent = one.presence is Presence.PRESENT
        one.presence = Presence.ABSENT if absent else Presence.PRESENT
        if scope.ambiguous:
            one.presence, one.ambiguous = Presence.UNKNOWN, True
        one.first = min(one.first, scope.negation)
    if scope.hedge >= 0:
        one.certainty = scope.certainty
        one.first = min(one.first, scope.hedge)
    index = one.first
    while index > 0 and words.folded[index - 1] in _ARTICLES:
        index -= 1
    one.joined = index > 0 and words.folded[index - 1] in _JOINS
    return one


def _after_term(one: _Seen, found: dict[int, Found[_Entry]], words: Words) -> int:
    """Take the part and the size that follow a term: 'hairline of 2 cm to the rim and foot'."""
    folded = words.folded
    index = one.end
    parts: list[str] = []
    preposed = False
    while index < len(folded):
        match = found.get(index)
        role = match.entry.role if match else ""
        size = _size_at(folded, index)
        if size:
            measured = words.between(index, size)
            one.extent = f"{one.extent} {measured}".strip()
            one.end = index = size
        elif (
            match
            and role == "part"
            and (
                preposed
                or parts
                or match.entry.label == "throughout"
                or (index == one.end and _says_what_was_done(folded, index))
            )
        ):
            parts.append(match.entry.label)
            one.end = index = match.end
        elif match and role in ("preposition", "article") and not _term_next(found, match.end):
            preposed = preposed or role == "preposition"
            index = match.end
        elif match and role == "conjunction" and parts and _part_at(found, match.end):
            index = match.end
        elif folded[index] == "?" or folded[index : index + 3] == ["(", "?", ")"]:
            break
        else:
            break
    if parts:
        one.parts = parts
    after = one.end
    if folded[after : after + 3] == ["(", "?", ")"]:
        one.certainty = Certainty.POSSIBLE
        one.end = after = after + 3
    return after


def _keep_if_done(scope: _Scope, folded: list[str], after: int) -> None:
    """'Rim chipped and ground' is all of the rim; 'rim chips and a hairline' is not."""
    if not _says_what_was_done(folded, after):
        scope.forget()


def _says_what_was_done(folded: list[str], index: int) -> bool:
    """'Restored neck', 'worn foot': the part may follow such a word with nothing between."""
    return folded[index - 1].endswith(("ed", "en", "worn", "stuck"))


def _term_next(found: dict[int, Found[_Entry]], index: int) -> bool:
    match = found.get(index)
    return match is not None and match.entry.role in ("condition", "negation", "hedge")


def _part_at(found: dict[int, Found[_Entry]], index: int) -> bool:
    match = found.get(index)
    if match is not None and match.entry.role in ("article", "preposition"):
        match = found.get(match.end)
    return match is not None and match.entry.role == "part"


def _size_at(folded: list[str], index: int) -> int:
    """Where a size that starts at `index` ends ('2 cm', '3.5 mm'), else 0."""
    end = index
    while end < len(folded) and (_SIZE.match(folded[end]) or (end > index and folded[end] == ".")):
        end += 1
    if end == index:
        return 0
    if end < len(folded) and folded[end] in _UNITS:
        return end + 1
    return end if not folded[end - 1].isdigit() and folded[end - 1] != "." else 0


def _doubt(one: _Seen, words: Words, index: int) -> None:
    """A question mark right after a term doubts it."""
    if index <= one.end + 1:
        one.certainty = Certainty.POSSIBLE
        one.end = max(one.end, index + 1)


def _share_part(seen: list[_Seen], one: _Seen) -> None:
    """'Chips and a hairline to the rim': the part goes for both."""
    if not (one.joined and one.parts and seen):
        return
    before = seen[-1]
    if not before.parts and before.clause == one.clause and before.presence is one.presence:
        before.parts = list(one.parts)


def _negate_backwards(match: Found[_Entry], seen: list[_Seen], scope: _Scope, clause: int) -> None:
    """'Cracks: none': what was named last in the sentence is absent."""
    for one in reversed(seen):
        if one.clause != clause or one.presence is not Presence.PRESENT:
            break
        one.presence = Presence.ABSENT
        one.end = match.end
        if not one.joined:
            break


def _finished(seen: list[_Seen], words: Words) -> ConditionReading:
    statements: list[Observation] = []
    questions: list[Question] = []
    for one in seen:
        start, end = words.starts[one.first], words.ends[one.end - 1]
        for part in one.parts or [one.entry.part]:
            statement = _observation(one, part, words.text, start, end)
            statements.append(statement)
            if one.ambiguous:
                questions.append(
                    Question(
                        span=Span(start=start, end=end),
                        asks=f"Does 'no' go for '{one.entry.label}' too?",
                        readings=(
                            (_observation(one, part, words.text, start, end, Presence.ABSENT),),
                            (_observation(one, part, words.text, start, end, Presence.PRESENT),),
                        ),
                    )
                )
    return ConditionReading(tuple(statements), tuple(questions))


def _observation(
    one: _Seen, part: str, text: str, start: int, end: int, presence: Presence | None = None
) -> Observation:
    assert one.entry.term is not None
    return Observation(
        as_stated=text[start:end],
        certainty=one.certainty,
        reading=Reading(rule="condition term", confidence="0.9", start=start, end=end),
        term=one.entry.term,
        kind=one.entry.kind,
        part=part,
        presence=presence or one.presence,
        extent=one.extent,
    )


__all__ = ["ConditionReading", "condition_in", "fold", "read_condition"]
