"""Evidence: a value for one field of one subject, with where it comes from.

Everything that is known of what a photograph shows becomes this, whoever says it: a person, a
caption, the name of a file or a folder, a clock, a likeness. Which of it is held is decided by
`weighing` alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Generic, TypeVar

from archivist.model import Certainty

Value = TypeVar("Value")


class Ground(IntEnum):
    """What evidence rests on, the strongest first: the one table of precedence."""

    EDIT = 0
    CONFIRMED_CELL = 1
    CELL = 2
    CAPTION = 3
    FILE_NAME = 4
    KEYWORD = 5
    FOLDER = 6
    CLOCK = 7
    LIKENESS = 8

    @property
    def is_of_person(self) -> bool:
        """Whether a person said just this, so that no rule outweighs it."""
        return self <= Ground.CELL


@dataclass(frozen=True)
class Evidence(Generic[Value]):
    """A value of a field of a subject: who or which rule says so, in which words, how surely.

    `exact` says that the words name the value itself, whole and by themselves; what they only
    suggest is vaguer. `against` says why it is not to be believed all the same; then it is kept,
    and never held.
    """

    subject: str
    field: str
    value: Value
    ground: Ground
    rule: str
    source: str
    certainty: Certainty = Certainty.CERTAIN
    exact: bool = True
    reasons: tuple[str, ...] = ()
    against: str = ""

    def refused(self, why: str) -> Evidence[Value]:
        """The same, not to be believed."""
        return replace(self, against=why)
