"""One change of the catalogue: who, when and why, and the new versions that it writes."""

from __future__ import annotations

import hashlib
import sqlite3
import uuid
from dataclasses import dataclass

from archivist.catalogue.entities import Entity, kind_of
from archivist.catalogue.facts import ACTION, Fact
from archivist.catalogue.index import index
from archivist.catalogue.stored import WORDS
from archivist.errors import ConflictError
from archivist.model import ObjectRecord, canonical_json


@dataclass(frozen=True)
class ActionFacts:
    """One action: its number (what `undo` is told), who, when and why, and who took it back."""

    number: int
    id: str
    kind: str
    at: str
    who: str
    why: str
    undoes: str
    undone_by: int | None


class Action:
    """What can be changed within one action. Made by `Catalogue.action` only."""

    def __init__(
        self, connection: sqlite3.Connection, at: str, kind: str, who: str, why: str, undoes: str
    ) -> None:
        self.id = str(uuid.uuid4())
        self.at = at
        self.empty = True
        self.facts: set[Fact] = {(ACTION, self.id)}
        self._connection = connection
        self._execute = connection.execute
        self._execute(
            "INSERT INTO action (id, kind, at, who, why, undoes) VALUES (?, ?, ?, ?, ?, ?)",
            (self.id, kind, self.at, who, why, undoes or None),
        )

    def run(self, sql: str, values: tuple[object, ...]) -> sqlite3.Cursor:
        """Runs SQL that changes something other than a version, as part of this action."""
        cursor = self._execute(sql, values)
        if cursor.rowcount > 0:
            self.empty = False
        return cursor

    def fact(self, kind: str, key: str) -> None:
        """Says that facts were written by this action, so that their digest is taken at its end."""
        self.facts.add((kind, key))

    def save(self, entity: Entity) -> bool:
        """Writes a new version of `entity` if it differs from the current one; whether it did.

        Raises:
            ConflictError: where its UUID belongs to a thing of another kind, or where it would be
                merged into a record that was itself merged into this one.
        """
        kind = kind_of(entity)
        row = self._execute(
            f"SELECT current.kind, version.number, {WORDS} FROM current "
            "JOIN version USING (entity, number) WHERE entity = ?",
            (entity.id,),
        ).fetchone()
        if row is not None and row["kind"] != kind:
            raise ConflictError(
                f"The identifier {entity.id} belongs to a {row['kind']}, not to a {kind}.",
                "Nothing was changed. Give the new one an identifier of its own.",
            )
        if isinstance(entity, ObjectRecord) and entity.merged_into:
            self._refuse_circle(entity)
        content = canonical_json(entity)
        if row is not None and row["json"] == content:
            return False
        number = row["number"] + 1 if row is not None else 1
        self.run(
            "INSERT INTO version (entity, kind, number, action, json, sha256) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            (
                entity.id,
                kind,
                number,
                self.id,
                content.decode("utf-8"),
                hashlib.sha256(content).hexdigest(),
            ),
        )
        index(self._connection, entity, number)
        return True

    def _refuse_circle(self, record: ObjectRecord) -> None:
        """Two records, each part of the other, would lead nowhere."""
        circle = self._execute(
            "WITH RECURSIVE onward (entity) AS (VALUES (?) UNION SELECT current.merged_into "
            "FROM current JOIN onward USING (entity) WHERE current.merged_into IS NOT NULL) "
            "SELECT 1 FROM onward WHERE entity = ?",
            (record.merged_into, record.id),
        ).fetchone()
        if circle is not None:
            raise ConflictError(
                f"{record.name} cannot become part of a record that is itself part of it.",
                "Nothing was changed. 'archivist history' shows which merge to undo first.",
            )
