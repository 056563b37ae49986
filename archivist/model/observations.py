"""What was seen on a part of a piece, and whether it is how it was made or what befell it."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Statement, Term
from archivist.model.dates import Date


class ObservationKind(StrEnum):
    MAKING = "making"
    WEAR = "wear"
    DAMAGE = "damage"
    REPAIR = "repair"
    ALTERATION = "alteration"
    RESIDUE = "residue"
    UNDETERMINED = "undetermined"


class Presence(StrEnum):
    """Seen, looked for and not there, or looked for and not decided.

    What nobody looked for has no observation at all: 'not recorded' is a third thing.
    """

    PRESENT = "present"
    ABSENT = "absent"
    UNKNOWN = "unknown"


class Observation(Statement, frozen=True, kw_only=True):
    """One thing seen: `term` on `part`, of `kind`; `extent` is its size or reach as stated.

    `date` is when it came about or was done ('restored 1985'), never when the piece was made.
    """

    term: Term
    kind: ObservationKind
    part: str = ""
    presence: Presence = Presence.PRESENT
    extent: str = ""
    date: Date | None = None
