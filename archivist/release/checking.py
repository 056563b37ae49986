"""Runs checks over pieces, as their owner sees them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from archivist.catalogue.archive import Archive
from archivist.containment import PluginFailure, contained
from archivist.hooks import CheckDescription, Finding
from archivist.plugins import Plugins
from archivist.release.disclosure import OWNER, disclosures
from archivist.release.pieces import Discloser


def check_pieces(
    archive: Archive,
    plugins: Plugins,
    ids: Sequence[str],
    advance: Callable[[int], None] = lambda records: None,
) -> tuple[list[tuple[str, Finding]], list[PluginFailure]]:
    """What every check finds on the records of those UUIDs, each with the record's name.

    A check that raises is named with its record, and the others go on.
    """
    checks = plugins.of("check", CheckDescription)
    found: list[tuple[str, Finding]] = []
    failures: list[PluginFailure] = []
    for piece in Discloser(archive, disclosures()[OWNER], copies=False).pieces(ids):
        for described in checks:
            origin = plugins.origin("check", described.name)
            with contained(origin, piece.record.name, failures):
                found.extend((piece.record.name, finding) for finding in described.check(piece))
        advance(1)
    return found, failures
