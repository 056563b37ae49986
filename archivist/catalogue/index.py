"""What the catalogue makes from the current versions, to look things up by; never a fact itself."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import suppress

from archivist.catalogue.entities import Entity, lookup
from archivist.catalogue.stored import WORDS, entity_of
from archivist.errors import FixityError
from archivist.model import Certainty, Photograph


def index(connection: sqlite3.Connection, entity: Entity, number: int) -> None:
    """Makes anew what is made from `entity`, whose current version is `number`."""
    facts = lookup(entity)
    (row,) = connection.execute(
        "INSERT INTO current "
        "(entity, kind, number, key, label, earliest, latest, state, merged_into) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (entity) DO UPDATE SET "
        "number = excluded.number, key = excluded.key, label = excluded.label, "
        "earliest = excluded.earliest, latest = excluded.latest, state = excluded.state, "
        "merged_into = excluded.merged_into RETURNING row",
        (
            entity.id,
            facts.kind,
            number,
            facts.key,
            facts.label,
            facts.earliest,
            facts.latest,
            facts.state,
            facts.merged_into,
        ),
    ).fetchone()
    connection.execute("DELETE FROM words WHERE rowid = ?", (row,))
    if facts.state == "present":
        connection.execute("INSERT INTO words (rowid, text) VALUES (?, ?)", (row, facts.words))
    if isinstance(entity, Photograph):
        connection.execute("DELETE FROM depiction WHERE photograph = ?", (entity.id,))
        connection.executemany(
            "INSERT INTO depiction (photograph, object, view) VALUES (?, ?, ?)",
            [
                (entity.id, d.object, d.view.value)
                for d in entity.depictions
                if d.certainty is not Certainty.REJECTED
            ],
        )


RULE = 2
"""Raised when other things are made of the same records; then the index is made anew."""


def bring_up_to_date(connection: sqlite3.Connection) -> None:
    """Makes the index anew where it was made by another rule, as by a program before this one.

    By which rule it was made stands in a table of its own, which an older catalogue has not. Where
    the catalogue cannot be written now, the index is used as it is.
    """
    if _made_by(connection) == RULE:
        return
    try:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("CREATE TABLE IF NOT EXISTS index_rule (rule INTEGER NOT NULL)")
        index_everything(connection, _whole_entities(connection))
        connection.execute("DELETE FROM index_rule")
        connection.execute("INSERT INTO index_rule VALUES (?)", (RULE,))
        connection.execute("COMMIT")
    except BaseException as problem:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        if not isinstance(problem, sqlite3.OperationalError):
            raise


def _made_by(connection: sqlite3.Connection) -> int:
    """The rule by which the index was made, 0 where it is not known."""
    there = connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'index_rule'").fetchone()
    row = connection.execute("SELECT max(rule) FROM index_rule").fetchone() if there else None
    return row[0] or 0 if row else 0


def _whole_entities(connection: sqlite3.Connection) -> Iterator[tuple[Entity, int]]:
    """The current versions with their numbers, one at a time, but for those that are damaged."""
    places = connection.execute("SELECT entity, number FROM current").fetchall()
    for place in places:
        row = connection.execute(
            f"SELECT entity, kind, number, sha256, {WORDS} FROM version "
            "WHERE entity = ? AND number = ?",
            (place["entity"], place["number"]),
        ).fetchone()
        with suppress(FixityError):
            yield entity_of(row), place["number"]


def index_everything(
    connection: sqlite3.Connection, entities: Iterable[tuple[Entity, int]]
) -> None:
    """Makes everything anew from all current versions, leaving no word of what was before."""
    connection.execute("DELETE FROM words")
    connection.execute("DELETE FROM depiction")
    for entity, number in entities:
        index(connection, entity, number)
