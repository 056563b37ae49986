"""The catalogue's one file: opening it, bringing it up to date, and leaving it whole."""

from __future__ import annotations

import os
import sqlite3
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote

from archivist.errors import ArchiveError

APPLICATION_ID = 0x41524356
"""Marks the file as ours in its header ('ARCV'), for programs that look."""


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
        ArchiveError: where it is no catalogue, was written by a newer program, or is damaged.
    """
    writable = os.access(path if path.exists() else path.parent, os.W_OK)
    location = f"file:{quote(path.resolve().as_posix())}" + ("" if writable else "?immutable=1")
    try:
        connection = sqlite3.connect(location, uri=True, timeout=20, isolation_level=None)
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")
        connection.row_factory = sqlite3.Row
        _bring_up_to_date(connection, path, writable)
    except sqlite3.DatabaseError as problem:
        raise ArchiveError(
            f"The catalogue {path} cannot be opened: {problem}.",
            "The originals beside it are safe. If another program holds the file, close that "
            "program; else put back a copy, or rebuild it with 'archivist restore' from a bag.",
        ) from problem
    return connection


def _bring_up_to_date(connection: sqlite3.Connection, path: Path, writable: bool) -> None:
    """Applies the migrations that the file has not seen, each in its own transaction."""
    scripts = migrations()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
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
        connection.executescript(
            f"BEGIN IMMEDIATE;\n{script}\n"
            f"PRAGMA application_id = {APPLICATION_ID};\nPRAGMA user_version = {number};\nCOMMIT;"
        )
