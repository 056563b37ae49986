"""The catalogue: what it holds now, and the actions by which that changes."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar, cast

import msgspec

from archivist.catalogue.action import Action, ActionFacts
from archivist.catalogue.database import can_be_written, open_database
from archivist.catalogue.entities import KINDS, Entity, folded, kind_of
from archivist.catalogue.facts import seal
from archivist.catalogue.index import bring_up_to_date
from archivist.catalogue.numbers import number_key
from archivist.catalogue.stored import WORDS, entity_of
from archivist.errors import ArchiveError, FixityError, SelectionError
from archivist.model import (
    ObjectRecord,
    Party,
    Photograph,
)

EntityType = TypeVar("EntityType", ObjectRecord, Photograph, Party)


def utc_now() -> str:
    """The moment, RFC 3339 in UTC to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@dataclass(frozen=True)
class Version:
    """One version of an object, photograph or party, as canonical JSON."""

    entity: str
    kind: str
    number: int
    action: ActionFacts
    json: bytes
    sha256: str

    def value(self) -> Entity:
        """What this version says.

        Raises:
            FixityError: where it is damaged.
        """
        return entity_of(
            {
                "entity": self.entity,
                "kind": self.kind,
                "number": self.number,
                "json": self.json,
                "sha256": self.sha256,
            }
        )


_ACTION_COLUMNS = """
    action.number AS action_number, action.id AS action_id, action.kind AS action_kind,
    action.at, action.who, action.why, coalesce(action.undoes, '') AS undoes,
    (SELECT later.number FROM action AS later WHERE later.undoes = action.id) AS undone_by
"""


_VERSION_COLUMNS = f"version.entity, version.kind, version.number, version.sha256, {WORDS}"

STANDS = """
    (WITH RECURSIVE undoing (id, depth) AS (
        VALUES (action.id, 0)
        UNION ALL
        SELECT later.id, depth + 1 FROM action AS later JOIN undoing ON later.undoes = undoing.id)
    SELECT max(depth) % 2 = 0 FROM undoing)
"""
"""SQL: whether `action` stands: it was not undone, or its undoing was undone in turn."""


class Catalogue:
    """Everything known, in one database file. Reading needs nothing; changing needs an action.

    `damaged` are the things, by kind and UUID, that were passed over because their words are not
    what was recorded.
    """

    def __init__(self, path: Path, now: Callable[[], str] = utc_now) -> None:
        self.path = path
        self.now = now
        self.writable = can_be_written(path)
        self.connection = open_database(path)
        self.damaged: dict[tuple[str, str], FixityError] = {}
        if self.writable:
            bring_up_to_date(self.connection)

    def close(self) -> None:
        """Leaves the catalogue as one file."""
        self.connection.close()

    # Changing

    @contextmanager
    def action(self, kind: str, who: str, why: str = "", *, undoes: str = "") -> Iterator[Action]:
        """One change, whole or not at all: everything done within the block is one transaction.

        An action that changed nothing leaves no trace.

        Raises:
            ArchiveError: as `transaction` does.
        """
        with self.transaction():
            action = Action(self.connection, self.now(), kind, who, why, undoes)
            yield action
            if action.empty:
                self.connection.execute("ROLLBACK")
            else:
                seal(self.connection, sorted(action.facts))

    @contextmanager
    def addition(self) -> Iterator[None]:
        """A transaction, or a part of the one that is under way.

        Raises:
            ArchiveError: as `transaction` does.
        """
        if self.connection.in_transaction:
            yield
            return
        with self.transaction():
            yield

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Everything within the block, or nothing of it.

        Raises:
            ArchiveError: where the catalogue cannot be written: its disk is full or read-only, or
                another program holds it.
        """
        try:
            self.connection.execute("BEGIN IMMEDIATE")
            yield
            if self.connection.in_transaction:
                self.connection.execute("COMMIT")
        except BaseException as problem:
            if self.connection.in_transaction:
                self.connection.execute("ROLLBACK")
            if isinstance(problem, sqlite3.OperationalError):
                raise self._cannot_write(problem) from problem
            raise

    def _cannot_write(self, problem: sqlite3.OperationalError) -> ArchiveError:
        return ArchiveError(
            f"The catalogue {self.path} cannot be written: {problem}.",
            "Nothing was changed. Make room on its disk, make its folder writable, or close the "
            "program that holds it; then run the same command again.",
        )

    # Reading what is held now

    def get(self, entity: str, type_: type[EntityType]) -> EntityType | None:
        """The current version of that UUID, a merged record giving the one that took it over.

        Raises:
            FixityError: where it is damaged.
        """
        row = self.connection.execute(
            f"{_CURRENT} WHERE entity = ? AND current.kind = ?", (entity, _kind_of_type(type_))
        ).fetchone()
        if row is None:
            return None
        value = _of_type(row, type_)
        if isinstance(value, ObjectRecord) and value.merged_into:
            return self.get(value.merged_into, type_)
        return value

    def sound(self, entity: str, type_: type[EntityType]) -> EntityType | None:
        """As `get` gives it; None where it is damaged, which is noted in `damaged`."""
        try:
            return self.get(entity, type_)
        except FixityError as problem:
            self.damaged[_kind_of_type(type_), entity] = problem
            return None

    def all(
        self, type_: type[EntityType], *, states: tuple[str, ...] = ("present",)
    ) -> Iterator[EntityType]:
        """The current versions of a kind in those states, by key and then UUID.

        One that is damaged is left out and noted in `damaged`.
        """
        marks = ", ".join("?" * len(states))
        rows = self.connection.execute(
            f"{_CURRENT} WHERE current.kind = ? AND state IN ({marks}) ORDER BY key, entity",
            (_kind_of_type(type_), *states),
        )
        return self._whole(rows, type_)

    def _whole(self, rows: Iterable[sqlite3.Row], type_: type[EntityType]) -> Iterator[EntityType]:
        """The values of rows; those that are damaged are noted."""
        for row in rows:
            try:
                yield _of_type(row, type_)
            except FixityError as problem:
                self.damaged[row["kind"], row["entity"]] = problem

    def keyed(self, type_: type[EntityType], key: str) -> tuple[EntityType, ...]:
        """The current versions that are looked up by `key` and not merged, withdrawn ones last.

        The key of an object is its stock number, of a photograph its SHA-256, of a party its name;
        case and white space do not count.
        """
        rows = self.connection.execute(
            f"{_CURRENT} WHERE current.kind = ? AND key = ? AND state != 'merged' "
            "ORDER BY state, entity",
            (_kind_of_type(type_), folded(key)),
        )
        return tuple(_of_type(row, type_) for row in rows)

    def object_named(self, name: str, *, withdrawn: bool = False) -> ObjectRecord:
        """The one object of that stock number or UUID (or the first characters of a UUID).

        With `withdrawn` also one that was withdrawn, where no other bears that number.

        Raises:
            SelectionError: where there is none, or more than one; then all are listed.
        """
        by_id = self.get(name, ObjectRecord)
        if by_id is not None:
            return by_id
        bearers = self.keyed(ObjectRecord, name)
        found = [r for r in bearers if not r.withdrawn] or self._merged_from(name)
        if withdrawn and not found:
            found = list(bearers)
        found = found or self._numbered_alike(name)
        if not found and len(name) >= 6:
            rows = self.connection.execute(
                "SELECT entity FROM current WHERE kind = 'object' AND state != 'withdrawn' "
                "AND entity LIKE ? ESCAPE '!' LIMIT 9",
                (f"{_escaped(name.lower())}%",),
            ).fetchall()
            records = (self.get(row["entity"], ObjectRecord) for row in rows)
            found = [*{r.id: r for r in records if r is not None}.values()]
        if len(found) == 1:
            return found[0]
        if not found:
            raise SelectionError(
                f"There is no record '{name}'.", "'archivist show' lists the stock numbers."
            )
        listed = "\n".join(f"  {record.id}  {record.title}" for record in found)
        raise SelectionError(
            f"{len(found)} records bear the stock number '{name}':\n{listed}",
            "Name one of them by the beginning of the long identifier.",
        )

    def _numbered_alike(self, name: str) -> list[ObjectRecord]:
        """The records whose stock number is `name` but for blanks, hyphens and leading zeros."""
        wanted = number_key(name)
        if not any(part.isdigit() for part in wanted):
            return []
        rows = self.connection.execute(
            "SELECT entity, key FROM current WHERE kind = 'object' AND state NOT IN "
            "('withdrawn', 'merged')"
        )
        alike = [row["entity"] for row in rows if number_key(row["key"] or "") == wanted]
        return [r for r in (self.get(entity, ObjectRecord) for entity in alike) if r is not None]

    def _merged_from(self, number: str) -> list[ObjectRecord]:
        """The records that took over those of a stock number."""
        rows = self.connection.execute(
            "SELECT entity FROM current WHERE kind = 'object' AND key = ? AND state = 'merged'",
            (folded(number),),
        ).fetchall()
        records = (self.get(row["entity"], ObjectRecord) for row in rows)
        return [*{r.id: r for r in records if r is not None and not r.withdrawn}.values()]

    def merged_into(self, object_id: str) -> list[str]:
        """The UUID itself, first, and those of all records that it took over."""
        rows = self.connection.execute(
            "WITH RECURSIVE taken (entity) AS (VALUES (?) UNION SELECT current.entity "
            "FROM current JOIN taken ON current.merged_into = taken.entity) "
            "SELECT entity FROM taken",
            (object_id,),
        )
        return [row["entity"] for row in rows]

    def photographs_of(self, object_id: str) -> tuple[Photograph, ...]:
        """The photographs that show a piece, also those of records merged into it."""
        merged = self.merged_into(object_id)
        marks = ", ".join("?" * len(merged))
        rows = self.connection.execute(
            f"{_CURRENT} WHERE current.entity IN "
            f"(SELECT photograph FROM depiction WHERE object IN ({marks})) "
            "AND current.state = 'present' ORDER BY current.row",
            merged,
        )
        whole = self._whole(rows, Photograph)
        return tuple(_redirected(photograph, merged, object_id) for photograph in whole)

    def unassigned_photographs(self) -> Iterator[Photograph]:
        """The photographs that show no piece, or only pieces that were withdrawn."""
        rows = self.connection.execute(
            f"{_CURRENT} WHERE current.kind = 'photograph' AND state = 'present' "
            "AND NOT EXISTS (SELECT 1 FROM depiction JOIN current AS shown "
            "ON shown.entity = depiction.object WHERE depiction.photograph = current.entity "
            "AND shown.state != 'withdrawn') "
            "ORDER BY current.row"
        )
        return self._whole(rows, Photograph)

    def count(self, kind: str, state: str = "present") -> int:
        """How many of a kind ('object', 'photograph', 'party') are in that state."""
        (number,) = self.connection.execute(
            "SELECT count(*) FROM current WHERE kind = ? AND state = ?", (kind, state)
        ).fetchone()
        return int(number)

    # Reading what was

    def versions(self, entity: str) -> tuple[Version, ...]:
        """Every version of that UUID, oldest first."""
        rows = self.connection.execute(
            f"SELECT {_VERSION_COLUMNS}, {_ACTION_COLUMNS} FROM version "
            "JOIN action ON action.id = version.action WHERE entity = ? ORDER BY version.number",
            (entity,),
        )
        return tuple(_version(row) for row in rows)

    def versions_by(self, action_id: str) -> tuple[Version, ...]:
        """Every version that an action wrote."""
        rows = self.connection.execute(
            f"SELECT {_VERSION_COLUMNS}, {_ACTION_COLUMNS} FROM version "
            "JOIN action ON action.id = version.action WHERE action.id = ? "
            "ORDER BY version.entity, version.number",
            (action_id,),
        )
        return tuple(_version(row) for row in rows)

    def actions(self) -> tuple[ActionFacts, ...]:
        """Every action, the latest first."""
        rows = self.connection.execute(
            f"SELECT {_ACTION_COLUMNS} FROM action ORDER BY action.number DESC"
        )
        return tuple(_action_facts(row) for row in rows)

    def action_numbered(self, number: int) -> ActionFacts:
        """The action of that number.

        Raises:
            SelectionError: where there is none.
        """
        row = self.connection.execute(
            f"SELECT {_ACTION_COLUMNS} FROM action WHERE action.number = ?", (number,)
        ).fetchone()
        if row is None:
            raise SelectionError(
                f"There is no action {number}.", "'archivist history' lists all of them."
            )
        return _action_facts(row)


_CURRENT = f"""
    SELECT current.entity, current.kind, current.number, version.sha256, {WORDS}
    FROM current JOIN version USING (entity, number)
"""


def _of_type(row: sqlite3.Row, type_: type[EntityType]) -> EntityType:
    """The value of a row, which is of that type."""
    return cast("EntityType", entity_of(row))


def _kind_of_type(type_: type[Entity]) -> str:
    return next(kind for kind, known in KINDS.items() if known is type_)


def _escaped(words: str) -> str:
    """`words` for LIKE, its wildcards taken as they are ('!' escapes)."""
    return words.replace("!", "!!").replace("%", "!%").replace("_", "!_")


def _redirected(photograph: Photograph, merged: list[str], object_id: str) -> Photograph:
    """The photograph with depictions of merged records told as of the one that took them over."""
    return msgspec.structs.replace(
        photograph,
        depictions=tuple(
            msgspec.structs.replace(d, object=object_id) if d.object in merged else d
            for d in photograph.depictions
        ),
    )


def _action_facts(row: sqlite3.Row) -> ActionFacts:
    return ActionFacts(
        row["action_number"],
        row["action_id"],
        row["action_kind"],
        row["at"],
        row["who"],
        row["why"],
        row["undoes"],
        row["undone_by"],
    )


def _version(row: sqlite3.Row) -> Version:
    return Version(
        row["entity"], row["kind"], row["number"], _action_facts(row), row["json"], row["sha256"]
    )


__all__ = ["Action", "ActionFacts", "Catalogue", "Version", "kind_of", "utc_now"]
