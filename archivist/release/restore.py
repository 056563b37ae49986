"""The way back in: an archive built again from the owner's packages, every version as it was."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec

from archivist.catalogue.action import Action
from archivist.catalogue.archive import CATALOGUE, Archive
from archivist.catalogue.catalogue import Catalogue, utc_now
from archivist.catalogue.entities import KINDS
from archivist.catalogue.events import EventType, Outcome, record_event
from archivist.catalogue.holdings import add_original, write_inventory
from archivist.catalogue.index import index
from archivist.catalogue.originals import legal_extension
from archivist.catalogue.settings import FILE_NAME
from archivist.digests import Digests
from archivist.errors import ArchiveError, FixityError, PackageError, SelectionError
from archivist.hooks import PayloadFile
from archivist.model import from_json
from archivist.plugins import Plugins
from archivist.release.disclosure import OWNER
from archivist.release.fixity import format_of
from archivist.release.preservation import ARCHIVE_FOLDER, TABLES

ORIGINALS = "originals/"


@dataclass
class Restored:
    """What came back, and what could not be decided: `questions` name diverging records."""

    packages: int = 0
    originals: int = 0
    versions: int = 0
    unchanged: int = 0
    questions: list[str] = field(default_factory=list)


def restore(
    plugins: Plugins,
    packages: Sequence[Path],
    into: Path,
    progress: Callable[[int], None] = lambda size: None,
    now: Callable[[], str] = utc_now,
) -> Restored:
    """Builds the archive in `into` from the owner's packages, or merges them into the one there.

    Every package is checked whole before anything of it is taken. The first package for a new
    folder must be of a whole archive; packages of single pieces are merged by version.

    Raises:
        FixityError: where a package is damaged.
        SelectionError: where a package was made for another audience, or is not one of ours.
        ArchiveError: where `into` holds something else than an archive, or is of another archive.
    """
    ordered = sorted(packages, key=lambda path: not _is_whole(plugins, path))
    done = Restored()
    for path in ordered:
        _check(plugins, path, progress)
        payload = {file.path: file for file in format_of(plugins, path).payload(path)}
        if f"{ARCHIVE_FOLDER}/{FILE_NAME}" in payload and not (into / FILE_NAME).exists():
            _rebuild(payload, into, done, now)
        else:
            with Archive.open(into, now) as archive:
                _merge(archive, path, payload, done)
        done.packages += 1
    with Archive.open(into, now) as archive:
        write_inventory(archive.catalogue, archive.store)
        record_event(
            archive.catalogue,
            EventType.RECOVERY,
            f"{done.packages} packages, {done.versions} versions, {done.originals} originals",
            Outcome.WARNING if done.questions else Outcome.SUCCESS,
            "\n".join(done.questions),
        )
    return done


def _is_whole(plugins: Plugins, path: Path) -> bool:
    return format_of(plugins, path).facts(path).scope == "archive"


def _check(plugins: Plugins, path: Path, progress: Callable[[int], None]) -> None:
    """Refuses a package that is damaged or that was not made for the owner."""
    opens = format_of(plugins, path)
    audience = opens.facts(path).audience
    if audience != OWNER:
        raise SelectionError(
            f"{path} was made for '{audience or 'nobody that it names'}', so it does not hold "
            "everything.",
            "An archive can only be restored from packages released --for owner.",
        )
    problems = opens.verify(path, progress=progress).problems
    if problems:
        named = (f"{p.path or 'the package'} {p.state.value} {p.detail}" for p in problems[:3])
        first = "; ".join(named)
        raise FixityError(
            f"{path} is damaged ({len(problems)} problems: {first}).",
            "Nothing of it was taken in. Use another copy of it; 'archivist fixity' lists all.",
        )


def _rebuild(
    payload: Mapping[str, PayloadFile], into: Path, done: Restored, now: Callable[[], str]
) -> None:
    """Makes the archive of a package in a folder beside `into`, and renames it when whole."""
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise ArchiveError(
            f"{into} is there already and is not an archive.",
            "Nothing was changed. Name a folder that does not exist yet.",
        )
    work = into.with_name(f".unfinished-{into.name}")
    shutil.rmtree(work, ignore_errors=True)
    try:
        for name in ("originals", "proposals", "derivatives"):
            (work / name).mkdir(parents=True)
        for file in _below(payload, f"{ARCHIVE_FOLDER}/"):
            name = file.path.removeprefix(f"{ARCHIVE_FOLDER}/")
            if name == FILE_NAME or name.startswith("proposals/"):
                (work / name).write_bytes(_content(file))
        catalogue = Catalogue(work / CATALOGUE, now)
        try:
            _fill(catalogue, payload, done)
        finally:
            catalogue.close()
        with Archive.open(work, now) as archive:
            done.originals += _take_originals(archive, payload)
        if into.exists():
            into.rmdir()
        work.rename(into)
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _fill(catalogue: Catalogue, payload: Mapping[str, PayloadFile], done: Restored) -> None:
    """Fills the tables of facts, and makes anew what is made from them, in one transaction."""
    execute = catalogue.connection.execute
    execute("BEGIN IMMEDIATE")
    try:
        for table in TABLES:
            file = payload.get(f"{ARCHIVE_FOLDER}/tables/{table}.jsonl")
            if file is None:
                raise PackageError(
                    f"The package lacks {ARCHIVE_FOLDER}/tables/{table}.jsonl.",
                    "It cannot be restored whole. Use another copy, or a newer program.",
                )
            columns = {row["name"] for row in execute(f'PRAGMA table_info("{table}")')}
            for row in _rows(file):
                _insert(execute, table, row, columns)
                done.versions += table == "version"
        for row in execute(
            "SELECT kind, json, max(number) AS number FROM version GROUP BY entity ORDER BY rowid"
        ).fetchall():
            entity = from_json(row["json"], KINDS[row["kind"]])
            index(catalogue.connection, entity, row["number"])
        execute("COMMIT")
    except BaseException:
        if catalogue.connection.in_transaction:
            execute("ROLLBACK")
        raise


def _insert(execute: Any, table: str, row: Mapping[str, Any], columns: set[str]) -> None:
    if not set(row) <= columns:
        raise PackageError(
            f"The package's table {table} has columns that this program does not know: "
            f"{', '.join(sorted(set(row) - columns))}.",
            "It was written by a newer version; install that one.",
        )
    names = ", ".join(f'"{name}"' for name in row)
    marks = ", ".join("?" * len(row))
    execute(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', tuple(row.values()))


def _merge(
    archive: Archive, path: Path, payload: Mapping[str, PayloadFile], done: Restored
) -> None:
    """Adds the versions of a package's records that the archive lacks; asks where they diverge."""
    done.originals += _take_originals(archive, payload)
    actions = {
        row["id"]: row for file in _named(payload, "tables/action.jsonl") for row in _rows(file)
    }
    histories: dict[str, list[dict[str, Any]]] = {}
    for file in _named(payload, "tables/version.jsonl"):
        for row in _rows(file):
            histories.setdefault(row["entity"], []).append(row)
    if not histories:
        raise SelectionError(
            f"{path} holds no records with their history.",
            "Packages that can be restored are released by this program --for owner.",
        )
    connection = archive.catalogue.connection
    with archive.catalogue.action("restore", archive.settings.owner, path.name) as action:
        for entity, rows in histories.items():
            rows.sort(key=lambda row: int(row["number"]))
            have = [version.sha256 for version in archive.catalogue.versions(entity)]
            theirs = [row["sha256"] for row in rows]
            shared = min(len(have), len(theirs))
            if have[:shared] != theirs[:shared]:
                done.questions.append(
                    f"{_name(rows[-1])} was changed in the archive and, otherwise, in {path.name}; "
                    "the archive's version stands."
                )
                continue
            done.unchanged += len(theirs) <= len(have)
            for row in rows[len(have) :]:
                _add_version(action, row, actions)
                done.versions += 1
            if len(theirs) > len(have):
                value = from_json(rows[-1]["json"], KINDS[rows[-1]["kind"]])
                index(connection, value, len(theirs))


def _add_version(
    action: Action, row: Mapping[str, Any], actions: Mapping[str, Mapping[str, Any]]
) -> None:
    """Adds one version with the action that wrote it, under a number of this archive."""
    wrote = dict(actions[row["action"]])
    del wrote["number"]
    wrote["undoes"] = None
    names = ", ".join(f'"{name}"' for name in wrote)
    marks = ", ".join("?" * len(wrote))
    action.run(
        f"INSERT INTO action ({names}) VALUES ({marks}) ON CONFLICT (id) DO NOTHING",
        tuple(wrote.values()),
    )
    action.run(
        "INSERT INTO version (entity, kind, number, action, json, sha256) "
        "VALUES (?, ?, ?, ?, ?, ?)",
        tuple(row[name] for name in ("entity", "kind", "number", "action", "json", "sha256")),
    )


def _take_originals(archive: Archive, payload: Mapping[str, PayloadFile]) -> int:
    """Takes in the originals of a package that the archive lacks, each checked as it is copied."""
    taken: list[tuple[Digests, str]] = []
    for file in _below(payload, ORIGINALS):
        extension = legal_extension(file.path)
        if file.source is None:
            continue
        digests = archive.store.take_in(file.source, extension, expected_sha256=file.sha256)
        taken.append((digests, extension))
    known = {
        row["sha256"] for row in archive.catalogue.connection.execute("SELECT sha256 FROM original")
    }
    new = [(digests, extension) for digests, extension in taken if digests.sha256 not in known]
    if new:
        with archive.catalogue.action("restore", archive.settings.owner, "originals") as action:
            for digests, extension in new:
                add_original(action, digests, extension, "")
    return len(taken)


def _below(payload: Mapping[str, PayloadFile], folder: str) -> Iterator[PayloadFile]:
    return (file for path, file in payload.items() if path.startswith(folder))


def _named(payload: Mapping[str, PayloadFile], name: str) -> Iterator[PayloadFile]:
    return (file for path, file in payload.items() if path.endswith(f"/{name}"))


def _rows(file: PayloadFile) -> Iterator[dict[str, Any]]:
    for line in _content(file).splitlines():
        yield msgspec.json.decode(line)


def _content(file: PayloadFile) -> bytes:
    return file.source.read_bytes() if file.source is not None else file.content


def _name(row: Mapping[str, Any]) -> str:
    value = from_json(row["json"], KINDS[row["kind"]])
    return getattr(value, "name", "") or f"the {row['kind']} {value.id}"
