"""Whether the catalogue is as it was written: its file, its versions, its facts, what is made of
them. What is made of them is made anew; everything else is named."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.database import migrations
from archivist.catalogue.entities import Entity
from archivist.catalogue.facts import flaws
from archivist.catalogue.index import index
from archivist.catalogue.stored import WORDS, any_text, entity_of, flaw_of
from archivist.errors import FixityError


@dataclass(frozen=True)
class Flaw:
    """Something that is not as it was written; `mended` where it was made anew."""

    what: str
    detail: str
    mended: bool = False


_BAG = "'archivist restore' with an owner's bag --into this archive puts it back"

CURRENT_VERSIONS = f"""
    SELECT entity, kind, number, sha256, {WORDS} FROM version
    WHERE number = (SELECT max(number) FROM version AS latest WHERE latest.entity = version.entity)
    ORDER BY (SELECT rowid FROM version AS first
              WHERE first.entity = version.entity ORDER BY number LIMIT 1)
"""
"""SQL: the latest version of each thing, in the order in which the things came."""


def check_catalogue(catalogue: Catalogue) -> tuple[Flaw, ...]:
    """Everything in the catalogue that is not as it was written.

    Raises:
        sqlite3.DatabaseError: where the file is so damaged that it cannot be read through.
    """
    connection = catalogue.connection
    found = [*_of_the_file(catalogue), *_of_versions(connection)]
    found += [Flaw(_called(connection, kind, key), f"{flaw}; {_BAG}")
              for kind, key, flaw in flaws(connection)]  # fmt: skip
    return (*found, *_of_what_is_made(catalogue))


def _of_the_file(catalogue: Catalogue) -> Iterator[Flaw]:
    """What SQLite itself finds. Its indexes are made anew of the rows where they do not agree:
    what is read by a damaged one would be another thing than what stands in the row."""
    connection = catalogue.connection
    for name, mended in _schema_faults(catalogue):
        words = "its description in the database file is not as the program made it"
        yield Flaw(f"'{name}'", f"{words}; {'it was written anew' if mended else _BAG}", mended)
    wrong = integrity_faults(connection)
    if wrong and make_indexes_anew(catalogue):
        still = integrity_faults(connection)
        what = "indexes of the database file"
        for words in wrong:
            if words not in still:
                yield Flaw(what, f"{words}; it was made anew of the rows", mended=True)
        wrong = still
    for words in wrong:
        yield Flaw("the database file", f"{words}; {_BAG}")
    for row in connection.execute("PRAGMA foreign_key_check").fetchall():
        yield Flaw(f"a row of '{row[0]}'", f"it points to a row of '{row[2]}' that is gone; {_BAG}")


_SCHEMA = "SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL"


def _schema_faults(catalogue: Catalogue) -> list[tuple[str, bool]]:
    """The tables and indexes whose description is damaged, and whether it was written anew."""
    connection = catalogue.connection
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as fresh:
        for script in migrations():
            fresh.executescript(script)
        right = {(kind, name): sql for kind, name, sql in fresh.execute(_SCHEMA)}
    cursor = connection.cursor()
    cursor.row_factory = None
    with any_text(connection):
        there = {(kind, name): sql for kind, name, sql in cursor.execute(_SCHEMA)}
    wrong = [key for key, sql in right.items() if there.get(key) != sql]
    mendable = [key for key in wrong if key in there and catalogue.writable]
    if mendable:
        with catalogue.transaction():
            connection.execute("PRAGMA writable_schema = ON")
            for kind, name in mendable:
                connection.execute(
                    "UPDATE sqlite_master SET sql = ? WHERE type = ? AND name = ?",
                    (right[kind, name], kind, name),
                )
        connection.execute("PRAGMA writable_schema = RESET")
    return [(name, (kind, name) in mendable) for kind, name in wrong]


def integrity_faults(connection: sqlite3.Connection) -> list[str]:
    """What SQLite finds wrong with the structure of the file."""
    rows = connection.execute("PRAGMA integrity_check(20)").fetchall()
    return [row[0] for row in rows if row[0] != "ok"]


def make_indexes_anew(catalogue: Catalogue) -> bool:
    """Makes the indexes of the database anew of its rows; whether that could be done."""
    return catalogue.writable and _succeeds(catalogue.connection, "REINDEX")


def _succeeds(connection: sqlite3.Connection, statement: str) -> bool:
    """Whether a statement finds the file sound enough to be carried out."""
    try:
        connection.execute(statement)
    except sqlite3.DatabaseError:
        return False
    return True


def _of_versions(connection: sqlite3.Connection) -> Iterator[Flaw]:
    """Versions that are not what their digests say, or that are gone."""
    expected: dict[str, int] = {}
    for row in connection.execute(
        f"SELECT entity, kind, number, sha256, {WORDS} FROM version ORDER BY entity, number"
    ):
        name = f"version {row['number']} of the {row['kind']} {row['entity']}"
        if row["number"] != expected.get(row["entity"], 0) + 1:
            yield Flaw(name, f"versions before it are gone; {_BAG}")
        expected[row["entity"]] = row["number"]
        if flaw := flaw_of(row):
            yield Flaw(name, f"{flaw}; {_BAG}")


def _called(connection: sqlite3.Connection, kind: str, key: str) -> str:
    if kind != "action":
        return f"what is recorded of the {kind} {key}"
    row = connection.execute("SELECT number FROM action WHERE id = ?", (key,)).fetchone()
    return f"action {row['number']}, or what it wrote" if row else f"the action {key}"


_MADE = {
    "current": "SELECT entity, kind, number, key, label, earliest, latest, state, merged_into "
    "FROM current",
    "depiction": "SELECT photograph, object, view FROM depiction",
    "words": "SELECT entity, text FROM current JOIN words ON words.rowid = current.row",
}
"""What is made of the versions, without the numbers by which rows are only known here."""


def _of_what_is_made(catalogue: Catalogue) -> tuple[Flaw, ...]:
    """Compares what is made of the versions with a making anew; puts it in its place if need be."""
    connection = catalogue.connection
    entities: list[tuple[Entity, int]] = []
    unknown: set[str] = set()
    for row in connection.execute(CURRENT_VERSIONS):
        try:
            entities.append((entity_of(row), row["number"]))
        except FixityError:
            unknown.add(row["entity"])
    differing = [
        name
        for name, rows in _made_anew(entities).items()
        if _rows(connection, _MADE[name], unknown) != rows
    ]
    if not _words_hold(catalogue):
        differing.append("words")
    if not differing:
        return ()
    what = f"what is made of the records ({', '.join(dict.fromkeys(differing))})"
    if unknown or not catalogue.writable:
        return (Flaw(what, "it is not as the records say; mend the records first"),)
    with catalogue.transaction():
        connection.execute("DELETE FROM depiction")
        connection.execute("DELETE FROM current")
        _empty_words(connection)
        for entity, number in entities:
            index(connection, entity, number)
    return (Flaw(what, "it was not as the records say, and was made anew of them", mended=True),)


def _made_anew(entities: list[tuple[Entity, int]]) -> dict[str, set[tuple[object, ...]]]:
    """The rows that should be there, made in a database of their own."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as fresh:
        for script in migrations():
            fresh.executescript(script)
        fresh.execute("BEGIN")
        for entity, number in entities:
            index(fresh, entity, number)
        return {name: _rows(fresh, query, set()) for name, query in _MADE.items()}


def _rows(connection: sqlite3.Connection, query: str, without: set[str]) -> set[tuple[object, ...]]:
    """The rows of a query; those of things that cannot be made anew are passed over."""
    cursor = connection.cursor()
    cursor.row_factory = None
    with any_text(connection):
        return {row for row in cursor.execute(query) if row[0] not in without}


def _words_hold(catalogue: Catalogue) -> bool:
    """Whether the index of words agrees with itself; only a file that can be written can tell."""
    return not catalogue.writable or _succeeds(
        catalogue.connection, "INSERT INTO words (words) VALUES ('integrity-check')"
    )


def _empty_words(connection: sqlite3.Connection) -> None:
    """Takes the index of words away and makes it anew, since a damaged one cannot be emptied."""
    (made,) = connection.execute("SELECT sql FROM sqlite_master WHERE name = 'words'").fetchone()
    connection.execute("DROP TABLE words")
    connection.execute(made)
