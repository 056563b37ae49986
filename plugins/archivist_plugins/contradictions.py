"""A check: what on a record cannot all be true."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from archivist.hooks import CheckDescription, Finding, Level, Piece, hookimpl

_PLACE = re.compile(r"\[(\d+)\]")


def check(piece: Piece) -> Iterator[Finding]:
    """Each contradiction on the record, as a question: which of the two gives way?"""
    from archivist.reading.contradictions import contradictions

    for found in contradictions(piece.record):
        yield Finding(
            code=found.code,
            level=Level.QUESTION,
            where=", ".join(_counted(place) for place in found.where),
            message=found.message,
            remedy="Correct the one that is wrong, or mark it as rejected; both stay in history.",
        )


def _counted(place: str) -> str:
    """'marks[0]' as people count: 'marks.1'."""
    return _PLACE.sub(lambda match: f".{int(match[1]) + 1}", place)


@hookimpl
def archivist_checks() -> Sequence[CheckDescription]:
    return (
        CheckDescription(
            name="contradictions",
            title="What on a record cannot all be true: dates, marks, sizes, hands",
            check=check,
        ),
    )
