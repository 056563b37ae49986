"""What befell the archive, in the words of PREMIS 3.0, and the register of what was handed out."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from enum import StrEnum

from archivist import __version__
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.facts import seal

AGENT = f"archivist {__version__}"


class EventType(StrEnum):
    """Terms of the PREMIS event type vocabulary (id.loc.gov/vocabulary/preservation/eventType)."""

    INGESTION = "ingestion"
    FIXITY_CHECK = "fixity check"
    DISSEMINATION = "dissemination"
    DELETION = "deletion"
    RECOVERY = "recovery"
    CREATION = "creation"


class Outcome(StrEnum):
    """Terms of the PREMIS event outcome vocabulary."""

    SUCCESS = "success"
    FAIL = "fail"
    WARNING = "warning"


@dataclass(frozen=True)
class Event:
    """One event: when, of which type, what exactly, how it went, and a longer report."""

    id: str
    at: str
    type: str
    detail: str
    outcome: str
    agent: str
    report: str = ""


@dataclass(frozen=True)
class ReleaseFacts:
    """One thing that was handed out. `objects` are UUIDs.

    `digests` are the SHA-256 by which it is known again: of the tag manifest of each bag, and of
    each document.
    """

    id: str
    at: str
    audience: str
    exporters: tuple[str, ...]
    location: str
    digests: tuple[str, ...]
    objects: tuple[str, ...]


def record_event(
    catalogue: Catalogue, type_: EventType, detail: str, outcome: Outcome, report: str = ""
) -> Event:
    """Writes an event, by itself, at this moment."""
    event = Event(str(uuid.uuid4()), catalogue.now(), type_, detail, outcome, AGENT, report)
    values = (event.id, event.at, event.type, event.detail, event.outcome, event.agent)
    with catalogue.addition():
        catalogue.connection.execute(
            "INSERT INTO event (id, at, type, detail, outcome, agent, report) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            (*values, event.report),
        )
        seal(catalogue.connection, [("event", event.id)])
    return event


def events(catalogue: Catalogue) -> tuple[Event, ...]:
    """Every event, oldest first."""
    rows = catalogue.connection.execute("SELECT * FROM event ORDER BY at, rowid")
    return tuple(Event(**dict(row)) for row in rows)


def record_release(catalogue: Catalogue, facts: ReleaseFacts) -> None:
    """Enters something that was handed out in the register."""
    with catalogue.addition():
        catalogue.connection.execute(
            "INSERT INTO release (id, at, audience, exporters, location, digest, objects) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            (
                facts.id,
                facts.at,
                facts.audience,
                "\n".join(facts.exporters),
                facts.location,
                "\n".join(facts.digests),
                "\n".join(facts.objects),
            ),
        )
        seal(catalogue.connection, [("release", facts.id)])


def releases(catalogue: Catalogue) -> tuple[ReleaseFacts, ...]:
    """The register of what was handed out, oldest first."""
    rows = catalogue.connection.execute("SELECT * FROM release ORDER BY at, rowid")
    return tuple(
        ReleaseFacts(
            row["id"],
            row["at"],
            row["audience"],
            tuple(row["exporters"].split("\n")),
            row["location"],
            tuple(row["digest"].split("\n")) if row["digest"] else (),
            tuple(row["objects"].split("\n")) if row["objects"] else (),
        )
        for row in rows
    )
