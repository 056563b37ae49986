"""What was measured of files before, kept in the archive's `derivatives/`, so that a survey that
was stopped goes on where it stopped, and a second one decodes only what is new.

The file may be deleted at any time. It is written by one thread; workers only measure.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

import msgspec

from archivist import __version__
from archivist.imaging.probe import Probe
from archivist.intake.pictures.look import Look
from archivist.intake.proposal import FileFacts

NAME = "looks.sqlite"

FORM = "3"
"""What the measurements mean; another number makes all that was kept useless."""

_TABLES = """
CREATE TABLE IF NOT EXISTS form (words TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS file (
    source TEXT NOT NULL, path TEXT NOT NULL, size INTEGER NOT NULL, modified TEXT NOT NULL,
    facts BLOB NOT NULL, probe BLOB, PRIMARY KEY (source, path)) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS look (
    sha256 TEXT PRIMARY KEY, look BLOB NOT NULL, small BLOB NOT NULL) WITHOUT ROWID;
"""

_EVERY = 64
"""Files after which what was measured is written for good: what a sudden end may cost."""


class Looks:
    """The measurements of files by source, path, size and time, and of pictures by digest."""

    def __init__(self, folder: Path | None) -> None:
        """Opens the file in `folder`, in memory where it is None or cannot be written to."""
        self._connection = self._open(folder)
        self._unwritten = 0

    def _open(self, folder: Path | None) -> sqlite3.Connection:
        if folder is not None:
            with suppress(OSError):
                folder.mkdir(exist_ok=True)
            path = folder / NAME
            for _ in range(2):
                try:
                    return _prepared(sqlite3.connect(path))
                except sqlite3.Error:
                    with suppress(OSError):
                        path.unlink(missing_ok=True)
        return _prepared(sqlite3.connect(":memory:"))

    def close(self) -> None:
        """Writes what is not written yet."""
        self.write()
        self._connection.close()

    def write(self) -> None:
        """Writes what was measured so far for good; a full disk costs only the memory of it."""
        self._unwritten = 0
        with suppress(sqlite3.Error):
            self._connection.commit()

    def file(
        self, source: str, path: str, size: int, modified: str
    ) -> tuple[FileFacts, Probe | None] | None:
        """What is known of a file whose size and time are as they were."""
        row = self._connection.execute(
            "SELECT facts, probe FROM file WHERE source = ? AND path = ? AND size = ? "
            "AND modified = ?",
            (source, path, size, modified),
        ).fetchone()
        if row is None:
            return None
        try:
            facts = msgspec.msgpack.decode(row[0], type=FileFacts)
            return facts, msgspec.msgpack.decode(row[1], type=Probe) if row[1] else None
        except msgspec.MsgspecError:
            return None

    def keep_file(self, source: str, path: str, facts: FileFacts, probe: Probe | None) -> None:
        """Remembers a file. `path` tells it apart also where its name is no Unicode."""
        self._put(
            "INSERT OR REPLACE INTO file VALUES (?, ?, ?, ?, ?, ?)",
            (
                source,
                path,
                facts.size,
                facts.modified,
                msgspec.msgpack.encode(facts),
                msgspec.msgpack.encode(probe) if probe is not None else None,
            ),
        )

    def look(self, sha256: str) -> Look | None:
        """What a picture looks like, without its small picture."""
        row = self._connection.execute(
            "SELECT look FROM look WHERE sha256 = ?", (sha256,)
        ).fetchone()
        if row is None:
            return None
        try:
            return msgspec.msgpack.decode(row[0], type=Look)
        except msgspec.MsgspecError:
            return None

    def small(self, sha256: str) -> bytes:
        """The small picture of a look.

        Raises:
            KeyError: the picture was never looked at.
        """
        row = self._connection.execute(
            "SELECT small FROM look WHERE sha256 = ?", (sha256,)
        ).fetchone()
        if row is None:
            raise KeyError(sha256)
        return bytes(row[0])

    def looked(self) -> set[str]:
        """The digests of all pictures that were looked at."""
        return {row[0] for row in self._connection.execute("SELECT sha256 FROM look")}

    def keep_look(self, sha256: str, look: Look) -> None:
        """Remembers what a picture looks like; its small picture apart, as it is seldom wanted."""
        bare = msgspec.structs.replace(look, small=b"")
        self._put(
            "INSERT OR REPLACE INTO look VALUES (?, ?, ?)",
            (sha256, msgspec.msgpack.encode(bare), look.small),
        )

    def _put(self, words: str, values: Iterable[object]) -> None:
        with suppress(sqlite3.Error):
            self._connection.execute(words, tuple(values))
        self._unwritten += 1
        if self._unwritten >= _EVERY:
            self.write()


def _prepared(connection: sqlite3.Connection) -> sqlite3.Connection:
    connection.execute("PRAGMA synchronous = OFF")
    connection.executescript(_TABLES)
    form = f"{FORM} {__version__}"
    row = connection.execute("SELECT words FROM form").fetchone()
    if row is None or row[0] != form:
        connection.executescript("DELETE FROM form; DELETE FROM file; DELETE FROM look;")
        connection.execute("INSERT INTO form VALUES (?)", (form,))
        connection.commit()
    return connection
