"""The owner's word on who sees what of one piece, kept on its record and so in its history."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from archivist.errors import SelectionError
from archivist.model import ObjectRecord, Override
from archivist.release.disclosure import OWNER, Disclosure, disclosure_for


def with_overrides(
    record: ObjectRecord, changes: Iterable[Override], rules: Mapping[str, Disclosure]
) -> ObjectRecord:
    """`record` with those overrides, each in place of one for the same audience and field.

    Raises:
        SelectionError: for an audience that is not there, or the owner.
        SettingsError: for a field that is not there, or that nobody but the owner may see.
    """
    standing = {(o.audience, o.field): o for o in record.overrides}
    for change in changes:
        rule = disclosure_for(change.audience, rules)
        if change.audience == OWNER:
            raise SelectionError(
                "Nothing can be kept from the owner.", "Name another audience; nothing was changed."
            )
        rule.overridden((change,))
        standing[change.audience, change.field] = change
    return msgspec.structs.replace(record, overrides=tuple(standing.values()))


def without_overrides(record: ObjectRecord, taken: Iterable[tuple[str, str]]) -> ObjectRecord:
    """`record` with the table holding again for each (audience, field) of `taken`.

    Raises:
        SelectionError: where there is no such override.
    """
    standing = {(o.audience, o.field): o for o in record.overrides}
    for audience, field in taken:
        if standing.pop((audience, field), None) is None:
            there = ", ".join(f"{o.audience}={o.field}" for o in record.overrides) or "none"
            raise SelectionError(
                f"{record.name} has no override '{audience}={field}'.", f"There are: {there}."
            )
    return msgspec.structs.replace(record, overrides=tuple(standing.values()))
