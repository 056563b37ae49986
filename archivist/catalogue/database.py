"""The catalogue's one file: opening it, bringing it up to date, and leaving it whole."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote

from archivist.catalogue.facts import seal_everything
from archivist.errors import ArchiveError

APPLICATION_ID = 0x41524356
"""Marks the file as ours in its header ('ARCV'), for programs that look."""


SECONDS_TO_WAIT = 20
"""How long a change waits for another program to finish its own."""


def migrations() -> tuple[str, ...]:
    """The SQL that brings a catalogue from schema version n to n + 1, in order."""
    folder = files("archivist.catalogue").joinpath("migrations")
    scripts = sorted((f for f in folder.iterdir() if f.name.endswith(".sql")), key=lambda f: f.name)
    return tuple(script.read_text(encoding="utf-8") for script in scripts)


def open_database(path: Path) -> sqlite3.Connection:
    """A connection to the catalogue at `path`, made and brought up to date as needed.

    Only a rollback journal is used, so that at rest the catalogue is always one file. On media
    that cannot be written the file is opened as it is, without locks or a journal.

    Raises:
        ArchiveError: where it is no catalogue or an empty one, was written by a newer program, or
            is damaged.
    """
    writable, there = can_be_written(path), path.exists()
    if not writable:
        _refuse_unfinished(path)
    try:
        connection = sqlite3.connect(
            _location(path) + ("" if writable else "?immutable=1"),
            uri=True,
            timeout=SECONDS_TO_WAIT,
            isolation_level=None,
        )
    except sqlite3.DatabaseError as problem:
        raise _cannot_open(path, problem) from problem
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")
        # A commit counts once also the journal's going is on the disk (SQLite, 'synchronous').
        connection.execute("PRAGMA synchronous = EXTRA")
        connection.execute("PRAGMA fullfsync = ON")
        connection.row_factory = sqlite3.Row
        _bring_up_to_date(connection, path, writable, there)
    except sqlite3.DatabaseError as problem:
        connection.close()
        raise _cannot_open(path, problem) from problem
    except BaseException:
        connection.close()
        raise
    return connection


def can_be_written(path: Path) -> bool:
    """Whether the catalogue may be changed: a change also makes a journal in its folder."""
    return os.access(path.parent, os.W_OK) and (not path.exists() or os.access(path, os.W_OK))


def _location(path: Path) -> str:
    """The file as an SQLite URI, its authority always empty, also for a Windows network folder."""
    posix = path.resolve().as_posix()
    return f"file://{'' if posix.startswith('/') else '/'}{quote(os.fsencode(posix))}"


def _refuse_unfinished(path: Path) -> None:
    """A change that was cut off must be rolled back first, which needs writing."""
    journal = path.with_name(f"{path.name}-journal")
    if journal.exists() and journal.stat().st_size:
        raise ArchiveError(
            f"A change of the catalogue {path} was cut off, and its folder cannot be written.",
            "Nothing is lost: copy the archive to a disk that can be written, and open it there.",
        )


def _cannot_open(path: Path, problem: sqlite3.Error) -> ArchiveError:
    return ArchiveError(
        f"The catalogue {path} cannot be opened: {problem}.",
        "The originals beside it are safe. If another program holds the file, close that "
        "program; else put back a copy, or rebuild it with 'archivist restore' from a bag.",
    )


def _bring_up_to_date(
    connection: sqlite3.Connection, path: Path, writable: bool, there: bool
) -> None:
    """Applies the migrations that the file has not seen, each in its own transaction."""
    scripts = migrations()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    if there and not version:
        raise ArchiveError(
            f"The catalogue {path} is there and holds nothing: no catalogue was ever that.",
            "It was not touched. The originals beside it are safe. Put back a copy of the "
            "catalogue, or rebuild the archive with 'archivist restore' from an owner's bag.",
        )
    if version > len(scripts):
        raise ArchiveError(
            f"The catalogue {path} was written by a newer version of this program "
            f"(schema {version}; this one knows {len(scripts)}).",
            "Nothing was changed. Install the newer version to open it.",
        )
    if version < len(scripts) and not writable:
        raise ArchiveError(
            f"The catalogue {path} must be brought up to date, and its folder cannot be written.",
            "Copy the archive to a disk that can be written, and open it there.",
        )
    for number, script in enumerate(scripts[version:], start=version + 1):
        connection.executescript(f"BEGIN IMMEDIATE;\n{script}")
        if number in _AFTERWARDS:
            _AFTERWARDS[number](connection)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {number}")
        connection.execute("COMMIT")


_AFTERWARDS: dict[int, Callable[[sqlite3.Connection], None]] = {2: seal_everything}
"""What SQL alone cannot do after the migration of that number."""
