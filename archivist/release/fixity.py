"""Fixity checks: originals and packages compared with their recorded digests."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from archivist.catalogue.archive import CATALOGUE, Archive
from archivist.catalogue.events import EventType, Outcome, record_event
from archivist.catalogue.facts import SETTINGS
from archivist.catalogue.holdings import Original, inventory, originals
from archivist.catalogue.originals import write_whole
from archivist.catalogue.settings import FILE_NAME
from archivist.catalogue.soundness import check_catalogue
from archivist.digests import copy_stream
from archivist.errors import ArchiveError, FixityError, SelectionError
from archivist.hooks import (
    ExporterDescription,
    FixityProblem,
    FixityReport,
    FixityState,
    PackageFormat,
)
from archivist.plugins import Plugins
from archivist.release.pictures import throw_away_damaged


def check_originals(
    archive: Archive,
    progress: Callable[[int], None],
    *,
    percent: int = 100,
    sha512: bool = False,
) -> FixityReport:
    """Compares originals with their SHA-256, on all cores, and records the check.

    Names what is missing, changed, unreadable, or in the folder without being recorded. With less
    than 100 percent of them, those are taken that were compared in the earliest run, counted and
    not by any clock. With `sha512` that digest is compared too.
    """
    everything = list(originals(archive.catalogue))
    known = _due(archive, everything, percent)
    known.sort(key=lambda item: item.size, reverse=True)  # so that no core ends on a large one

    def look(item: Original) -> FixityProblem | None:
        return _compare(archive, item, progress, sha512)

    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        looked = list(pool.map(look, known))
    problems = [problem for problem in looked if problem is not None]
    _note_run(archive, zip(known, looked, strict=True))
    recorded = {archive.store.place_of(item.sha256, item.extension) for item in everything}
    problems.extend(
        FixityProblem(
            FixityState.EXTRA,
            path.relative_to(archive.folder).as_posix(),
            "not recorded; perhaps of an intake that was stopped: run that intake again",
        )
        for path in archive.store.files()
        if path not in recorded
    )
    problems.sort(key=lambda problem: problem.path)
    report = FixityReport(
        "originals", len(known), sum(item.size for item in known), tuple(problems)
    )
    some = f", {len(known)} of {len(everything)}" if len(known) < len(everything) else ""
    digests = "SHA-256 and SHA-512" if sha512 else "SHA-256"
    return _recorded(archive, f"the originals{some}", report, digests)


def sweep_unless_at_work(archive: Archive) -> None:
    """Removes what ended commands left, so that it is not told as damage."""
    with suppress(ArchiveError), archive.at_work():
        pass


def _due(archive: Archive, everything: list[Original], percent: int) -> list[Original]:
    """The share of the originals that was compared longest ago."""
    rows = archive.catalogue.connection.execute("SELECT sha256, run FROM compared")
    last = {row["sha256"]: row["run"] for row in rows}
    number = -(-len(everything) * min(percent, 100) // 100)
    return sorted(everything, key=lambda item: (last.get(item.sha256, 0), item.sha256))[:number]


def _note_run(archive: Archive, compared: Iterable[tuple[Original, FixityProblem | None]]) -> None:
    """Notes which originals this run compared, and which were damaged."""
    if not archive.catalogue.writable:
        return
    with suppress(ArchiveError), archive.catalogue.transaction():
        execute = archive.catalogue.connection.execute
        (run,) = execute("SELECT coalesce(max(run), 0) + 1 FROM compared").fetchone()
        for item, problem in compared:
            sound = problem is None or problem.state is FixityState.INVALID
            execute("INSERT OR REPLACE INTO compared VALUES (?, ?, ?)", (item.sha256, run, sound))


def _compare(
    archive: Archive, item: Original, progress: Callable[[int], None], sha512: bool
) -> FixityProblem | None:
    path = archive.store.place_of(item.sha256, item.extension)
    if path is None:
        words = f"what it records of '{item.sha256}{item.extension}' is damaged"
        return FixityProblem(FixityState.INVALID, CATALOGUE, words)
    name = path.relative_to(archive.folder).as_posix()
    try:
        with path.open("rb") as source:
            found = copy_stream(source, None, progress, sha512=sha512)
    except FileNotFoundError:
        return FixityProblem(FixityState.MISSING, name, MENDING)
    except OSError as problem:
        return FixityProblem(FixityState.UNREADABLE, name, problem.strerror or str(problem))
    if found.sha256 != item.sha256:
        detail = f"{found.size} bytes, recorded {item.size}" if found.size != item.size else ""
        return FixityProblem(
            FixityState.CHANGED, name, f"{detail or 'its digest is another'}; {MENDING}"
        )
    if found.size != item.size or (sha512 and found.sha512 != item.sha512):
        words = "the file is whole by its SHA-256; what the catalogue records of it is damaged"
        return FixityProblem(FixityState.INVALID, name, words)
    return None


MENDING = (
    "'archivist restore' with an owner's bag --into this archive mends it, and so does taking in "
    "the undamaged file again"
)


def check_records(archive: Archive) -> FixityReport:
    """Compares everything in the catalogue with its digests, what is made of it, and the files
    beside it; records the check. What is made of others is made anew where it is damaged."""
    count, size = archive.catalogue.connection.execute(
        "SELECT count(*), coalesce(sum(length(json)), 0) FROM version"
    ).fetchone()
    found = check_catalogue(archive.catalogue)
    problems = [
        FixityProblem(FixityState.CHANGED, CATALOGUE, f"{flaw.what}: {flaw.detail}")
        for flaw in found
    ]
    problems += _inventory_problems(archive)
    remarks = (*_settings_remarks(archive), *_derivative_remarks(archive))
    report = FixityReport("catalogue", count, size, tuple(problems), remarks)
    return _recorded(archive, "the catalogue, with every version", report, "SHA-256")


def _inventory_problems(archive: Archive) -> Iterator[FixityProblem]:
    """The plain files beside the originals, which are written anew where they are not right."""
    for name, content in inventory(archive.catalogue).items():
        path = archive.store.folder / name
        try:
            if path.read_bytes() == content.encode("utf-8"):
                continue
            state = FixityState.CHANGED
        except FileNotFoundError:
            state = FixityState.MISSING
        except OSError:
            state = FixityState.UNREADABLE
        words = "it is not as the catalogue says"
        with suppress(OSError):
            write_whole(path, content)
            words = "it was not as the catalogue says, and was written anew"
        yield FixityProblem(state, path.relative_to(archive.folder).as_posix(), words)


def _settings_remarks(archive: Archive) -> Iterator[str]:
    """The settings are the owner's to change, so that a change is told and no problem."""
    digest = hashlib.sha256((archive.folder / FILE_NAME).read_bytes()).hexdigest()
    execute = archive.catalogue.connection.execute
    known = execute("SELECT key FROM digest WHERE facts = ?", (SETTINGS,)).fetchone()
    if known is not None and known["key"] != digest:
        yield (
            f"{FILE_NAME} is not as it was when it was looked at last. If nobody changed it, put "
            "it back from a copy."
        )
    if archive.catalogue.writable and (known is None or known["key"] != digest):
        with suppress(ArchiveError), archive.catalogue.transaction():
            execute("DELETE FROM digest WHERE facts = ?", (SETTINGS,))
            execute("INSERT INTO digest VALUES (?, ?, '')", (SETTINGS, digest))


def _derivative_remarks(archive: Archive) -> Iterator[str]:
    """Kept copies that are not as they were made are thrown away; they are made when needed."""
    removed = throw_away_damaged(archive)
    if removed:
        many = "1 kept copy was" if removed == 1 else f"{removed} kept copies were"
        yield f"{many} damaged and thrown away; each is made again when it is needed."


def format_of(plugins: Plugins, path: Path) -> PackageFormat:
    """The package format that recognises `path`.

    Raises:
        SelectionError: where none does.
    """
    exporters = plugins.of("exporter", ExporterDescription)
    formats = [(d.title, d.opens) for d in exporters if d.opens is not None]
    for _, opens in formats:
        if opens.recognises(path):
            return opens
    titles = ", ".join(title for title, _ in formats) or "none"
    raise SelectionError(
        f"{path} is no package that this program can open.",
        f"It opens: {titles}. Name the package's own folder.",
    )


def packages_in(plugins: Plugins, path: Path) -> tuple[Path, ...]:
    """`path` itself where it is a package, else the packages that lie in that folder.

    Raises:
        SelectionError: where there is none.
    """
    exporters = plugins.of("exporter", ExporterDescription)
    formats = [d.opens for d in exporters if d.opens is not None]
    if path.is_dir() and not any(opens.recognises(path) for opens in formats):
        inside = (p for p in sorted(path.iterdir()) if any(f.recognises(p) for f in formats))
        if found := tuple(inside):
            return found
    format_of(plugins, path)
    return (path,)


def check_package(
    plugins: Plugins,
    path: Path,
    progress: Callable[[int], None],
    *,
    second_opinion: bool = False,
    archive: Archive | None = None,
) -> FixityReport:
    """Compares a package with the digests in it; recorded in `archive` where one is given.

    Raises:
        SelectionError: where `path` is no package that can be opened.
    """
    opens = format_of(plugins, path)
    report = opens.verify(path, progress=progress, second_opinion=second_opinion)
    digests = "SHA-256 and SHA-512"
    return report if archive is None else _recorded(archive, str(path.resolve()), report, digests)


def refuse_damaged(plugins: Plugins, path: Path) -> None:
    """Raises where a package is not as its digests say.

    Raises:
        FixityError: naming what is not.
    """
    problems = format_of(plugins, path).verify(path, progress=lambda size: None).problems
    if problems:
        named = "; ".join(f"{p.path or 'the package'} {p.state.value}" for p in problems[:3])
        raise FixityError(
            f"{path} did not come out as it should ({len(problems)} problems: {named}).",
            "The disk it was written to gives back other bytes than it was given: use another.",
        )


def _recorded(archive: Archive, what: str, report: FixityReport, digests: str) -> FixityReport:
    """Enters the check among the events; where that cannot be, the report says so."""
    if not archive.catalogue.writable:
        remark = "The archive cannot be written, so this check is not recorded in it."
        return replace(report, remarks=(*report.remarks, remark))
    outcome = Outcome.FAIL if report.problems else Outcome.SUCCESS
    lines = "\n".join(f"{p.state.value}: {p.path} ({p.detail})" for p in report.problems)
    detail = f"{what}: {report.files} files, {report.size} bytes, {digests}"
    try:
        record_event(archive.catalogue, EventType.FIXITY_CHECK, detail, outcome, lines)
    except ArchiveError as problem:
        remark = f"This check is not recorded in the archive: {problem.message}"
        return replace(report, remarks=(*report.remarks, remark))
    return report
