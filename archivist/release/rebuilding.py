"""An archive made again from the package of a whole archive, in one piece or not at all."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from archivist.catalogue.archive import (
    ABOUT,
    ABOUT_NAME,
    CATALOGUE,
    DERIVATIVES,
    PROPOSALS,
    Archive,
)
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.facts import seal_everything
from archivist.catalogue.index import index
from archivist.catalogue.originals import FOLDER, remove_tree
from archivist.catalogue.settings import FILE_NAME
from archivist.catalogue.soundness import CURRENT_VERSIONS
from archivist.catalogue.stored import entity_of
from archivist.durable import sync_folders
from archivist.errors import ArchiveError, PackageError
from archivist.hooks import PayloadFile
from archivist.release.joining import Restored, missing_originals, take_originals
from archivist.release.payload import (
    Payload,
    Row,
    below,
    checked_original,
    checked_version,
    content_of,
    rows,
)
from archivist.release.preservation import ARCHIVE_FOLDER, NAMES, TABLES


def rebuild(payload: Payload, into: Path, done: Restored, now: Callable[[], str]) -> None:
    """Makes the archive of a package in a folder beside `into`, and renames it when whole.

    Raises:
        ArchiveError: where `into` holds anything.
        PackageError: where the package lacks a table, or its tables do not fit together.
    """
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise ArchiveError(
            f"{into} is there already and is not an archive.",
            "Nothing was changed. Name a folder that does not exist yet.",
        )
    work = into.with_name(f".unfinished-{into.name}")
    remove_tree(work)
    try:
        for name in (FOLDER, PROPOSALS, DERIVATIVES):
            (work / name).mkdir(parents=True)
        (work / ABOUT_NAME).write_text(ABOUT, encoding="utf-8", newline="\n")
        (work / FILE_NAME).write_bytes(content_of(payload[f"{ARCHIVE_FOLDER}/{FILE_NAME}"]))
        put_back_proposals(payload, work / PROPOSALS)
        with closing(Catalogue(work / CATALOGUE, now)) as catalogue:
            _fill(catalogue, payload, done)
        with Archive.open(work, now) as archive:
            done.originals += take_originals(archive, payload, done, fresh=True)
            done.questions.extend(missing_originals(archive))
        if into.exists():
            into.rmdir()
        work.rename(into)
        sync_folders({into.parent})
    finally:
        remove_tree(work)


def put_back_proposals(
    payload: Payload, folder: Path, unwanted: Callable[[str], bool] = lambda words: False
) -> int:
    """Writes the proposals into `folder` under their true names, those that are not there; how
    many. One in whose words, or name, is something `unwanted` stays away.

    Raises:
        PackageError: where a name leads elsewhere.
    """
    names: dict[str, str] = {}
    if told := payload.get(f"{ARCHIVE_FOLDER}/{NAMES}"):
        names = {str(row.get("file")): str(row.get("name")) for row in rows(told)}
    written = 0
    for file in below(payload, f"{ARCHIVE_FOLDER}/{PROPOSALS}/"):
        called = file.path.removeprefix(f"{ARCHIVE_FOLDER}/{PROPOSALS}/")
        name = names.get(called, called)
        parts = name.split("/")
        if any(part in ("", ".", "..") or set(part) & _NOT_IN_NAMES for part in parts):
            raise PackageError(
                f"The package holds a proposal called '{name}', which leads elsewhere.",
                "Nothing was taken in. Do not trust this package.",
            )
        place = folder.joinpath(*parts)
        content = b"" if place.exists() else content_of(file)
        words = content.decode("utf-8", "replace")
        if not place.exists() and not unwanted(f"{name}\n{words}"):
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
            written += 1
    return written


_NOT_IN_NAMES = frozenset("\\:\0")


def _fill(catalogue: Catalogue, payload: Payload, done: Restored) -> None:
    """Fills the tables of facts, and makes anew what is made from them, in one transaction."""
    execute = catalogue.connection.execute
    try:
        with catalogue.transaction():
            for table in TABLES:
                columns = {row["name"] for row in execute(f'PRAGMA table_info("{table}")')}
                for row in rows(_table(payload, table)):
                    if table == "version":
                        checked_version(row)
                        done.versions += 1
                    elif table == "original":
                        checked_original(row)
                    _insert(execute, table, row, columns)
            for row in execute(CURRENT_VERSIONS).fetchall():
                index(catalogue.connection, entity_of(row), row["number"])
            seal_everything(catalogue.connection)
    except sqlite3.IntegrityError as problem:
        raise PackageError(
            f"The package is undamaged, but its tables do not fit together: {problem}.",
            "Nothing was taken in. Use another copy, and ask who changed this one.",
        ) from problem


_LATER = frozenset({"erased"})
"""Tables that packages of earlier versions have not."""


def _table(payload: Payload, table: str) -> PayloadFile:
    path = f"{ARCHIVE_FOLDER}/tables/{table}.jsonl"
    if path not in payload and table in _LATER:
        return PayloadFile(path)
    if path not in payload:
        raise PackageError(
            f"The package lacks {path}.",
            "It cannot be restored whole. Use another copy, or a newer program.",
        )
    return payload[path]


def _insert(
    execute: Callable[..., sqlite3.Cursor], table: str, row: Row, columns: set[str]
) -> None:
    if not set(row) <= columns:
        raise PackageError(
            f"The package's table {table} has columns that this program does not know: "
            f"{', '.join(sorted(set(row) - columns))}.",
            "It was written by a newer version; install that one.",
        )
    names = ", ".join(f'"{name}"' for name in row)
    marks = ", ".join("?" * len(row))
    execute(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', tuple(row.values()))
