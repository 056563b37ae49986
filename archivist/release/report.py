"""What a release did, as it is told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from archivist.containment import PluginFailure
from archivist.hooks import Selection
from archivist.plugins import Plugins
from archivist.release.pieces import Discloser
from archivist.release.running import Tally


@dataclass(frozen=True)
class Report:
    """What a release did: where it lies, what was written, what stayed, what failed.

    `withheld_because` counts the photographs that stayed by why they did (`Stays`), each once.
    `zips` are the same packages as zips; `signed` counts the packages that were signed.
    """

    place: Path | None
    pieces: int
    written: int
    unchanged: int
    bytes_written: int
    withheld_photographs: int
    problems: tuple[str, ...]
    failures: tuple[PluginFailure, ...]
    unpublished: bool
    zips: tuple[Path, ...] = ()
    signed: int = 0
    withheld_because: Mapping[str, int] = field(default_factory=dict)

    @property
    def whole(self) -> bool:
        """Whether everything that was asked for was done."""
        return not self.failures and not self.problems and self.place is not None


def reported(
    discloser: Discloser, plugins: Plugins, tally: Tally, place: Path | None, selection: Selection
) -> Report:
    not_loaded = (PluginFailure(f.origin, "", f"not loaded: {f.reason}") for f in plugins.failures)
    damaged = (str(problem) for problem in discloser.archive.catalogue.damaged.values())
    told = (*discloser.withheld.problems, *tally.omitted, *damaged)
    problems = tuple(dict.fromkeys(" ".join(words.split()) for words in told))
    return Report(
        place=place,
        pieces=selection.count,
        written=tally.written,
        unchanged=tally.unchanged,
        bytes_written=tally.bytes_written,
        withheld_photographs=len(discloser.withheld.photographs),
        problems=problems,
        failures=(*not_loaded, *tally.failures),
        unpublished=not selection.archive.base_uri,
        withheld_because=discloser.withheld.counted(),
    )
