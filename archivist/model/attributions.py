"""What somebody holds the date, period, place, culture, kiln or maker of a piece to be."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Statement, Term
from archivist.model.dates import Date


class Aspect(StrEnum):
    """What an attribution is about. A period is held apart from the years it stands for."""

    DATE = "date"
    PERIOD = "period"
    PLACE = "place"
    CULTURE = "culture"
    KILN = "kiln"
    MAKER = "maker"


class AttributionRole(StrEnum):
    """In which role a date, place or person stands to the piece, or to the part that is named."""

    MADE = "made"
    DECORATED = "decorated"
    MOUNTED = "mounted"
    ALTERED = "altered"


class Attribution(Statement, frozen=True, kw_only=True):
    """What somebody holds the date, period, place, culture, kiln or maker to be.

    A date goes in `date`, anything else in `term`; several may stand, which of them is held is
    weighed (`archivist.model.held`), none is deleted. `preferred` is a person's mark: this one is
    held whatever else stands, and another's opinion is adopted. `part` names the part it is of
    ('cover', 'mounts'), empty for the piece itself; `role` says what was done then, there or by
    whom.
    """

    aspect: Aspect
    date: Date | None = None
    term: Term | None = None
    part: str = ""
    role: AttributionRole = AttributionRole.MADE
    preferred: bool = False

    def __post_init__(self) -> None:
        if self.aspect is Aspect.DATE and self.term is not None:
            raise ValueError("an attribution of date holds a date, not a term")
        if self.aspect is not Aspect.DATE and self.date is not None:
            raise ValueError(f"an attribution of {self.aspect} holds a term, not a date")

    @property
    def of_the_piece(self) -> bool:
        """Whether it is of the making of the piece itself, and of no part or later hand."""
        return not self.part and self.role is AttributionRole.MADE
