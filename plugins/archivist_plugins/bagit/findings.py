"""What a look at a bag found: problems by kind and path, and remarks."""

from __future__ import annotations

from archivist.hooks import FixityProblem, FixityState
from archivist_plugins.bagit.paths import printable


class Findings:
    """Problems by kind and path, each named once with all its reasons, and remarks."""

    def __init__(self) -> None:
        self._problems: dict[tuple[FixityState, str], dict[str, None]] = {}
        self._remarks: dict[str, None] = {}
        self._unlisted: dict[str, None] = {}

    def problem(self, state: FixityState, path: str, detail: str = "") -> None:
        details = self._problems.setdefault((state, printable(path)), {})
        if detail:
            details[printable(detail)] = None

    def remark(self, words: str) -> None:
        self._remarks[printable(words)] = None

    def not_listed(self, path: str) -> None:
        """Notes a tag file that no manifest covers, which a bag may hold."""
        self._unlisted[printable(path)] = None
        self.remark(f"'{path}' is in no tag manifest; a change to it cannot be seen.")

    @property
    def problems(self) -> tuple[FixityProblem, ...]:
        """Every problem, in the order of paths."""
        return tuple(
            FixityProblem(state, path, "; ".join(details))
            for (state, path), details in sorted(
                self._problems.items(), key=lambda item: (item[0][1], item[0][0])
            )
        )

    @property
    def remarks(self) -> tuple[str, ...]:
        return tuple(self._remarks)

    @property
    def unlisted(self) -> tuple[str, ...]:
        return tuple(self._unlisted)
