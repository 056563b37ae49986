"""Who says it, how sure, and on what ground: what stands beside a statement."""

from __future__ import annotations

from archivist.hooks import Piece
from archivist.model import Certainty, Polarity, Statement
from archivist.wording.plain import listed

POLARITY_WORDS: dict[Polarity, str] = {
    Polarity.ASKED: "asked, not said",
    Polarity.SUPPOSED: "supposed",
    Polarity.CONDITIONAL: "said on a condition",
    Polarity.SOUGHT: "looked for",
    Polarity.FORMER: "formerly held",
    Polarity.CLAIMED: "claimed",
}
"""What words do with a value that they neither assert nor deny. A denial is a rejected opinion."""


def party_name(piece: Piece, party_id: str) -> str:
    """The name of a party as this audience may read it; '' for no party at all."""
    if not party_id:
        return ""
    party = piece.party(party_id)
    name = (party.name or party.as_published) if party else ""
    return name or "a party not named here"


def doubt(piece: Piece, statement: Statement) -> str:
    """How sure, and who says so: what keeps a bare value from being the owner's certain word."""
    who = party_name(piece, statement.who)
    sure = statement.certainty is Certainty.CERTAIN
    return listed(
        [
            "" if sure else statement.certainty.value,
            how_said(statement),
            f"according to {who}" if who else "",
        ],
        "; ",
    )


def caveats(piece: Piece, statement: Statement) -> str:
    """How sure, who says so, when and why; '' for what the owner holds certain without a ground."""
    return listed(
        [
            doubt(piece, statement),
            f"said {statement.said}" if statement.said else "",
            f"ground: {statement.ground}" if statement.ground else "",
        ],
        "; ",
    )


def how_said(statement: Statement) -> str:
    """What the words do with the value, where the reading says so and it is no plain assertion."""
    return POLARITY_WORDS.get(statement.reading.polarity, "") if statement.reading else ""


def with_caveats(piece: Piece, text: str, statement: Statement) -> str:
    """`text` with its caveats in brackets, those that it ends with or new ones."""
    said = caveats(piece, statement)
    if not said:
        return text
    return f"{text[:-1]}; {said})" if text.endswith(")") else f"{text} ({said})"
