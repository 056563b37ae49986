"""Which proposal is meant."""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.intake.earlier import applied_names
from archivist.intake.proposal import (
    SUFFIX,
    AddPhotograph,
    CreateObject,
    Proposal,
    proposal_files,
    read_proposal,
)


def chosen_proposal(archive: Archive, name: str) -> Path:
    """The proposal of that name or path.

    Raises:
        SelectionError: where there is none; lists those there are.
    """
    folder = archive.proposals
    for candidate in (folder / name, folder / f"{name}{SUFFIX}", Path(name)):
        if candidate.is_file():
            return candidate
    listed = "".join(f"\n  {path.name}" for path in proposal_files(folder)) or " none"
    raise SelectionError(f"There is no proposal '{name}'.", f"There are:{listed}")


def waiting_proposals(archive: Archive) -> tuple[Path, ...]:
    """The proposals that were not applied, or were taken back, the oldest first; those of which a
    later survey took the place wait no more."""
    applied = applied_names(archive)
    return tuple(
        path
        for path in proposal_files(archive.proposals)
        if path.name not in applied and not superseded_by(path)
    )


def superseded_by(path: Path) -> str:
    """The name of the proposal that took the place of the one at `path`, '' where none did.

    Only the beginning of the file is read, where that stands.
    """
    with path.open("rb") as file:
        found = _SUPERSEDED.search(file.read(_BEGINNING))
    return found[1].decode("utf-8") if found else ""


_BEGINNING = 4096
_SUPERSEDED = re.compile(rb'^\s*"superseded_by": "([^"\\]+)"', re.MULTILINE)


def waiting_records(archive: Archive) -> tuple[Path, ...]:
    """The waiting proposals that would bring records; one that cannot be read is not among them."""
    bringing = []
    for path in waiting_proposals(archive):
        with suppress(SelectionError):
            if any(isinstance(item, CreateObject) for item in read_proposal(path).items):
                bringing.append(path)
    return tuple(bringing)


def newest_proposal(archive: Archive) -> Path | None:
    """The newest proposal that was not applied, None where none is waiting."""
    return next(reversed(waiting_proposals(archive)), None)


def newest_with_photographs(archive: Archive) -> Path | None:
    """The newest proposal that waits and has photographs, None where there is none."""
    waiting = reversed(waiting_proposals(archive))
    return next((path for path in waiting if has_photographs(read_proposal(path))), None)


def has_photographs(proposal: Proposal) -> bool:
    """Whether a proposal is about photographs."""
    added = any(isinstance(item, AddPhotograph) for item in proposal.items)
    return added or bool(proposal.photographs)
