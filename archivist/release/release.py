"""A release from beginning to end: select, disclose, run the exporters, register."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.errors import ArchiveError, FixityError, SelectionError
from archivist.hooks import Piece, Selection
from archivist.model import ObjectRecord
from archivist.names import slug
from archivist.plugins import Plugins
from archivist.release.destinations import NewPackage, Publication
from archivist.release.disclosure import OWNER, disclosure_for
from archivist.release.documents import documents_signed
from archivist.release.estimate import estimate
from archivist.release.fixity import refuse_damaged
from archivist.release.pieces import Discloser, archive_facts, rules_of
from archivist.release.preservation import preserved_archive, preserved_piece
from archivist.release.register import enter
from archivist.release.remembering import Memory
from archivist.release.report import Report, reported
from archivist.release.request import Chosen, Request, choose
from archivist.release.running import Tally, run
from archivist.release.sealing import digests_of, sign, zip_packages


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
    discloser = _discloser(archive, plugins, request, chosen)
    _refuse_harm(archive, request)
    packs = any(c.description.immutable for c in chosen)
    _refuse_what_cannot_be(archive, request, packs)
    selection = _selection(archive, discloser, request, chosen)
    make = _pack if packs else _publish
    return make(archive, plugins, request, chosen, discloser, selection, advance)


def _pack(
    archive: Archive,
    plugins: Plugins,
    request: Request,
    chosen: tuple[Chosen, ...],
    discloser: Discloser,
    selection: Selection,
    advance: Callable[[int], None],
) -> Report:
    """A new package: built beside its place, sealed, and named when it is whole."""
    tally = Tally()
    with NewPackage(request.to / _package_name(selection), _kept(chosen)) as package:
        run(chosen, plugins, selection, package, advance, tally)
        signed: list[int] = []
        done = package.finish(
            tally.complete,
            lambda folder: signed.append(sign(folder, request.signer) if request.signer else 0),
        )
    report = reported(discloser, plugins, tally, done, selection)
    report = _finished(report, request, plugins, sum(signed), selection.made)
    enter(archive, request, _names(chosen), report, _digests(report, chosen))
    return report


def _publish(
    archive: Archive,
    plugins: Plugins,
    request: Request,
    chosen: tuple[Chosen, ...],
    discloser: Discloser,
    selection: Selection,
    advance: Callable[[int], None],
) -> Report:
    """The publication that lies there, brought up to date file by file."""
    tally = Tally()
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
        report = reported(discloser, plugins, tally, request.to, selection)
        enter(archive, request, _names(chosen), report, stopped=True)
        raise
    report = reported(discloser, plugins, tally, done, selection)
    enter(archive, request, _names(chosen), report)
    return report


def _names(chosen: tuple[Chosen, ...]) -> tuple[str, ...]:
    return tuple(c.description.name for c in chosen)


def _refuse_what_cannot_be(archive: Archive, request: Request, packs: bool) -> None:
    """Refuses a package for which there is no room, and a signature with nothing to cover."""
    needs = estimate(archive, request)
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


def _refuse_harm(archive: Archive, request: Request) -> None:
    """Refuses what would do harm: an empty selection, which would empty a publication; a place
    within the archive or that is a file; and an archive in which what goes out cannot be
    registered."""
    if not request.objects and not request.whole_archive:
        raise SelectionError(
            "No piece is what was asked for, so nothing was released.",
            "Ask for less, or 'archivist show' to see what there is.",
        )
    if archive.keeps_for_itself(request.to):
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


def _discloser(
    archive: Archive, plugins: Plugins, request: Request, chosen: tuple[Chosen, ...]
) -> Discloser:
    """Where the whole archive goes into a bag alone, the bag compares each file as it copies it,
    and nobody else hands a picture on: none is read twice."""
    if request.whole_archive and request.audience != OWNER:
        raise SelectionError(
            f"The whole archive holds everything and cannot go to '{request.audience}'.",
            "Release it --for owner, or leave --archive away.",
        )
    rule = disclosure_for(request.audience, rules_of(archive, plugins))
    copied_alone = request.whole_archive and all(c.description.takes_in for c in chosen)
    return Discloser(archive, rule, request.base_uri, copies=not copied_alone)


def _memory(archive: Archive, discloser: Discloser, request: Request) -> Memory | None:
    """What is remembered of the pieces; the owner's hold their history, which always grows."""
    if discloser.disclosure.everything:
        return None
    return Memory(archive, discloser, request.base_uri)


def _selection(
    archive: Archive, discloser: Discloser, request: Request, chosen: tuple[Chosen, ...]
) -> Selection:
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
        exporters=_names(chosen),
    )


def _title(archive: Archive, discloser: Discloser, request: Request) -> str:
    """What a release is called that nobody named: after the archive, or after its one piece."""
    alone = request.named_after_piece and len(request.objects) == 1 and not request.whole_archive
    record = archive.catalogue.sound(request.objects[0], ObjectRecord) if alone else None
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
            zips = zip_packages(report.place, made, partial(refuse_damaged, plugins))
        except OSError as problem:
            problems.append(f"the zip of {report.place} could not be written: {problem.strerror}")
        except FixityError as problem:
            problems.append(str(problem))
    return replace(report, problems=tuple(problems), zips=zips, signed=signed)


def _digests(report: Report, chosen: tuple[Chosen, ...]) -> tuple[str, ...]:
    """By which a package, and every document in it, is known again."""
    described = (c.description for c in chosen)
    documents = [d.name for d in described if d.immutable and not d.takes_in]
    return digests_of(report.place, documents) if report.place is not None else ()
