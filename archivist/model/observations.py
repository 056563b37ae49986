"""What was seen on a part of a piece, and whether it is how it was made or what befell it."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Statement, Term


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
    """One thing seen: `term` on `part`, of `kind`; `extent` is its size or reach as stated."""

    term: Term
    kind: ObservationKind
    part: str = ""
    presence: Presence = Presence.PRESENT
    extent: str = ""
