"""Of which fields something stays with the owner, so that no format takes it for not recorded."""

from __future__ import annotations

import msgspec

from archivist.model import Certainty, ObjectRecord, ProvenanceEvent, Statement
from archivist.wording.note_topics import CONDITION, topic_of

TOLD_OF = (
    "titles",
    "attributions",
    "features",
    "measurements",
    "marks",
    "observations",
    "provenance",
    "descriptions",
    "relations",
    "citations",
)
"""The fields of which it may be told that there is more. That there are prices, buyers or private
notes is the owner's own affair."""

_OF_THE_EVENT = ("giver", "receiver", "agent", "place", "date", "until", "lot", "number")


def withheld_fields(record: ObjectRecord, disclosed: ObjectRecord) -> frozenset[str]:
    """The fields of `record` that hold something of which `disclosed` says nothing.

    What is rejected does not count. Words on condition that were kept as a note count as
    observations, whatever their column came to be called.
    """
    found = {
        field
        for field in TOLD_OF
        if sum(map(_is_so, getattr(record, field))) > sum(map(_says, getattr(disclosed, field)))
    }
    if _of_condition(record) > _of_condition(disclosed):
        found.add("observations")
    return frozenset(found)


def _is_so(statement: Statement) -> bool:
    return statement.certainty is not Certainty.REJECTED


def _says(statement: Statement) -> bool:
    """Whether a statement still says something after others' names and words were taken out."""
    if not _is_so(statement):
        return False
    if not isinstance(statement, ProvenanceEvent):
        return True
    blank = {field.name: field.default for field in msgspec.structs.fields(ProvenanceEvent)}
    told = (*_OF_THE_EVENT, "as_stated", "kind")
    return any(getattr(statement, name) != blank[name] for name in told)


def _of_condition(record: ObjectRecord) -> int:
    return sum(topic_of(note) == CONDITION for note in record.notes)
