"""Taking back an action, whole or not at all, without touching what came after it."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec

from archivist.catalogue.action import ActionFacts
from archivist.catalogue.catalogue import Catalogue, Version
from archivist.catalogue.changes import Touched, taken_back
from archivist.catalogue.entities import Entity
from archivist.errors import ConflictError, SelectionError
from archivist.model import ObjectRecord, Party

NOT_UNDOABLE = frozenset({"erase", "restore"})


@dataclass(frozen=True)
class Undone:
    """What was taken back: the action, and how many versions that took."""

    action: ActionFacts
    changed: int
    withdrawn: int


def last_undoable(catalogue: Catalogue) -> ActionFacts:
    """The latest action that stands and is not itself an undoing; doing it again counts as one.

    Raises:
        SelectionError: where there is none.
    """
    actions = catalogue.actions()
    undoes = {action.id: action.undoes for action in actions}
    for action in actions:
        if action.undone_by is not None or action.kind in NOT_UNDOABLE:
            continue
        if _undoings(action, undoes) % 2 == 0:
            return action
    raise SelectionError("There is nothing to undo.", "'archivist history' lists every action.")


def _undoings(action: ActionFacts, undoes: dict[str, str]) -> int:
    """0 for an action, 1 for an undoing, 2 for the undoing of an undoing, which does it again."""
    number, taken_back = 0, action.undoes
    while taken_back:
        number += 1
        taken_back = undoes[taken_back]
    return number


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
    brought: dict[str, list[Version]] = {}
    for version in catalogue.versions_by(action.id):
        brought.setdefault(version.entity, []).append(version)
    compensating = [_without(catalogue, versions) for versions in brought.values()]
    changed = withdrawn = 0
    with catalogue.action("undo", who, why, undoes=action.id) as undoing:
        undoing.empty = False
        for entity, created in compensating:
            if undoing.save(entity):
                withdrawn += created
                changed += not created
    return Undone(action, changed, withdrawn)


def _without(catalogue: Catalogue, brought: list[Version]) -> tuple[Entity, bool]:
    """The entity without the versions that an action brought, and whether that withdraws it.

    A party that came stays as it is now: it shows nowhere by itself, and what names it is undone.
    """
    first, last = brought[0], brought[-1]
    versions = catalogue.versions(first.entity)
    came = last.value()
    now = versions[-1].value()
    if first.number == 1:
        if isinstance(now, Party):
            return now, False
        if now != came:
            raise _later(versions, last, "the whole of it")
        return msgspec.structs.replace(now, withdrawn=True), True
    before = versions[first.number - 2].value()
    try:
        return taken_back(before, came, now), False
    except Touched as touched:
        raise _later(versions, last, touched.field.replace("_", " ")) from None


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
