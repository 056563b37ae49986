"""What the pieces of an archive are found by, kept beside it for each audience.

One SQLite file an audience among the derivatives: it may be deleted at any time and is made
again. Before each search it is brought up to date by the records that changed since; where the
rule of the audience, the settings or the program changed, it is made anew.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.search import Query as Selecting
from archivist.catalogue.search import select
from archivist.catalogue.since import Moment, changed_since, moment
from archivist.finding.entry import Entry, entry
from archivist.names import slug
from archivist.program import core_digest
from archivist.release.disclosure import Disclosure
from archivist.release.pieces import Discloser
from archivist.release.remembering import sight_key

SCHEMA = """
CREATE TABLE IF NOT EXISTS made_from (key TEXT, number INTEGER, action TEXT);
CREATE TABLE IF NOT EXISTS piece (
    row INTEGER PRIMARY KEY, id TEXT UNIQUE, number TEXT, title TEXT,
    earliest INTEGER, latest INTEGER,
    height_low INTEGER, height_high INTEGER, across_low INTEGER, across_high INTEGER,
    entry BLOB);
CREATE TABLE IF NOT EXISTS word (
    word TEXT, piece INTEGER, PRIMARY KEY (word, piece)) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS facet (
    name TEXT, value TEXT, piece INTEGER, PRIMARY KEY (name, value, piece)) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS glaze (piece INTEGER PRIMARY KEY, told BLOB);
"""
"""`made_from` says of which pieces it is made: by which rule and program, as of which moment."""

_SECONDS = 20


@contextmanager
def kept_index(
    archive: Archive,
    rule: Disclosure,
    looking: Callable[[int], Callable[[int], None]] = lambda count: lambda done: None,
) -> Iterator[sqlite3.Connection]:
    """The index of what `rule` lets its audience see of `archive`, up to date.

    `looking` is told how many pieces must be looked at, and gives what is told 1 for each. Where
    nothing can be written beside the archive, the index is made in memory.
    """
    with closing(_ready(archive, rule, looking)) as connection:
        yield connection


def _ready(
    archive: Archive, rule: Disclosure, looking: Callable[[int], Callable[[int], None]]
) -> sqlite3.Connection:
    """The index as it lies there, brought up to date; one that is damaged is thrown away."""
    path = archive.of_records / f"finding-{_name(rule.audience)}.sqlite"
    for _ in range(2):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            return _current(path, archive, rule, looking)
        except (sqlite3.OperationalError, OSError):
            break  # it cannot be written, or another program is at it for too long
        except sqlite3.DatabaseError:
            with suppress(OSError):
                path.unlink()
    return _current(":memory:", archive, rule, looking)


def _current(
    place: Path | str,
    archive: Archive,
    rule: Disclosure,
    looking: Callable[[int], Callable[[int], None]],
) -> sqlite3.Connection:
    connection = sqlite3.connect(place, timeout=_SECONDS, isolation_level=None)
    try:
        connection.row_factory = sqlite3.Row
        connection.execute("PRAGMA secure_delete = ON")
        connection.execute("PRAGMA synchronous = OFF")
        connection.executescript(SCHEMA)
        _bring_up_to_date(connection, archive, rule, looking)
    except BaseException:
        connection.close()
        raise
    return connection


def _name(audience: str) -> str:
    """A file name of its own for each audience."""
    return f"{slug(audience, 24)}-{hashlib.sha256(audience.encode()).hexdigest()[:8]}"


def _bring_up_to_date(
    connection: sqlite3.Connection,
    archive: Archive,
    rule: Disclosure,
    looking: Callable[[int], Callable[[int], None]],
) -> None:
    key, now = f"{core_digest()} {sight_key(archive, rule)}", moment(archive.catalogue)
    if _made_from(connection, key) == now:
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        _update(connection, archive, rule, _made_from(connection, key), looking)
        connection.execute("DELETE FROM made_from")
        connection.execute("INSERT INTO made_from VALUES (?, ?, ?)", (key, now.number, now.action))
        connection.execute("COMMIT")
    except BaseException:
        connection.execute("ROLLBACK")
        raise


def _made_from(connection: sqlite3.Connection, key: str) -> Moment | None:
    """As of which moment the index is made; None where it was made by another rule or program."""
    row = connection.execute("SELECT key, number, action FROM made_from").fetchone()
    return Moment(row["number"], row["action"]) if row and row["key"] == key else None


def _update(
    connection: sqlite3.Connection,
    archive: Archive,
    rule: Disclosure,
    then: Moment | None,
    looking: Callable[[int], Callable[[int], None]],
) -> None:
    """Makes anew what is not as it was `then`, everything where that cannot be told."""
    changed = None if then is None else changed_since(archive.catalogue, then)
    if changed is None:
        for table in ("piece", "word", "facet", "glaze"):
            connection.execute(f"DELETE FROM {table}")
    there = select(archive.catalogue, Selecting())
    kept = {row["id"] for row in connection.execute("SELECT id FROM piece")}
    stale = (kept & (changed or set())) | kept.difference(there)
    _remove(connection, stale)
    wanted = [object_id for object_id in there if object_id in stale or object_id not in kept]
    advance = looking(len(wanted))
    for piece in Discloser(archive, rule, copies=False).pieces(wanted):
        _add(connection, entry(piece))
        advance(1)


def _remove(connection: sqlite3.Connection, ids: Iterable[str]) -> None:
    for object_id in ids:
        row = connection.execute(
            "SELECT row, entry FROM piece WHERE id = ?", (object_id,)
        ).fetchone()
        known = msgspec.json.decode(row["entry"], type=Entry)
        place = row["row"]
        connection.executemany(
            "DELETE FROM word WHERE word = ? AND piece = ?", [(w, place) for w in known.words]
        )
        connection.executemany(
            "DELETE FROM facet WHERE name = ? AND value = ? AND piece = ?",
            [(name, value, place) for name, values in known.facets.items() for value in values],
        )
        connection.execute("DELETE FROM glaze WHERE piece = ?", (place,))
        connection.execute("DELETE FROM piece WHERE row = ?", (place,))


def _add(connection: sqlite3.Connection, made: Entry) -> None:
    place = connection.execute(
        "INSERT INTO piece (id, number, title, earliest, latest, height_low, height_high, "
        "across_low, across_high, entry) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            made.id,
            made.number,
            made.title,
            made.earliest,
            made.latest,
            *(made.height or (None, None)),
            *(made.across or (None, None)),
            msgspec.json.encode(made),
        ),
    ).lastrowid
    connection.executemany("INSERT INTO word VALUES (?, ?)", [(w, place) for w in made.words])
    connection.executemany(
        "INSERT INTO facet VALUES (?, ?, ?)",
        [(name, value, place) for name, values in made.facets.items() for value in values],
    )
