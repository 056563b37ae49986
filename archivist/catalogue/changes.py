"""What changed between two versions, statement by statement, and taking it back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

import msgspec

from archivist.model import Value

ValueType = TypeVar("ValueType", bound=Value)


@dataclass(frozen=True)
class Change:
    """One field that differs: the statements (or the one value) gone and come."""

    field: str
    gone: tuple[object, ...]
    come: tuple[object, ...]


class Touched(Exception):  # noqa: N818 - not an error to show: the caller names the later action
    """Something that a change brought was changed again since; `field` says where."""

    def __init__(self, field: str) -> None:
        super().__init__(field)
        self.field = field


def changes(old: Value, new: Value) -> Iterator[Change]:
    """The fields of two values of one kind that differ, told statement by statement."""
    for name in old.__struct_fields__:
        before, after = getattr(old, name), getattr(new, name)
        if before == after:
            continue
        if isinstance(before, tuple) and isinstance(after, tuple):
            gone, come = _difference(before, after), _difference(after, before)
            yield Change(name, gone, come)
        else:
            yield Change(name, (before,), (after,))


def taken_back(old: ValueType, new: ValueType, current: ValueType) -> ValueType:
    """`current` without what came between `old` and `new`, everything since then kept.

    Raises:
        Touched: where a statement that came then is no longer as it came.
    """
    mended: dict[str, object] = {}
    for change in changes(old, new):
        now = getattr(current, change.field)
        before = getattr(old, change.field)
        if isinstance(now, tuple) and isinstance(before, tuple):
            mended[change.field] = _reversed(change, before, now)
        elif now == change.come[0]:
            mended[change.field] = before
        else:
            raise Touched(change.field)
    return msgspec.structs.replace(current, **mended)


def _reversed(
    change: Change, before: tuple[object, ...], now: tuple[object, ...]
) -> tuple[object, ...]:
    """The statements `now` without those that came and with those that were gone, in place."""
    if _difference(change.come, now):
        raise Touched(change.field)
    kept = list(_difference(now, change.come))
    if not _difference(tuple(kept), before):
        remaining = (*kept, *change.gone)
        return tuple(s for s in before if s in remaining)
    for statement in change.gone:
        kept.insert(min(before.index(statement), len(kept)), statement)
    return tuple(kept)


def _difference(some: tuple[object, ...], others: tuple[object, ...]) -> tuple[object, ...]:
    """What `some` hold more often than `others`, in order."""
    left = list(others)
    result = []
    for item in some:
        if item in left:
            left.remove(item)
        else:
            result.append(item)
    return tuple(result)
