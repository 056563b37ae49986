"""What is written or stamped on a piece, apart from what anybody believes of its date."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Statement
from archivist.model.dates import Date


class MarkKind(StrEnum):
    REIGN = "reign"
    SEAL = "seal"
    WORKSHOP = "workshop"
    CYCLICAL = "cyclical date"
    DATE = "date"
    PRESENTATION = "presentation"
    SIGNATURE = "signature"
    INSCRIPTION = "inscription"
    LABEL = "label"
    TAG = "tag"
    NUMBER = "number"
    SYMBOL = "symbol"
    UNDETERMINED = "undetermined"


class Script(StrEnum):
    REGULAR = "regular"
    SEAL = "seal"
    RUNNING = "running"
    KANA = "kana"
    HANGUL = "hangul"
    ROMAN = "roman"
    ARABIC = "arabic"
    OTHER = "other"
    UNSTATED = "unstated"


class Legibility(StrEnum):
    COMPLETE = "complete"
    PARTIAL = "partial"
    OBSCURED = "obscured"
    MISFIRED = "misfired"
    DRILLED_THROUGH = "drilled through"
    WORN = "worn"
    ILLEGIBLE = "illegible"
    UNSTATED = "unstated"


class MarkRelation(StrEnum):
    """How a mark stands to the date that is held. Never derived silently from either."""

    OF_THE_PERIOD = "of the period"
    LATER_THAN_IT_CLAIMS = "later than it claims"
    IN_THE_STYLE = "in the style of"
    UNDETERMINED = "undetermined"
    UNSTATED = "unstated"


class Mark(Statement, frozen=True, kw_only=True):
    """A mark, an inscription or a label.

    `characters` are verbatim, columns parted by a line break and read in the order of the script;
    `place` is where on the piece ('base', 'foot rim'); `claims` is the date it lays claim to and
    `claim` what it says in words; `written_by` is the UUID of the party whose claim a label is.
    `columns` and `count` (of characters) are 0 where nobody said.
    """

    kind: MarkKind = MarkKind.UNDETERMINED
    characters: str = ""
    romanised: str = ""
    translation: str = ""
    script: Script = Script.UNSTATED
    technique: str = ""
    colour: str = ""
    place: str = ""
    columns: int = 0
    count: int = 0
    legibility: Legibility = Legibility.UNSTATED
    claim: str = ""
    claims: Date | None = None
    relation: MarkRelation = MarkRelation.UNSTATED
    written_by: str = ""
