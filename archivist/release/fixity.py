"""Fixity checks: originals and packages compared with their recorded digests."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import EventType, Outcome, record_event
from archivist.catalogue.holdings import Original, originals
from archivist.digests import digest_file
from archivist.errors import FixityError, SelectionError
from archivist.hooks import (
    ExporterDescription,
    FixityProblem,
    FixityReport,
    FixityState,
    PackageFormat,
)
from archivist.plugins import Plugins


def check_originals(archive: Archive, progress: Callable[[int], None]) -> FixityReport:
    """Compares every original with both its digests, on all cores, and records the check.

    Names what is missing, changed, unreadable, or in the folder without being recorded.
    """
    known = list(originals(archive.catalogue))
    known.sort(key=lambda item: item.size, reverse=True)  # so that no core ends on a large one

    def look(item: Original) -> FixityProblem | None:
        return _compare(archive, item, progress)

    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        problems = [problem for problem in pool.map(look, known) if problem is not None]
    recorded = {archive.store.path_of(item.sha256, item.extension) for item in known}
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
    return _recorded(archive, "the originals", report)


def _compare(
    archive: Archive, item: Original, progress: Callable[[int], None]
) -> FixityProblem | None:
    path = archive.store.path_of(item.sha256, item.extension)
    name = path.relative_to(archive.folder).as_posix()
    try:
        found = digest_file(path, progress)
    except FileNotFoundError:
        return FixityProblem(FixityState.MISSING, name, "put it back from a copy of the archive")
    except OSError as problem:
        return FixityProblem(FixityState.UNREADABLE, name, problem.strerror or str(problem))
    if (found.size, found.sha256, found.sha512) == (item.size, item.sha256, item.sha512):
        return None
    detail = f"{found.size} bytes, recorded {item.size}" if found.size != item.size else ""
    return FixityProblem(FixityState.CHANGED, name, detail or "its digest is another")


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
    return report if archive is None else _recorded(archive, str(path.resolve()), report)


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


def _recorded(archive: Archive, what: str, report: FixityReport) -> FixityReport:
    """Enters the check among the events; where that cannot be, the report says so."""
    if not archive.catalogue.writable:
        remark = "The archive cannot be written, so this check is not recorded in it."
        return replace(report, remarks=(*report.remarks, remark))
    outcome = Outcome.FAIL if report.problems else Outcome.SUCCESS
    lines = "\n".join(f"{p.state.value}: {p.path} ({p.detail})" for p in report.problems)
    detail = f"{what}: {report.files} files, {report.size} bytes, SHA-256 and SHA-512"
    record_event(archive.catalogue, EventType.FIXITY_CHECK, detail, outcome, lines)
    return report
