"""A release from beginning to end: select, disclose, run the exporters, register."""

from __future__ import annotations

import shutil
import uuid
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
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
from archivist.errors import ArchiveError, SelectionError
from archivist.hooks import Piece, Selection
from archivist.model import ObjectRecord
from archivist.names import slug
from archivist.plugins import Plugins
from archivist.release.destinations import NewPackage, Publication
from archivist.release.disclosure import OWNER, disclosure_for
from archivist.release.documents import documents_signed
from archivist.release.pieces import Discloser, archive_facts, rules_of
from archivist.release.preservation import preserved_archive, preserved_piece
from archivist.release.remembering import Memory
from archivist.release.request import Chosen, Request, choose
from archivist.release.running import Tally, run
from archivist.release.sealing import digests_of, sign, zip_packages


@dataclass(frozen=True)
class Estimate:
    """What a release takes: pieces, photographs, bytes of pictures, bytes free at its place."""

    pieces: int
    photographs: int
    size: int
    free: int


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
    size = needs.size * (2 if request.zips else 1)
    if packs and size > needs.free:
        raise ArchiveError(
            f"{request.to} has {needs.free:,} bytes free; this release takes about {size:,}.",
            "Nothing was written. Make room, or name another place with --to.",
        )
    if request.signer is not None and not packs:
        raise SelectionError(
            "A signature covers a package, and none of these makes one.",
            "Nothing was released. Release with bagit too, or without --sign.",
        )
    selection = _selection(archive, discloser, request)
    exporters = tuple(c.description.name for c in chosen)
    tally = Tally()
    if packs:
        place = request.to / _package_name(selection)
        with NewPackage(place, _kept(chosen)) as package:
            run(chosen, plugins, selection, package, advance, tally)
            signed: list[int] = []
            done = package.finish(
                tally.complete,
                lambda folder: signed.append(sign(folder, request.signer) if request.signer else 0),
            )
        report = _report(discloser, plugins, tally, done, selection)
        report = _finished(report, request, plugins, sum(signed), selection.made)
        _register(archive, request, exporters, report, _digests(report, chosen))
        return report
    memory = _memory(archive, discloser, request)
    subjects = partial(memory.subjects, request.objects) if memory else None
    try:
        with Publication(request.to, request.audience) as publication:
            run(chosen, plugins, selection, publication, advance, tally, subjects)
            done = publication.finish(tally.complete, sound=not tally.failures)
        if memory:
            memory.keep()
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
    within the archive or that is a file; and an archive in which what goes out cannot be
    registered."""
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
    taken = next((p for p in (request.to, *request.to.parents) if p.exists()), request.to)
    if taken.exists() and not taken.is_dir():
        raise SelectionError(
            f"{taken} is a file, and a release goes into a folder.",
            "Nothing was released. Name a folder with --to, one that is there or a new one.",
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
    rule = disclosure_for(request.audience, rules_of(archive, plugins))
    return Discloser(archive, rule, request.base_uri)


def _memory(archive: Archive, discloser: Discloser, request: Request) -> Memory | None:
    """What is remembered of the pieces; the owner's hold their history, which always grows."""
    if discloser.disclosure.everything:
        return None
    return Memory(archive, discloser, request.base_uri)


def _selection(archive: Archive, discloser: Discloser, request: Request) -> Selection:
    return Selection(
        archive=archive_facts(archive, request.base_uri),
        audience=request.audience,
        made=archive.catalogue.now(),
        title=request.title or _title(archive, discloser, request),
        count=len(request.objects),
        pieces=lambda: _pieces(archive, discloser, request),
        preserved=lambda: preserved_archive(archive) if request.whole_archive else iter(()),
        whole_archive=request.whole_archive,
        signer=request.signer,
    )


def _title(archive: Archive, discloser: Discloser, request: Request) -> str:
    """What a release is called that nobody named: after the archive, or after its one piece."""
    alone = request.named_after_piece and len(request.objects) == 1 and not request.whole_archive
    record = archive.catalogue.get(request.objects[0], ObjectRecord) if alone else None
    return discloser.sight(record).seen(record).name if record else archive.settings.name


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


def _package_name(selection: Selection) -> str:
    """What it is of, for whom, and the day."""
    title = slug(selection.title, 24) or "archive"
    return f"{title}-{slug(selection.audience, 12)}-{selection.made[:10].replace('-', '')}"


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
        withheld_because=discloser.withheld.counted(),
    )


def _finished(report: Report, request: Request, plugins: Plugins, signed: int, made: str) -> Report:
    """The report of a package that has its name: zipped where that was asked for."""
    problems = list(report.problems)
    zips: tuple[Path, ...] = ()
    if request.signer is not None and not signed and report.place is not None:
        signed = documents_signed(plugins, report.place)
    if request.signer is not None and not signed:
        problems.append("nothing was signed: only a bag has what a signature can cover")
    if request.zips and report.place is not None:
        try:
            zips = zip_packages(report.place, made)
        except OSError as problem:
            problems.append(f"the zip of {report.place} could not be written: {problem.strerror}")
    return replace(report, problems=tuple(problems), zips=zips, signed=signed)


def _digests(report: Report, chosen: tuple[Chosen, ...]) -> tuple[str, ...]:
    """By which a package, and every document in it, is known again."""
    described = (c.description for c in chosen)
    documents = [d.name for d in described if d.immutable and not d.takes_in]
    return digests_of(report.place, documents) if report.place is not None else ()


def _register(
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


def _free(place: Path) -> int:
    """Bytes free where `place` is or will be."""
    folder = place.resolve()
    while not folder.exists():
        folder = folder.parent
    return shutil.disk_usage(folder).free
