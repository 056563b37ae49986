"""What changed since a moment in the history of the catalogue, told piece by piece.

What was made from the pieces and kept (an index, a publication) is brought up to date by looking
again at these alone.
"""

from __future__ import annotations

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.entities import Entity
from archivist.catalogue.stored import WORDS, entity_of
from archivist.errors import FixityError
from archivist.model import ObjectRecord, Photograph

SWEEPING = ("erase", "restore")
"""Actions that change versions of earlier actions, or bring some: what they touch is not told."""


class Moment(msgspec.Struct, frozen=True):
    """A moment in the history of a catalogue: its last action then, by number and UUID."""

    number: int = 0
    action: str = ""


def moment(catalogue: Catalogue) -> Moment:
    """How far the history of `catalogue` has come."""
    row = catalogue.connection.execute(
        "SELECT number, id FROM action ORDER BY number DESC LIMIT 1"
    ).fetchone()
    return Moment(row["number"], row["id"]) if row else Moment()


def changed_since(catalogue: Catalogue, then: Moment) -> frozenset[str] | None:
    """The UUIDs of the records of which anything may be otherwise than it was `then`.

    A record is otherwise where it, a photograph of it, or a record merged into it has a new
    version. None where no such list can be given, so that all may be otherwise: where `then` is
    not in this history, where somebody was erased or a package restored, where a version is
    damaged, and where a party changed, whose name may stand in the words of any record.
    """
    if not _known(catalogue, then):
        return None
    rows = catalogue.connection.execute(
        "SELECT action.kind AS action, version.entity, version.kind, min(version.number) AS first "
        "FROM action LEFT JOIN version ON version.action = action.id WHERE action.number > ? "
        "GROUP BY action.kind, version.entity",
        (then.number,),
    ).fetchall()
    if any(row["action"] in SWEEPING or row["kind"] == "party" for row in rows):
        return None
    touched: set[str] = set()
    try:
        for row in rows:
            if row["entity"] is not None:
                for entity in _versions(catalogue, row["entity"], row["first"] - 1):
                    touched.update(_records_of(entity))
    except FixityError:
        return None
    return _with_successors(catalogue, touched)


def _known(catalogue: Catalogue, then: Moment) -> bool:
    """Whether `then` is a moment of this history."""
    if then == Moment():
        return True
    row = catalogue.connection.execute(
        "SELECT id FROM action WHERE number = ?", (then.number,)
    ).fetchone()
    return row is not None and row["id"] == then.action


def _versions(catalogue: Catalogue, entity: str, first: int) -> list[Entity]:
    """The versions of a thing from number `first` on.

    Raises:
        FixityError: where one is damaged.
    """
    rows = catalogue.connection.execute(
        f"SELECT entity, kind, number, sha256, {WORDS} FROM version "
        "WHERE entity = ? AND number >= ?",
        (entity, first),
    )
    return [entity_of(row) for row in rows]


def _records_of(entity: Entity) -> set[str]:
    """The records that show something else where `entity` does."""
    if isinstance(entity, ObjectRecord):
        return {entity.id, entity.merged_into} - {""}
    return {d.object for d in entity.depictions} if isinstance(entity, Photograph) else set()


def _with_successors(catalogue: Catalogue, records: set[str]) -> frozenset[str]:
    """`records` and all those that they are now merged into."""
    rows = catalogue.connection.execute(
        "WITH RECURSIVE onward (entity) AS (SELECT value FROM json_each(?) UNION "
        "SELECT current.merged_into FROM current JOIN onward USING (entity) "
        "WHERE current.merged_into IS NOT NULL) SELECT entity FROM onward",
        (msgspec.json.encode(sorted(records)).decode("utf-8"),),
    )
    return frozenset(row["entity"] for row in rows)
