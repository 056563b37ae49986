"""What this copy does not hold: never recorded, or recorded and not given to this reader.

The two are never told in the same words: that nothing is recorded says something of the piece, and
that something is not given only of the copy.
"""

from __future__ import annotations

from archivist.hooks import Piece

MORE = "More is recorded than is given here."


def none_shown(piece: Piece, what: str, fields: tuple[str, ...], otherwise: str) -> str:
    """What stands where nothing of `fields` is told: that it is not given here, or `otherwise`."""
    if piece.withheld.intersection(fields):
        return f"Not given here: {what} is recorded, and this copy does not hold it."
    return otherwise


def more_shown(piece: Piece, fields: tuple[str, ...]) -> str:
    """What stands below what is told of `fields`, where that is not all; else ''."""
    return MORE if piece.withheld.intersection(fields) else ""
