"""What was proposed, asked and refused before, so that nobody is told the same thing twice."""

from __future__ import annotations

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import STANDS
from archivist.errors import SelectionError
from archivist.intake.proposal import (
    AnyItem,
    Asked,
    ChangeObject,
    Proposal,
    proposal_files,
    read_proposal,
)


def applied_names(archive: Archive) -> frozenset[str]:
    """The names of proposals that were applied and not taken back."""
    rows = archive.catalogue.connection.execute(
        f"SELECT why, {STANDS} AS stands FROM action WHERE kind = 'intake' ORDER BY number"
    )
    done = {row["why"]: bool(row["stands"]) for row in rows}
    return frozenset(name for name, stands in done.items() if stands)


class Earlier:
    """The proposals that were applied: what a person refused in them, and what was asked."""

    def __init__(self, archive: Archive) -> None:
        self._archive = archive
        self._refused: set[tuple[str, str, str]] | None = None
        self._asked: set[tuple[str, str]] = set()
        self._answered: set[tuple[str, str, str]] = set()

    def refused(self, item: AnyItem) -> bool:
        """Whether a person refused that very thing."""
        if self._refused is None:
            self._refused = self._look()
        return (type(item).__name__, item.source, item.key) in self._refused

    def asked(self, question: Asked) -> bool:
        """Whether that very question stands in a proposal that was applied."""
        if self._refused is None:
            self._refused = self._look()
        return (question.source, question.key) in self._asked

    def was_answered(self, source: str, row: str, column: str) -> bool:
        """Whether a person answered a question about that cell in a proposal that was applied."""
        if self._refused is None:
            self._refused = self._look()
        return (source, row, column) in self._answered

    def _look(self) -> set[tuple[str, str, str]]:
        applied = applied_names(self._archive)
        refused: set[tuple[str, str, str]] = set()
        for path in proposal_files(self._archive.proposals):
            if path.name not in applied:
                continue
            try:
                proposal: Proposal = read_proposal(path)
            except SelectionError:
                continue
            refused |= {
                (type(item).__name__, item.source, item.key)
                for item in proposal.items
                if not item.accept
            }
            self._asked |= {(question.source, question.key) for question in proposal.questions}
            self._answered |= {
                (item.source, item.row, item.key.split("\n")[1])
                for question in proposal.questions
                for choice in (question.choices if question.answer else ())
                for item in choice.items
                if isinstance(item, ChangeObject) and "\n" in item.key
            }
        return refused
