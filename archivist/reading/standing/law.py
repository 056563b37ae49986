"""The law: what becomes of a candidate by its kind, of what it is said, its role and its standing.

One table, read from the top; the first row that fits decides. `python -m
archivist.reading.standing.law` prints it as the table that DEVELOPERS.md shows.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from archivist.model.base import Certainty, Polarity
from archivist.reading.standing.subjects import Subject


class Position(StrEnum):
    """Where the words stand, which is a licence by itself."""

    CAPTION = "caption"
    PICTURE = "caption of a photograph"
    DESCRIPTION = "description"
    OPINION = "opinion"
    CELL = "cell"


class Outcome(StrEnum):
    """What a candidate becomes."""

    STATEMENT = "statement"
    MENTION = "mention"
    QUESTION = "question"


class Kind(StrEnum):
    """Kinds of candidate that the law treats alike."""

    ATTRIBUTION = "date, place, maker"
    FEATURE = "feature"
    SIZE = "size"
    MARK = "mark"
    CONDITION = "condition"
    EVENT = "provenance, citation"
    TITLE = "title"


ROLES_OF_AN_ATTRIBUTION = frozenset({"made", "decorated", "mounted", "altered"})
"""Roles in which a date, place or person is an attribution of the piece or of its part."""

_ANY = frozenset[str]()


class Article(NamedTuple):
    """One row: empty sets fit everything. `certainty` is the most that is left of the speaker's."""

    kinds: frozenset[Kind]
    of: frozenset[Subject]
    roles: frozenset[str]
    polarities: frozenset[Polarity]
    outcome: Outcome
    certainty: Certainty = Certainty.CERTAIN
    why: str = ""


def _kinds(*kinds: Kind) -> frozenset[Kind]:
    return frozenset(kinds)


_NOT_OF_THE_PIECE = frozenset(
    {
        Subject.OTHER,
        Subject.PHOTOGRAPH,
        Subject.PUBLICATION,
        Subject.EXHIBITION,
        Subject.PERSON,
        Subject.PAPER,
        Subject.TRADE,
    }
)
_ALL: frozenset[Kind] = frozenset()
_EVERY: frozenset[Subject] = frozenset()
_ALWAYS: frozenset[Polarity] = frozenset()

LAW: tuple[Article, ...] = (
    Article(
        _kinds(Kind.EVENT),
        _EVERY,
        _ANY,
        frozenset({Polarity.DENIED, Polarity.SOUGHT, Polarity.CONDITIONAL, Polarity.ASKED}),
        Outcome.MENTION,
        why="did not happen as far as the words say",
    ),
    Article(_kinds(Kind.EVENT), _EVERY, _ANY, _ALWAYS, Outcome.STATEMENT, why="read as such"),
    Article(_ALL, _NOT_OF_THE_PIECE, _ANY, _ALWAYS, Outcome.MENTION, why="of something else"),
    Article(_ALL, _EVERY, _ANY, frozenset({Polarity.CONDITIONAL}), Outcome.MENTION, why="only if"),
    Article(
        _kinds(Kind.CONDITION),
        _EVERY,
        _ANY,
        frozenset({Polarity.DENIED, Polarity.SOUGHT}),
        Outcome.STATEMENT,
        why="absent",
    ),
    Article(
        _kinds(Kind.ATTRIBUTION),
        _EVERY,
        frozenset({"other"}),
        _ALWAYS,
        Outcome.MENTION,
        why="in another role than the making",
    ),
    Article(
        _kinds(Kind.ATTRIBUTION, Kind.FEATURE),
        _EVERY,
        _ANY,
        frozenset({Polarity.DENIED}),
        Outcome.STATEMENT,
        Certainty.REJECTED,
        "an opinion that is not held",
    ),
    Article(
        _ALL, _EVERY, _ANY, frozenset({Polarity.DENIED, Polarity.SOUGHT}), Outcome.MENTION, why="no"
    ),
    Article(_ALL, _EVERY, _ANY, frozenset({Polarity.ASKED}), Outcome.QUESTION, why="is asked"),
    Article(
        _kinds(Kind.ATTRIBUTION, Kind.FEATURE),
        _EVERY,
        _ANY,
        frozenset({Polarity.FORMER, Polarity.CLAIMED}),
        Outcome.STATEMENT,
        Certainty.DOUBTFUL,
        "an opinion that the writer only reports",
    ),
    Article(
        _ALL,
        _EVERY,
        _ANY,
        frozenset({Polarity.FORMER, Polarity.CLAIMED}),
        Outcome.MENTION,
        why="only reported",
    ),
    Article(_ALL, _EVERY, _ANY, _ALWAYS, Outcome.STATEMENT, why="said of the piece"),
)


def article_for(kind: Kind, of: Subject, role: str, polarity: Polarity) -> Article:
    """The first row of the law that fits."""
    return next(
        row
        for row in LAW
        if (not row.kinds or kind in row.kinds)
        and (not row.of or of in row.of)
        and (not row.roles or role in row.roles)
        and (not row.polarities or polarity in row.polarities)
    )


def printed() -> str:
    """The law as a table in Markdown."""
    lines = ["| kind | of | role | standing | becomes | certainty | why |", "| - " * 7 + "|"]
    for row in LAW:
        cells = [
            ", ".join(sorted(row.kinds)) or "any",
            ", ".join(sorted(row.of)) or "any",
            ", ".join(sorted(row.roles)) or "any",
            ", ".join(sorted(row.polarities)) or "any",
            row.outcome.value,
            "" if row.certainty is Certainty.CERTAIN else row.certainty.value,
            row.why,
        ]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


if __name__ == "__main__":
    import sys

    sys.stdout.write(printed() + "\n")
