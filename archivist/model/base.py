"""What every statement carries: the words, how sure, who says so, why, and from where."""

from __future__ import annotations

from enum import StrEnum

import msgspec


class Value(
    msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True
):
    """Base of all values: immutable, compared by content, defaults left out when written.

    A field that this version does not know is an error and never dropped: a newer program's
    words must not be lost by an older one.
    """


class Certainty(StrEnum):
    """How sure the speaker is. The program's own confidence is `Reading.confidence`."""

    CERTAIN = "certain"
    PROBABLE = "probable"
    POSSIBLE = "possible"
    DOUBTFUL = "doubtful"
    REJECTED = "rejected"


SUREST_FIRST = tuple(Certainty)
"""The degrees of certainty."""


def least_sure(*certainties: Certainty) -> Certainty:
    """The least sure of several degrees."""
    return max(certainties, key=SUREST_FIRST.index)


class Polarity(StrEnum):
    """What words do with the value they name: whether they say that it is so.

    ASSERTED is the plain case and left out where it is written.
    """

    ASSERTED = "asserted"
    DENIED = "denied"
    ASKED = "asked"
    SUPPOSED = "supposed"
    CONDITIONAL = "conditional"
    SOUGHT = "only looked for"
    FORMER = "formerly held"
    CLAIMED = "claimed"


class Source(Value, frozen=True, kw_only=True):
    """Where words came from, so that anyone can go back and look.

    `source` is the UUID of a registered source (a spreadsheet, a folder); `row` and `column` name
    the cell by the row's key and the column's heading; `original` is the SHA-256 of the file;
    `place` says in plain words where in it ('sheet Stock, row 14').
    """

    source: str = ""
    row: str = ""
    column: str = ""
    original: str = ""
    place: str = ""


_CERTAIN = "1"


class Reading(Value, frozen=True, kw_only=True):
    """How the program came from words to a value.

    `rule` names the rule that read them, `confidence` is the program's trust in it from '0' to
    '1' as a decimal string, `start` and `end` bound the words within the text they were read from
    (in characters; `end` is exclusive; both 0 when the whole text was read). `licence` names what
    in the words allows the statement ('caption', 'made'), and `polarity` what the words do
    with the value.
    """

    rule: str
    confidence: str = _CERTAIN
    start: int = 0
    end: int = 0
    licence: str = ""
    polarity: Polarity = Polarity.ASSERTED

    def __post_init__(self) -> None:
        # msgspec leaves out a default by identity, which is certain of '' but not of '1': without
        # this, equal readings could have different canonical bytes.
        if self.confidence == _CERTAIN:
            msgspec.structs.force_setattr(self, "confidence", _CERTAIN)


class Statement(Value, frozen=True, kw_only=True):
    """One thing said of a piece.

    `as_stated` are the words as written and are never changed; `who` is the UUID of the party who
    says so, empty for the owner of the archive; `said` is when, as EDTF; `ground` is why they
    hold it; `evidence` are the SHA-256 of originals that bear it out; `private` keeps it with the
    owner whatever the disclosure rules allow.
    """

    as_stated: str = ""
    certainty: Certainty = Certainty.CERTAIN
    who: str = ""
    said: str = ""
    ground: str = ""
    evidence: tuple[str, ...] = ()
    source: Source | None = None
    reading: Reading | None = None
    private: bool = False


class Term(Value, frozen=True, kw_only=True):
    """A term of a vocabulary: the preferred `label`, and where it is defined.

    `vocabulary` names the table and `code` the entry in it; `uri` is given only where the table's
    source has been seen. What the owner wrote stays in the statement's `as_stated`.
    """

    label: str
    vocabulary: str = ""
    code: str = ""
    uri: str = ""


class Note(Statement, frozen=True, kw_only=True):
    """Words kept as they are: a description, a remark, a column that has no other home.

    `heading` is what stood over the words (a column's name, 'description').
    """

    heading: str = ""
