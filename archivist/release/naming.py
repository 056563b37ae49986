"""The names and addresses by which released pieces and photographs go."""

from __future__ import annotations

from archivist.model import ObjectRecord
from archivist.names import slug

_NUMBER = 18
_IDENTIFIER = 8
_IDENTIFIER_ALONE = 24
"""Longer, since 8 digits alone would come twice among 20,000 pieces with a chance of 1 in 20."""


def piece_slug(record: ObjectRecord) -> str:
    """A file name for a piece: its stock number, made legal, and the start of its UUID.

    The UUID's part keeps apart pieces that share a stock number or have none.
    """
    number = slug(record.stock_number, _NUMBER).rstrip("-")
    identifier = slug(record.id).replace("-", "")
    if not number:
        return identifier[:_IDENTIFIER_ALONE]
    return f"{number}-{identifier[:_IDENTIFIER]}"


def piece_uri(base: str, record: ObjectRecord) -> str:
    """The identifier of a piece on the web: made of its UUID, so that it never changes."""
    return f"{base}objects/{record.id}"
