"""Waiting proposals that a later survey of the same sources takes the place of."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.errors import SelectionError
from archivist.intake.choose import waiting_proposals
from archivist.intake.proposal import Proposal, read_proposal, rewrite_proposal


def supersede(archive: Archive, path: Path, proposal: Proposal) -> None:
    """Marks the waiting proposals whose sources are all surveyed anew in the one at `path`.

    A source is the same by its UUID, or by the digest of its file wherever that lies. One of
    which a person has answered or refused something stays as it is: their word is not put aside.
    """
    ids = {source.id for source in proposal.sources}
    files = {source.original for source in proposal.sources if source.original}
    for other in waiting_proposals(archive):
        if other == path:
            continue
        with suppress(SelectionError):
            older = read_proposal(other)
            same = all(s.id in ids or s.original in files for s in older.sources)
            if older.sources and same and not _is_decided(older) and _is_of_tables(older):
                rewrite_proposal(other, msgspec.structs.replace(older, superseded_by=path.name))


def _is_of_tables(proposal: Proposal) -> bool:
    return all(source.original for source in proposal.sources)


def _is_decided(proposal: Proposal) -> bool:
    """Whether a person has decided something of it."""
    answered = any(question.answer for question in proposal.questions)
    return answered or not all(item.accept for item in proposal.items)
