"""Facts of a damaged catalogue put back from a package: only what an undamaged digest states.

Good is what fits the digest that the archive recorded, or, where that digest itself is damaged,
what archive and package both hold. Nothing that was changed since the package was made, and no word
that was erased since, comes back by this: its digest is another.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing

from archivist.catalogue.archive import Archive
from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.database import migrations
from archivist.catalogue.facts import ACTION, KEYS, digest_of, flaws, seal
from archivist.catalogue.soundness import check_catalogue, integrity_faults, make_indexes_anew
from archivist.catalogue.stored import WORDS, flaw_of
from archivist.release.payload import Payload, checked_version, tables
from archivist.release.preservation import TABLES

_OF_ACTION = {"action": "id", "version": "action", "occurrence": "action", "imported": "action"}
"""The tables in which an action wrote, and the column that names it."""


def mend_facts(archive: Archive, payload: Payload) -> tuple[int, int]:
    """Puts back what is damaged in the catalogue and whole in the package.

    Gives how many facts that were, and to how many a digest was given as they lie: those that have
    none any more and stand in no package, so that nobody can tell what they were.
    """
    if not _damage(archive.catalogue):
        return 0, 0
    with closing(_as_database(payload)) as theirs:
        return mend_facts_from(archive, theirs)


def _damage(catalogue: Catalogue) -> bool:
    """Whether anything in the catalogue is damaged; indexes are made anew first."""
    if integrity_faults(catalogue.connection):
        make_indexes_anew(catalogue)
    whole = all(not flaw_of(row) for row in _versions(catalogue))
    return not whole or any(True for _ in flaws(catalogue.connection))


def mend_facts_from(archive: Archive, theirs: sqlite3.Connection) -> tuple[int, int]:
    """As `mend_facts`, from another catalogue."""
    catalogue = archive.catalogue
    if not _damage(catalogue):
        return 0, 0
    versions = [row for row in _versions(catalogue) if flaw_of(row)]
    damaged = list(flaws(catalogue.connection))
    catalogue.connection.execute("PRAGMA foreign_keys = OFF")
    try:
        with catalogue.transaction():
            mended = sum(_put_back_words(catalogue, theirs, row) for row in versions)
            mended += sum(_put_back(catalogue, theirs, kind, key) for kind, key, _ in damaged)
            lost = list(_without_digest(catalogue.connection))
            seal(catalogue.connection, lost)
    finally:
        catalogue.connection.execute("PRAGMA foreign_keys = ON")
    if mended:
        check_catalogue(catalogue)  # makes anew what is made of the records
    return mended, len(lost)


def _without_digest(connection: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    """The facts that have no digest."""
    for kind, key, _ in flaws(connection):
        row = connection.execute(
            "SELECT 1 FROM digest WHERE facts = ? AND key = ?", (kind, key)
        ).fetchone()
        if row is None:
            yield kind, key


def _versions(catalogue: Catalogue) -> Iterator[sqlite3.Row]:
    yield from catalogue.connection.execute(
        f"SELECT entity, kind, number, sha256, {WORDS} FROM version"
    ).fetchall()


def _as_database(payload: Payload) -> sqlite3.Connection:
    """The tables of the package in a database of their own, to compare digests alike."""
    theirs = sqlite3.connect(":memory:", isolation_level=None)
    theirs.row_factory = sqlite3.Row
    for script in migrations():
        theirs.executescript(script)
    theirs.execute("PRAGMA foreign_keys = OFF")
    theirs.execute("BEGIN")
    for table in TABLES:
        columns = {row["name"] for row in theirs.execute(f'PRAGMA table_info("{table}")')}
        for row in tables(payload, table):
            if table == "version":
                checked_version(row)
            if set(row) <= columns:
                names = ", ".join(f'"{name}"' for name in row)
                marks = ", ".join("?" * len(row))
                theirs.execute(
                    f'INSERT OR IGNORE INTO "{table}" ({names}) VALUES ({marks})',
                    tuple(row.values()),
                )
    theirs.execute("COMMIT")
    return theirs


def _put_back_words(catalogue: Catalogue, theirs: sqlite3.Connection, row: sqlite3.Row) -> bool:
    """The words of one version, where the package has those that its digest was taken of."""
    found = theirs.execute(
        "SELECT json, sha256 FROM version WHERE entity = ? AND number = ?",
        (row["entity"], row["number"]),
    ).fetchone()
    if found is None:
        return False
    same_words = hashlib.sha256(row["json"]).hexdigest() == found["sha256"]
    if found["sha256"] != row["sha256"] and not same_words:
        return False
    catalogue.connection.execute(
        "UPDATE version SET json = ?, sha256 = ? WHERE entity = ? AND number = ?",
        (found["json"], found["sha256"], row["entity"], row["number"]),
    )
    return True


def _put_back(catalogue: Catalogue, theirs: sqlite3.Connection, kind: str, key: str) -> bool:
    """All facts of one digest, where the package has those that it was taken of."""
    ours = catalogue.connection
    good = digest_of(theirs, kind, key)
    if good is None:
        return False
    recorded = ours.execute(
        "SELECT sha256 FROM digest WHERE facts = ? AND key = ?", (kind, key)
    ).fetchone()
    if recorded is None or recorded["sha256"] != good:
        if _digest_here(ours, kind, key) != good:
            return False
        seal(ours, [(kind, key)])
        return True
    columns = _OF_ACTION if kind == ACTION else {kind: KEYS[kind]}
    for table, column in columns.items():
        ours.execute(f'DELETE FROM "{table}" WHERE "{column}" = ?', (key,))
        for row in theirs.execute(f'SELECT * FROM "{table}" WHERE "{column}" = ?', (key,)):
            names = ", ".join(f'"{name}"' for name in row.keys())  # noqa: SIM118 - a row is no mapping
            marks = ", ".join("?" * len(row))
            ours.execute(f'INSERT OR REPLACE INTO "{table}" ({names}) VALUES ({marks})', tuple(row))
    return True


def _digest_here(connection: sqlite3.Connection, kind: str, key: str) -> str | None:
    try:
        return digest_of(connection, kind, key)
    except (sqlite3.OperationalError, UnicodeEncodeError):
        return None
