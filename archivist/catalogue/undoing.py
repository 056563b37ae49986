"""Taking back an action, whole or not at all, without touching what came after it."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec

from archivist.catalogue.action import ActionFacts
from archivist.catalogue.catalogue import Catalogue, Version
from archivist.catalogue.changes import Touched, taken_back
from archivist.catalogue.entities import Entity
from archivist.errors import ConflictError, SelectionError
from archivist.model import ObjectRecord, Photograph

NOT_UNDOABLE = frozenset({"erase", "restore"})


@dataclass(frozen=True)
class Undone:
    """What was taken back: the action, and how many versions that took."""

    action: ActionFacts
    changed: int
    withdrawn: int


def last_undoable(catalogue: Catalogue) -> ActionFacts:
    """The latest action that was not taken back and does not itself take one back.

    Raises:
        SelectionError: where there is none.
    """
    for action in catalogue.actions():
        if action.undone_by is None and not action.undoes and action.kind not in NOT_UNDOABLE:
            return action
    raise SelectionError("There is nothing to undo.", "'archivist history' lists every action.")


def undo(catalogue: Catalogue, action: ActionFacts, who: str, why: str = "") -> Undone:
    """Writes versions that take `action` back. Originals stay; what it created is withdrawn.

    Undoing an undo does the action again.

    Raises:
        ConflictError: where a later action changed the same statement, which is named; or where
            the action was undone already or cannot be undone. Nothing is changed then.
    """
    if action.undone_by is not None:
        raise ConflictError(
            f"Action {action.number} was already undone by action {action.undone_by}.",
            f"'archivist undo {action.undone_by}' would do it again.",
        )
    if action.kind in NOT_UNDOABLE:
        raise ConflictError(f"An action of kind '{action.kind}' cannot be undone.")
    compensating = [_without(catalogue, version) for version in catalogue.versions_by(action.id)]
    withdrawn = 0
    with catalogue.action("undo", who, why, undoes=action.id) as undoing:
        undoing.empty = False
        for entity, created in compensating:
            withdrawn += created
            undoing.save(entity)
    return Undone(action, len(compensating) - withdrawn, withdrawn)


def _without(catalogue: Catalogue, version: Version) -> tuple[Entity, bool]:
    """The entity without what `version` brought, and whether that withdraws it."""
    versions = catalogue.versions(version.entity)
    came = version.value()
    now = versions[-1].value()
    if version.number == 1:
        if len(versions) > 1 and now != came:
            raise _later(versions, version, "the whole of it")
        return _withdrawn(came), True
    before = versions[version.number - 2].value()
    try:
        return taken_back(before, came, now), False
    except Touched as touched:
        raise _later(versions, version, touched.field.replace("_", " ")) from None


def _withdrawn(entity: Entity) -> Entity:
    """The same, withdrawn; a party, which only other records can name, stays as it is."""
    if isinstance(entity, ObjectRecord | Photograph):
        return msgspec.structs.replace(entity, withdrawn=True)
    return entity


def _later(versions: tuple[Version, ...], version: Version, what: str) -> ConflictError:
    """Names the action that came later and what it touched."""
    later = next(v.action for v in versions[version.number :] if v.json != version.json)
    value = version.value()
    name = value.name if isinstance(value, ObjectRecord) else version.kind
    return ConflictError(
        f"Action {version.action.number} cannot be undone: action {later.number} ({later.kind}, "
        f"{later.at}) changed {what} of {name} since.",
        f"Nothing was changed. Undo action {later.number} first, if that is what you want.",
    )
