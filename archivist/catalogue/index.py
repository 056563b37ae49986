"""What the catalogue makes from the current versions, to look things up by; never a fact itself."""

from __future__ import annotations

import sqlite3

from archivist.catalogue.entities import Entity, lookup
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


def index_everything(connection: sqlite3.Connection, entities: list[tuple[Entity, int]]) -> None:
    """Makes everything anew from all current versions, leaving no word of what was before."""
    connection.execute("DELETE FROM words")
    connection.execute("DELETE FROM depiction")
    for entity, number in entities:
        index(connection, entity, number)
