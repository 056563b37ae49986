"""The digests of facts: of each action with all that it wrote, and of the rows that stand alone.

A version bears the digest of its own words. Which action wrote it, where an original was found,
the words of a cell as they were taken in, who did what and when: these are facts too, and a bit
that turns in one of them is found by these digests.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator

import msgspec

ACTION = "action"
ARCHIVE = "archive"
SETTINGS = "settings"

_OF_ACTION = (
    "SELECT 'action', number, id, kind, at, who, why, undoes FROM action WHERE id = ?",
    "SELECT 'version', entity, kind, number, sha256 FROM version WHERE action = ? "
    "ORDER BY entity, number",
    "SELECT 'occurrence', sha256, source, path, path_bytes, modified FROM occurrence "
    "WHERE action = ? ORDER BY source, path, path_bytes, sha256",
    "SELECT 'imported', source, row, \"column\", text, object FROM imported "
    'WHERE action = ? ORDER BY source, row, "column"',
)
"""What an action wrote, itself first."""

KEYS = {
    "original": "sha256",
    "source": "id",
    "event": "id",
    "release": "id",
    "erased": "party",
}
"""The tables whose rows stand alone, and the column by which each row is known."""

Fact = tuple[str, str]
"""Which facts: 'action' or the name of a table, and the key."""


def seal(connection: sqlite3.Connection, facts: Iterable[Fact]) -> None:
    """Writes the digests of `facts` as they now are; of what is gone, removes them."""
    for kind, key in facts:
        digest = digest_of(connection, kind, key)
        if digest is None:
            connection.execute("DELETE FROM digest WHERE facts = ? AND key = ?", (kind, key))
        else:
            connection.execute(
                "INSERT OR REPLACE INTO digest VALUES (?, ?, ?)", (kind, key, digest)
            )


def seal_everything(connection: sqlite3.Connection) -> None:
    """Writes the digests of all facts anew."""
    for kind in (ACTION, *KEYS):
        connection.execute("DELETE FROM digest WHERE facts = ?", (kind,))
    seal(connection, list(_present(connection)))


def digest_of(connection: sqlite3.Connection, kind: str, key: str) -> str | None:
    """The digest of facts as they lie there, None where there are none of that key."""
    if kind == ACTION:
        queries: tuple[str, ...] = _OF_ACTION
    else:
        column = KEYS[kind]
        queries = (f'SELECT * FROM "{kind}" WHERE "{column}" = ?',)
    whole = hashlib.sha256()
    for place, query in enumerate(queries):
        cursor = connection.cursor()
        cursor.row_factory = None
        found = False
        for row in cursor.execute(query, (key,)):
            found = True
            whole.update(msgspec.json.encode(row) + b"\n")
        if not found and not place:
            return None
    return whole.hexdigest()


def is_whole(connection: sqlite3.Connection, kind: str, key: str) -> bool:
    """Whether facts are as they were written."""
    row = connection.execute(
        "SELECT sha256 FROM digest WHERE facts = ? AND key = ?", (kind, key)
    ).fetchone()
    try:
        return row is not None and digest_of(connection, kind, key) == row["sha256"]
    except (sqlite3.OperationalError, UnicodeEncodeError):
        return False  # its words are no Unicode any more


def flaws(connection: sqlite3.Connection) -> Iterator[tuple[str, str, str]]:
    """The facts that are not as they were written, by kind and key, and what is wrong."""
    recorded = {
        (row["facts"], row["key"]): row["sha256"]
        for row in connection.execute("SELECT * FROM digest")
        if row["facts"] == ACTION or row["facts"] in KEYS
    }
    for kind, key in _present(connection):
        known = recorded.pop((kind, key), None)
        if known is None:
            yield kind, key, "it has no digest: it, or the table of digests, is damaged"
            continue
        try:
            same = digest_of(connection, kind, key) == known
        except (sqlite3.OperationalError, UnicodeEncodeError):
            same = False  # its words are no Unicode any more
        if not same:
            yield kind, key, "it is not as it was written"
    for kind, key in recorded:
        yield kind, key, "it is gone"


def _present(connection: sqlite3.Connection) -> Iterator[Fact]:
    """The facts that are there; a key that is damaged is none that was recorded."""
    there = {row[0] for row in connection.execute("SELECT name FROM sqlite_master").fetchall()}
    for kind, column in {ACTION: "id", **KEYS}.items():
        if kind not in there:
            continue  # a table that a later migration brings
        for (key,) in connection.execute(
            f'SELECT CAST("{column}" AS BLOB) FROM "{kind}" ORDER BY rowid'
        ).fetchall():
            yield kind, bytes(key).decode("utf-8", "replace")


def archive_of(connection: sqlite3.Connection) -> str:
    """The UUID of the archive that the catalogue is of; '' where that was never written."""
    row = connection.execute("SELECT key FROM digest WHERE facts = ?", (ARCHIVE,)).fetchone()
    return row["key"] if row else ""


def set_archive(connection: sqlite3.Connection, archive_id: str) -> None:
    """Writes of which archive the catalogue is."""
    connection.execute("INSERT OR IGNORE INTO digest VALUES (?, ?, '')", (ARCHIVE, archive_id))


_UNFINISHED = "unfinished"


def mark_unfinished(connection: sqlite3.Connection, what: str) -> None:
    """Writes that something must be done outside the catalogue, within the transaction that makes
    it so; whoever opens the archive next finds it."""
    connection.execute("INSERT OR IGNORE INTO digest VALUES (?, ?, '')", (_UNFINISHED, what))


def is_unfinished(connection: sqlite3.Connection, what: str) -> bool:
    """Whether that was marked and not finished."""
    return (
        connection.execute(
            "SELECT 1 FROM digest WHERE facts = ? AND key = ?", (_UNFINISHED, what)
        ).fetchone()
        is not None
    )


def mark_finished(connection: sqlite3.Connection, what: str) -> None:
    """Takes the mark away."""
    connection.execute("DELETE FROM digest WHERE facts = ? AND key = ?", (_UNFINISHED, what))
