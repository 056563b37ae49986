"""The register of what was handed out: a package or document seen again is found in it."""

from __future__ import annotations

import uuid
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import (
    EventType,
    Outcome,
    ReleaseFacts,
    record_event,
    record_release,
    releases,
)
from archivist.digests import digest_file
from archivist.errors import SelectionError
from archivist.hooks import ExporterDescription
from archivist.plugins import Plugins
from archivist.release.report import Report
from archivist.release.request import Request


def recognised(archive: Archive, plugins: Plugins, path: Path) -> tuple[str, list[ReleaseFacts]]:
    """The digest by which the package (a folder or a zip) or document is known; its releases.

    Raises:
        SelectionError: where there is neither a package nor a file.
        PackageError: where what seals the package cannot be read.
    """
    digest = _digest(plugins, path)
    return digest, [facts for facts in releases(archive.catalogue) if digest in facts.digests]


def _digest(plugins: Plugins, path: Path) -> str:
    for described in plugins.of("exporter", ExporterDescription):
        if described.opens is not None and described.opens.recognises(path):
            digest = described.opens.seal(path).digest
            if digest:
                return digest
    if not path.is_file():
        raise SelectionError(
            f"{path} is neither a package with a seal nor a file.",
            "Name the package's own folder, its zip, or a document that was in it.",
        )
    return digest_file(path).sha256


def enter(
    archive: Archive,
    request: Request,
    exporters: tuple[str, ...],
    report: Report,
    digests: tuple[str, ...] = (),
    *,
    stopped: bool = False,
) -> None:
    """Enters a release that wrote anything in the register and among the events."""
    if report.place is None or not report.written:
        return
    record_release(
        archive.catalogue,
        ReleaseFacts(
            id=str(uuid.uuid4()),
            at=archive.catalogue.now(),
            audience=request.audience,
            exporters=exporters,
            location=str(report.place.resolve()),
            digests=digests,
            objects=request.objects,
        ),
    )
    detail = f"{', '.join(exporters)} for {request.audience}: {report.pieces} pieces"
    outcome = Outcome.SUCCESS if report.whole and not stopped else Outcome.WARNING
    text = "\n".join((*report.problems, *(str(failure) for failure in report.failures)))
    record_event(archive.catalogue, EventType.DISSEMINATION, detail, outcome, text)
