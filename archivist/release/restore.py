"""The way back in: an archive built again from the owner's packages, every version as it was."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import utc_now
from archivist.catalogue.erased import erased_names
from archivist.catalogue.events import EventType, Outcome, record_event
from archivist.catalogue.holdings import write_inventory
from archivist.catalogue.settings import FILE_NAME, settings_in
from archivist.errors import ArchiveError, FixityError, SelectionError
from archivist.hooks import PayloadFile
from archivist.locking import locked
from archivist.plugins import Plugins
from archivist.release.disclosure import OWNER
from archivist.release.fixity import format_of
from archivist.release.joining import Restored, join
from archivist.release.payload import Payload, content_of
from archivist.release.preservation import ARCHIVE_FOLDER
from archivist.release.rebuilding import put_back_proposals, rebuild


def restore(
    plugins: Plugins,
    packages: Sequence[Path],
    into: Path,
    progress: Callable[[int], None] = lambda size: None,
    now: Callable[[], str] = utc_now,
) -> Restored:
    """Builds the archive in `into` from the owner's packages, or merges them into the one there.

    Every package is checked whole before anything of any is taken. The first package for a new
    folder must be of a whole archive; other packages are merged by version.

    Raises:
        FixityError: where a package is damaged.
        SelectionError: where a package was made for another audience, or is not one of ours.
        PackageError: where a package is undamaged and yet does not hold what it must.
        ArchiveError: where `into` holds something else than an archive, or is of another archive.
    """
    into = into.absolute()
    ordered = sorted(packages, key=lambda path: not _is_whole(plugins, path))
    into.parent.mkdir(parents=True, exist_ok=True)
    with locked(into.parent, f".at-work-{into.name}.json", "restore"):
        return _restored(plugins, ordered, into, progress, now)


def _restored(
    plugins: Plugins,
    ordered: Sequence[Path],
    into: Path,
    progress: Callable[[int], None],
    now: Callable[[], str],
) -> Restored:
    done = Restored()
    for path in ordered:
        left_out = _check(plugins, path, progress)
        done.questions.extend(f"{path.name} was made without {missing}" for missing in left_out)
    for path in ordered:
        payload = {file.path: file for file in format_of(plugins, path).payload(path)}
        whole = f"{ARCHIVE_FOLDER}/{FILE_NAME}" in payload
        if whole and not (into / FILE_NAME).exists():
            rebuild(payload, into, done, now)
        else:
            with Archive.open(into, now) as archive, archive.at_work():
                _refuse_other(archive, path, payload)
                join(archive, path, payload, done)
                _put_back_proposals(archive, payload, done)
        done.packages += 1
    with Archive.open(into, now) as archive:
        write_inventory(archive.catalogue, archive.store)
        record_event(
            archive.catalogue,
            EventType.RECOVERY,
            f"{done.packages} packages, {done.versions} versions, {done.originals} originals, "
            f"{done.mended} mended",
            Outcome.WARNING if done.questions else Outcome.SUCCESS,
            "\n".join(done.questions),
        )
    return done


def _put_back_proposals(archive: Archive, payload: Payload, done: Restored) -> None:
    """The proposals that the archive lacks, but for those that name somebody who was erased."""
    erased = erased_names(archive.catalogue.connection)
    if erased is None:
        put_back_proposals(payload, archive.proposals)
        return
    put_back_proposals(payload, archive.proposals, lambda words: bool(erased.party_of(words)))
    done.questions[:] = [erased.replaced(words) for words in done.questions]


def _is_whole(plugins: Plugins, path: Path) -> bool:
    return format_of(plugins, path).facts(path).scope == "archive"


def _check(plugins: Plugins, path: Path, progress: Callable[[int], None]) -> tuple[str, ...]:
    """Refuses a package that is damaged or that was not made for the owner; gives what it says
    that it lacks."""
    opens = format_of(plugins, path)
    audience = opens.facts(path).audience
    if audience != OWNER:
        raise SelectionError(
            f"{path} was made for '{audience or 'nobody that it names'}', so it does not hold "
            "everything.",
            "An archive can only be restored from packages released --for owner.",
        )
    report = opens.verify(path, progress=progress)
    problems = report.problems
    if problems:
        named = (f"{p.path or 'the package'} {p.state.value} {p.detail}" for p in problems[:3])
        first = "; ".join(named)
        raise FixityError(
            f"{path} is damaged ({len(problems)} problems: {first}).",
            "Nothing was taken in. Use another copy of it; 'archivist fixity' lists all.",
        )
    return report.left_out


def _refuse_other(archive: Archive, path: Path, payload: Mapping[str, PayloadFile]) -> None:
    """A whole archive is not poured into another one."""
    settings = payload.get(f"{ARCHIVE_FOLDER}/{FILE_NAME}")
    if settings is None:
        return
    theirs = settings_in(content_of(settings), f"{path}: {FILE_NAME}").id
    if theirs != archive.settings.id:
        raise ArchiveError(
            f"{path} is of the archive {theirs}; {archive.folder} is another "
            f"({archive.settings.id}).",
            "Nothing was changed. Name a folder that does not exist yet with --into.",
        )
