"""What befell an original since it was taken in, for the formats that tell of preservation."""

from __future__ import annotations

from collections.abc import Iterable

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import Event, EventType, Outcome, events
from archivist.catalogue.holdings import occurrences, original
from archivist.hooks import FileEvent

ORIGINALS = "the originals"
"""How the report of a check begins that looked at every original."""

DIGESTED = "message digest calculation"


class History:
    """The history of every original of an archive; its events are read once."""

    def __init__(self, archive: Archive) -> None:
        self._catalogue = archive.catalogue
        self._events: tuple[Event, ...] | None = None

    def of(self, sha256: str) -> tuple[FileEvent, ...]:
        """What befell the original of that digest, oldest first; nothing where it is not known.

        Of fixity checks the newest is told: each says the same as those before it, or more.
        """
        facts = original(self._catalogue, sha256)
        if facts is None:
            return ()
        success = Outcome.SUCCESS.value
        agent = self._taken_in_by(facts.taken_in)
        places = [place.path for place in occurrences(self._catalogue, sha256) if place.path]
        found = f"found as {'; '.join(places)}" if places else ""
        taken_in = FileEvent(EventType.INGESTION.value, facts.taken_in, found, success, agent)
        digested = FileEvent(
            DIGESTED, facts.taken_in, "SHA-256 and SHA-512, as it was copied", success, agent
        )
        checks = [
            _check(event, sha256)
            for event in self._all()
            if event.type == EventType.FIXITY_CHECK
            and event.detail.startswith(ORIGINALS)
            and event.at >= facts.taken_in
        ]
        return (taken_in, digested, *checks[-1:])

    def _all(self) -> Iterable[Event]:
        if self._events is None:
            self._events = events(self._catalogue)
        return self._events

    def _taken_in_by(self, at: str) -> str:
        """The program that took in what was taken in at that moment."""
        ingested = (e for e in self._all() if e.type == EventType.INGESTION and e.at >= at)
        return next((event.agent for event in ingested), "")


def _check(event: Event, sha256: str) -> FileEvent:
    """A check of all originals, as far as it is of one; the report names what was wrong."""
    wrong = next((line for line in event.report.splitlines() if sha256 in line), "")
    return FileEvent(
        type=event.type,
        at=event.at,
        detail=wrong or "compared with its recorded SHA-256 and SHA-512",
        outcome=(Outcome.FAIL if wrong else Outcome.SUCCESS).value,
        agent=event.agent,
    )
