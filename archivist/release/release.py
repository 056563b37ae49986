"""A release from beginning to end: select, disclose, run the exporters, register."""

from __future__ import annotations

import shutil
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import (
    EventType,
    Outcome,
    ReleaseFacts,
    record_event,
    record_release,
)
from archivist.containment import PluginFailure
from archivist.digests import digest_file
from archivist.errors import ArchiveError, SelectionError
from archivist.hooks import AudienceDescription, Piece, Selection
from archivist.names import slug
from archivist.plugins import Plugins
from archivist.release.destinations import NewPackage, Publication
from archivist.release.disclosure import OWNER, disclosure_for, disclosures
from archivist.release.pieces import Discloser, archive_facts
from archivist.release.preservation import preserved_archive, preserved_piece
from archivist.release.request import Chosen, Request, choose
from archivist.release.running import Tally, run


@dataclass(frozen=True)
class Estimate:
    """What a release takes: pieces, photographs, bytes of pictures, bytes free at its place."""

    pieces: int
    photographs: int
    size: int
    free: int


@dataclass(frozen=True)
class Report:
    """What a release did: where it lies, what was written, what stayed, what failed."""

    place: Path | None
    pieces: int
    written: int
    unchanged: int
    bytes_written: int
    withheld_photographs: int
    problems: tuple[str, ...]
    failures: tuple[PluginFailure, ...]
    unpublished: bool

    @property
    def whole(self) -> bool:
        """Whether everything that was asked for was done."""
        return not self.failures and not self.problems and self.place is not None


def estimate(archive: Archive, request: Request) -> Estimate:
    """How large a release will be: about one copy of the originals of the pictures in it.

    How much of that an exporter writes is its own affair; one that writes words alone takes little.
    """
    connection = archive.catalogue.connection
    if request.whole_archive:
        (count, size) = connection.execute(
            "SELECT count(*), coalesce(sum(size), 0) FROM original"
        ).fetchone()
    else:
        wanted = msgspec.json.encode(request.objects).decode("utf-8")
        (count, size) = connection.execute(
            "SELECT count(*), coalesce(sum(size), 0) FROM original WHERE sha256 IN "
            "(SELECT key FROM current JOIN depiction ON depiction.photograph = current.entity "
            "WHERE depiction.object IN (SELECT value FROM json_each(?1) UNION SELECT entity "
            "FROM current WHERE merged_into IN (SELECT value FROM json_each(?1))))",
            (wanted,),
        ).fetchone()
    return Estimate(len(request.objects), count, size, _free(request.to))


def release(
    archive: Archive,
    plugins: Plugins,
    request: Request,
    advance: Callable[[int], None] = lambda pieces: None,
) -> Report:
    """Does what `request` asks for, and enters it in the register.

    A release with an exporter that makes packages gives a new package each time; any other
    updates the publication that lies at `request.to`.

    Raises:
        SelectionError: for something that is not there, or the wrong audience for it.
        ArchiveError: where there is no room, or the register cannot be kept.
    """
    chosen = choose(plugins, request)
    discloser = _discloser(archive, plugins, request)
    _refuse_harm(archive, request)
    needs = estimate(archive, request)
    packs = any(c.description.immutable for c in chosen)
    if packs and needs.size > needs.free:
        raise ArchiveError(
            f"{request.to} has {needs.free:,} bytes free; this release takes about {needs.size:,}.",
            "Nothing was written. Make room, or name another place with --to.",
        )
    selection = _selection(archive, discloser, request)
    exporters = tuple(c.description.name for c in chosen)
    tally = Tally()
    if packs:
        place = request.to / _package_name(archive, request, selection.made)
        with NewPackage(place, _kept(chosen)) as package:
            run(chosen, plugins, selection, package, advance, tally)
            done = package.finish(tally.complete)
        report = _report(discloser, plugins, tally, done, selection)
        _register(archive, request, exporters, report, _seal(report))
        return report
    try:
        with Publication(request.to, request.audience) as publication:
            run(chosen, plugins, selection, publication, advance, tally)
            done = publication.finish(tally.complete)
    except BaseException:
        # What was written before it was stopped lies there for its audience to see.
        report = _report(discloser, plugins, tally, request.to, selection)
        _register(archive, request, exporters, report, stopped=True)
        raise
    report = _report(discloser, plugins, tally, done, selection)
    _register(archive, request, exporters, report)
    return report


def _refuse_harm(archive: Archive, request: Request) -> None:
    """Refuses what would do harm: an empty selection, which would empty a publication; a place
    within the archive; and an archive in which what goes out cannot be registered."""
    if not request.objects and not request.whole_archive:
        raise SelectionError(
            "No piece is what was asked for, so nothing was released.",
            "Ask for less, or 'archivist show' to see what there is.",
        )
    inside = (archive.store.folder, archive.derivatives, archive.proposals)
    if any(request.to.resolve().is_relative_to(folder.resolve()) for folder in inside):
        raise SelectionError(
            f"{request.to} is a folder that the archive keeps for itself.",
            "Nothing was released. Name a folder outside the archive with --to.",
        )
    if not archive.catalogue.writable:
        raise ArchiveError(
            f"{archive.folder} cannot be written, so what is handed out could not be registered.",
            "Copy the archive to a disk that can be written, and release from there.",
        )


def _discloser(archive: Archive, plugins: Plugins, request: Request) -> Discloser:
    if request.whole_archive and request.audience != OWNER:
        raise SelectionError(
            f"The whole archive holds everything and cannot go to '{request.audience}'.",
            "Release it --for owner, or leave --archive away.",
        )
    described = plugins.of("audience", AudienceDescription)
    rules = disclosures(described, archive.settings.audiences)
    return Discloser(archive, disclosure_for(request.audience, rules), request.base_uri)


def _selection(archive: Archive, discloser: Discloser, request: Request) -> Selection:
    return Selection(
        archive=archive_facts(archive, request.base_uri),
        audience=request.audience,
        made=archive.catalogue.now(),
        title=request.title or archive.settings.name,
        count=len(request.objects),
        pieces=lambda: _pieces(archive, discloser, request),
        preserved=lambda: preserved_archive(archive) if request.whole_archive else iter(()),
        whole_archive=request.whole_archive,
    )


def _pieces(archive: Archive, discloser: Discloser, request: Request) -> Iterator[Piece]:
    """The pieces; for the owner with the history that lets an archive take them back."""
    for piece in discloser.pieces(request.objects):
        if discloser.disclosure.everything and not request.whole_archive:
            yield replace(piece, preserved=preserved_piece(archive, piece))
        else:
            yield piece


def _kept(chosen: tuple[Chosen, ...]) -> tuple[str, ...]:
    """The exporters whose files are not taken in by another."""
    names = {c.description.name for c in chosen}
    taken: set[str] = set()
    for description in (c.description for c in chosen if c.description.takes_in):
        others = names - {description.name}
        taken |= others if "*" in description.after else others & set(description.after)
    return tuple(c.description.name for c in chosen if c.description.name not in taken)


def _package_name(archive: Archive, request: Request, made: str) -> str:
    """What it is of, for whom, and the day."""
    title = slug(request.title or archive.settings.name, 24) or "archive"
    return f"{title}-{slug(request.audience, 12)}-{made[:10].replace('-', '')}"


def _report(
    discloser: Discloser, plugins: Plugins, tally: Tally, place: Path | None, selection: Selection
) -> Report:
    not_loaded = (PluginFailure(f.origin, "", f"not loaded: {f.reason}") for f in plugins.failures)
    problems = tuple(dict.fromkeys(discloser.withheld.problems))
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
    )


def _seal(report: Report) -> str:
    """The digest of the tag manifest of a package, '' where it has none or several."""
    seals = sorted(report.place.rglob("tagmanifest-sha256.txt")) if report.place else []
    return digest_file(seals[0]).sha256 if len(seals) == 1 else ""


def _register(
    archive: Archive,
    request: Request,
    exporters: tuple[str, ...],
    report: Report,
    seal: str = "",
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
            digest=seal,
            objects=request.objects,
        ),
    )
    detail = f"{', '.join(exporters)} for {request.audience}: {report.pieces} pieces"
    outcome = Outcome.SUCCESS if report.whole and not stopped else Outcome.WARNING
    text = "\n".join((*report.problems, *(str(failure) for failure in report.failures)))
    record_event(archive.catalogue, EventType.DISSEMINATION, detail, outcome, text)


def _free(place: Path) -> int:
    """Bytes free where `place` is or will be."""
    folder = place.resolve()
    while not folder.exists():
        folder = folder.parent
    return shutil.disk_usage(folder).free
