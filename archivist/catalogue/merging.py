"""Two records that are one piece, and one record that is two pieces. Both can be undone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.errors import RecordError
from archivist.model import STATEMENT_FIELDS, ObjectRecord, Override, Photograph

_CHOSEN_ONCE = ("titles", "attributions")


def merged(kept: ObjectRecord, taken: ObjectRecord) -> ObjectRecord:
    """`kept` with every statement of `taken` that it does not hold, and its numbers.

    What `kept` prefers stays preferred; of `taken` nothing is lost and nothing wins. What either
    keeps from an audience is kept from it.
    """
    changes: dict[str, Any] = {}
    for field in STATEMENT_FIELDS:
        mine = getattr(kept, field)
        theirs = [s for s in getattr(taken, field) if s not in mine]
        if mine and field in _CHOSEN_ONCE:
            theirs = [_unless_alone(mine, s) for s in theirs]
        changes[field] = (*mine, *(s for s in theirs if s not in mine))
    numbers = (taken.stock_number, *taken.other_numbers)
    new = [n for n in numbers if n and n not in (kept.stock_number, *kept.other_numbers)]
    return msgspec.structs.replace(
        kept,
        other_numbers=(*kept.other_numbers, *dict.fromkeys(new)),
        composition=kept.composition or taken.composition,
        rights=kept.rights or taken.rights,
        overrides=_strictest(kept.overrides, taken.overrides),
        **changes,
    )


def _strictest(mine: Sequence[Override], theirs: Sequence[Override]) -> tuple[Override, ...]:
    """The overrides of one record, and of another those that keep something from somebody."""
    hiding = {(o.audience, o.field): o for o in (*mine, *theirs) if not o.shown}
    letting = (o for o in mine if o.shown and (o.audience, o.field) not in hiding)
    return (*letting, *hiding.values())


def _unless_alone(mine: Sequence[Any], statement: Any) -> Any:
    """`statement` no longer preferred where one of `mine` says something of the same aspect."""
    rivals = [s for s in mine if getattr(s, "aspect", "") == getattr(statement, "aspect", "")]
    return msgspec.structs.replace(statement, preferred=False) if rivals else statement


def merge(
    catalogue: Catalogue, kept: ObjectRecord, taken: ObjectRecord, who: str, why: str
) -> None:
    """Makes `taken` part of `kept`; the UUID of `taken` leads to `kept` from now on.

    Raises:
        RecordError: where both are the same record.
    """
    if kept.id == taken.id:
        raise RecordError(f"{kept.name} cannot be merged with itself.", "Name two records.")
    with catalogue.action("merge", who, why) as action:
        action.save(merged(kept, taken))
        action.save(msgspec.structs.replace(taken, merged_into=kept.id))


def split(
    catalogue: Catalogue,
    record: ObjectRecord,
    new: ObjectRecord,
    photographs: Sequence[Photograph],
    moved: Sequence[tuple[str, int]],
    who: str,
    why: str,
) -> ObjectRecord:
    """Moves statements and photographs of `record` to `new`, a record that is not there yet.

    `moved` names statements by field and position from 0 ('marks', 1). Gives `new` as saved.

    Raises:
        RecordError: where a statement that is named is not there.
    """
    taken: dict[str, tuple[Any, ...]] = {}
    left: dict[str, tuple[Any, ...]] = {}
    for field in dict.fromkeys(field for field, _ in moved):
        statements: tuple[Any, ...] = getattr(record, field, ())
        places = {place for name, place in moved if name == field}
        if field not in STATEMENT_FIELDS or not places <= set(range(len(statements))):
            raise RecordError(
                f"{record.name} has {len(statements)} {field}; number {max(places) + 1} was named.",
                f"'archivist show {record.name}' numbers them.",
            )
        taken[field] = tuple(s for i, s in enumerate(statements) if i in places)
        left[field] = tuple(s for i, s in enumerate(statements) if i not in places)
    made = msgspec.structs.replace(
        new,
        overrides=_strictest(new.overrides, record.overrides),
        **{f: (*getattr(new, f), *s) for f, s in taken.items()},
    )
    with catalogue.action("split", who, why) as action:
        action.save(made)
        action.save(msgspec.structs.replace(record, **left))
        for photograph in photographs:
            action.save(_reassigned(photograph, record.id, made.id))
    return made


def _reassigned(photograph: Photograph, old: str, new: str) -> Photograph:
    """The photograph with what it showed of `old` told as of `new`."""
    return msgspec.structs.replace(
        photograph,
        depictions=tuple(
            msgspec.structs.replace(d, object=new) if d.object == old else d
            for d in photograph.depictions
        ),
    )
