"""Which proposal is meant."""

from __future__ import annotations

from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.intake.earlier import applied_names
from archivist.intake.proposal import SUFFIX, proposal_files


def chosen_proposal(archive: Archive, name: str) -> Path:
    """The proposal of that name or path; without one, the newest that was not applied.

    Raises:
        SelectionError: where there is none.
    """
    files = proposal_files(archive.proposals)
    if name:
        for candidate in (Path(name), archive.proposals / name, archive.proposals / f"{name}{SUFFIX}"):
            if candidate.is_file():
                return candidate
        listed = "".join(f"\n  {path.name}" for path in files) or " none"
        raise SelectionError(f"There is no proposal '{name}'.", f"There are:{listed}")
    applied = applied_names(archive)
    waiting = [path for path in files if path.name not in applied]
    if not waiting:
        raise SelectionError(
            "No proposal is waiting.",
            "'archivist survey SOURCE' makes one; 'archivist apply NAME' repeats an earlier one.",
        )
    return waiting[-1]
