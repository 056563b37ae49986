"""How a value is filed: its certainty, part and role, and the words it is kept with."""

from __future__ import annotations

from typing import Any

import msgspec

from archivist.model import edtf
from archivist.model.base import Certainty, Polarity, least_sure
from archivist.model.measurements import Measurement
from archivist.model.observations import Observation, Presence
from archivist.model.records import Attribution, AttributionRole, Feature
from archivist.reading.result import ReadStatement
from archivist.reading.standing.accessories import part_beside
from archivist.reading.standing.candidates import Candidate
from archivist.reading.standing.effects import Effects
from archivist.reading.standing.law import Kind
from archivist.reading.standing.passage import Passage
from archivist.reading.standing.roles import Licence

_KEPT_WITH_THE_WORDS = frozenset(("deny", "lack", "sought", "affirm", "hedge", "undecided"))
_KEPT_NEAR = 6
"""Tokens between a value and a word that denies it which is kept with it."""
_HEDGE_NEAR = 2


def filed(
    passage: Passage,
    one: Candidate,
    effects: Effects,
    licence: Licence,
    polarity: Polarity,
    part: str,
    who: str,
) -> ReadStatement:
    """A value as it is filed, said by `who` of `part` (both may be empty)."""
    statement: Any = one.statement
    changes: dict[str, Any] = {"certainty": least_sure(statement.certainty, effects.certainty)}
    if polarity is Polarity.DENIED and one.kind in (Kind.ATTRIBUTION, Kind.FEATURE):
        changes["certainty"] = Certainty.REJECTED
    start, end = _words_of(passage, one, effects)
    if isinstance(statement, Observation):
        if effects.undecided:
            changes["presence"] = Presence.UNKNOWN
        elif polarity in (Polarity.DENIED, Polarity.SOUGHT):
            changes["presence"] = Presence.ABSENT  # 'not restored' is absent by itself
        if part and not statement.part:
            changes["part"] = part
        elif effects.borrowed and statement.part == effects.borrowed:
            changes["part"] = ""
    if isinstance(statement, Attribution):
        changes["role"] = AttributionRole(licence.role)
        changes["part"] = part
        if statement.date is not None and changes["certainty"] is not statement.certainty:
            notation = edtf.expressible(edtf.doubted(statement.date.edtf, changes["certainty"]))
            changes["date"] = msgspec.structs.replace(statement.date, edtf=notation)
    if isinstance(statement, Feature):
        changes["part"] = part or statement.part or part_beside(passage, one)
    if isinstance(statement, Measurement) and part and not statement.part:
        changes["part"] = part
    if who:
        changes["who"] = who
    if statement.reading is not None:
        changes["reading"] = msgspec.structs.replace(
            statement.reading, start=start, end=end, licence=licence.words, polarity=polarity
        )
        changes["as_stated"] = passage.words.text[start:end]
    return msgspec.structs.replace(statement, **changes)  # type: ignore[no-any-return]


def _words_of(passage: Passage, one: Candidate, effects: Effects) -> tuple[int, int]:
    """The characters of a statement with the words that deny or doubt it, where they are near:
    nobody who reads 'no chips' cut short is to take it for chips."""
    reading = one.statement.reading
    start, end = (reading.start, reading.end) if reading else (0, 0)
    if one.kind is Kind.EVENT or reading is None:
        return start, end
    phrase = passage.outline.clauses[one.first]
    for sign in effects.signs:
        if sign.signal.effect not in _KEPT_WITH_THE_WORDS:
            continue
        near = _KEPT_NEAR if sign.signal.effect != "hedge" else _HEDGE_NEAR
        after = sign.signal.direction != "before"
        if after and phrase.first <= sign.first and one.first - sign.end <= near:
            start = min(start, passage.words.starts[sign.first])
        if not after and sign.end <= phrase.end and 0 <= sign.first - one.end <= near:
            end = max(end, passage.words.ends[sign.end - 1])
    return start, end
