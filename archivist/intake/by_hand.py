"""What an owner can say of a record by hand beyond the columns of a sheet.

An opinion with its holder, ground and date; literature and exhibitions; a piece to compare, and the
other of a pair. A line each, laid out and read by the same table.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import msgspec

from archivist import wording
from archivist.errors import RecordError, SelectionError
from archivist.intake import words
from archivist.intake.parties import Parties
from archivist.intake.roles import Role
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Citation,
    CitationKind,
    ObjectRecord,
    Relation,
    RelationKind,
    Statement,
)
from archivist.reading.dates import read_date_cell
from archivist.reading.tables import Tables

OPINION_FORM = (
    "Write it as 'HOLDER: ASPECT: WORDS; ground: WHY; said: WHEN', e.g. "
    '"opinion=Dr Tolling: date: c. 1900; ground: the foot; said: 1998". Leave the holder out where '
    "it is your own; 'not' before the words says that it is rejected. Aspects are: "
    + ", ".join(Aspect)
    + "."
)


class Records(Protocol):
    """Where a piece is found by its number."""

    def object_named(self, name: str) -> ObjectRecord:
        """The record of that stock number or UUID."""


@dataclass(frozen=True)
class Hand:
    """What reading a line by hand may need."""

    tables: Tables
    parties: Parties
    records: Records


@dataclass(frozen=True)
class HandHeading:
    """A heading: the field of its statements, which they are, their line, and how one is read."""

    heading: str
    field: str
    holds: Callable[[Any], bool]
    line: Callable[[Any, Callable[[str], str]], str]
    read: Callable[[str, Hand], Sequence[Statement]]

    def lines(self, record: ObjectRecord, names: Callable[[str], str]) -> tuple[str, ...]:
        """The lines of a record under this heading, each once."""
        held = (s for s in getattr(record, self.field) if self.holds(s))
        return tuple(dict.fromkeys(self.line(s, names) for s in held))


# Opinions

_KEYS = ("ground", "said", "sure", "part", "role")
_SURE = {c.value: c for c in Certainty if c is not Certainty.REJECTED}
_NOT = re.compile(r"not\s+(?!before\b|after\b|earlier\b|later\b)", re.IGNORECASE)
"""A denial; 'not before 1700' is a date."""


def _has_a_holder(attribution: Attribution) -> bool:
    return bool(attribution.who or attribution.ground or attribution.said)


def _opinion_line(attribution: Attribution, names: Callable[[str], str]) -> str:
    term = attribution.term.label if attribution.term else ""
    date = attribution.date.edtf if attribution.date else ""
    no = "not " if attribution.certainty is Certainty.REJECTED else ""
    words_ = term or " ".join(attribution.as_stated.split()) or date
    sure = "" if no or attribution.certainty is Certainty.CERTAIN else attribution.certainty.value
    role = "" if attribution.role is AttributionRole.MADE else attribution.role.value
    told = (attribution.ground, attribution.said, sure, attribution.part, role)
    more = [f"{key}: {said}" for key, said in zip(_KEYS, told, strict=True) if said]
    head = wording.listed([names(attribution.who), attribution.aspect.value], ": ")
    return wording.listed([f"{head}: {no}{words_}", *more], "; ")


def _read_opinion(line: str, hand: Hand) -> list[Statement]:
    """The attributions of one line; a date in the words of a period gives both."""
    said, *more = (part.strip() for part in line.split(";"))
    holder, aspect, value = _parts_of(said, line)
    changes = _told_beside(more, line, hand.tables)
    if denied := _NOT.match(value):
        value = value[denied.end() :]
        changes["certainty"] = Certainty.REJECTED
    if holder:
        changes["who"] = hand.parties.speaking(holder).id
    read = _attributions(aspect, value, hand.tables)
    if not read:
        raise RecordError(f"'{value}' is not understood as a {aspect.value}.", OPINION_FORM)
    return [msgspec.structs.replace(a, **changes) for a in read]


def _told_beside(parts: Sequence[str], line: str, tables: Tables) -> dict[str, Any]:
    """Ground, date, certainty, part and role, as they stand after the words."""
    told: dict[str, str] = {}
    last = ""
    for part in parts:
        key, colon, said = part.partition(":")
        if colon and key.strip().casefold() in _KEYS:
            last = key.strip().casefold()
            told[last] = said.strip()
        elif last:
            told[last] += f"; {part}"
        else:
            raise RecordError(f"'{part}' in '{line}' is not understood.", OPINION_FORM)
    changes: dict[str, Any] = {k: told[k] for k in ("ground", "part") if k in told}
    if "sure" in told:
        changes["certainty"] = _SURE[_one_of(told["sure"], _SURE)]
    if "role" in told:
        changes["role"] = AttributionRole(_one_of(told["role"], list(AttributionRole)))
    if "said" in told:
        changes["said"] = _day_of(told["said"], tables)
    return changes


def _one_of(said: str, words_: Iterable[str]) -> str:
    """`said`, which must be one of `words_`."""
    known = [str(word) for word in words_]
    if said.casefold() not in known:
        raise RecordError(f"'{said}' is none of these.", f"Write one of: {', '.join(known)}.")
    return said.casefold()


def _day_of(said: str, tables: Tables) -> str:
    """When something was said, as EDTF. A day of our own time is as good as any here."""
    dates = [
        a.date.edtf
        for a in read_date_cell(said, tables).statements
        if isinstance(a, Attribution) and a.date is not None and a.date.edtf
    ]
    if len(dates) != 1:
        raise RecordError(
            f"'{said}' does not say when.", "Write a year or a day: 1998, 3 May 1998."
        )
    return dates[0]


def _parts_of(said: str, line: str) -> tuple[str, Aspect, str]:
    """The holder, the aspect and the words of 'HOLDER: ASPECT: WORDS'."""
    parts = [part.strip() for part in said.split(":")]
    for place in (0, 1):
        if len(parts) > place + 1 and parts[place].casefold() in set(Aspect):
            holder = parts[0] if place else ""
            return holder, Aspect(parts[place].casefold()), ":".join(parts[place + 1 :]).strip()
    raise RecordError(f"'{line}' does not say what the opinion is about.", OPINION_FORM)


def _attributions(aspect: Aspect, value: str, tables: Tables) -> list[Attribution]:
    if aspect in (Aspect.DATE, Aspect.PERIOD):
        role = Role.DATE if aspect is Aspect.DATE else Role.PERIOD
        read = words.read(role, value, tables).statements
        found = [a for a in read if isinstance(a, Attribution)]
        if found or aspect is Aspect.DATE:
            return found
    term = words.term_of(value, aspect, tables)
    return [Attribution(aspect=aspect, term=term, as_stated=value)] if value else []


# Literature, exhibitions, other pieces


def _citation_line(citation: Citation, names: Callable[[str], str]) -> str:
    del names
    return " ".join(citation.as_stated.split()) or wording.citation_shown(citation)


def _reads_citation(kind: CitationKind) -> Callable[[str, Hand], Sequence[Statement]]:
    return lambda line, hand: [Citation(kind=kind, as_stated=line)]


def _relation_line(relation: Relation, names: Callable[[str], str]) -> str:
    del names
    return " ".join(relation.as_stated.split()) or relation.object


def _reads_relation(kind: RelationKind) -> Callable[[str, Hand], Sequence[Statement]]:
    def read(line: str, hand: Hand) -> Sequence[Statement]:
        """The piece of that stock number; where there is none, the words stand for the piece."""
        try:
            other = hand.records.object_named(line)
        except SelectionError:
            return [Relation(kind=kind, as_stated=line)]
        return [Relation(kind=kind, object=other.id, as_stated=f"{other.title} ({other.name})")]

    return read


def _of_kind(kind: CitationKind | RelationKind) -> Callable[[Any], bool]:
    return lambda statement: statement.kind is kind


HAND_HEADINGS: tuple[HandHeading, ...] = (
    HandHeading("Opinion", "attributions", _has_a_holder, _opinion_line, _read_opinion),
    *(
        HandHeading(
            kind.value.capitalize(),
            "citations",
            _of_kind(kind),
            _citation_line,
            _reads_citation(kind),
        )
        for kind in CitationKind
    ),
    *(
        HandHeading(heading, "relations", _of_kind(kind), _relation_line, _reads_relation(kind))
        for heading, kind in (
            ("Comparable", RelationKind.COMPARE),
            ("Pair", RelationKind.PAIR_WITH),
        )
    ),
)
"""In the order in which they stand in the editor, after what a sheet holds."""

BY_HEADING = {hand.heading: hand for hand in HAND_HEADINGS}


def changed_by_hand(
    record: ObjectRecord,
    heading: HandHeading,
    text: str,
    hand: Hand,
    names: Callable[[str], str],
) -> tuple[ObjectRecord, str]:
    """The record with the lines of `text` under that heading, and what was changed in words.

    Raises:
        RecordError: where a line is not understood.
    """
    said = tuple(
        dict.fromkeys(" ".join(line.split()) for line in text.splitlines() if line.strip())
    )
    current = heading.lines(record, names)
    statements = getattr(record, heading.field)
    gone = [line for line in current if line not in said]
    new = [line for line in said if line not in current]
    kept = [s for s in statements if not heading.holds(s) or heading.line(s, names) not in gone]
    for line in new:
        kept.extend(s for s in heading.read(line, hand) if s not in kept)
    changed = msgspec.structs.replace(record, **{heading.field: tuple(kept)})
    removed, added = " / ".join(gone), " / ".join(new)
    if removed and added:
        return changed, f"'{removed}' became '{added}'"
    return changed, f"'{added}' was added" if added else f"'{removed}' was taken out"
