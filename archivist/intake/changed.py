"""A record with some statements taken away and others added."""

from __future__ import annotations

from typing import Any

import msgspec

from archivist.model import STATEMENT_FIELDS, ObjectRecord


def changed_record(
    current: ObjectRecord, removes: ObjectRecord, adds: ObjectRecord
) -> ObjectRecord | None:
    """`current` without the statements of `removes` and with those of `adds`.

    None where a statement to be removed is not there and what replaces it is not there either:
    somebody changed it meanwhile. Applied again, it gives the same.
    """
    fields: dict[str, Any] = {}
    for name in (*STATEMENT_FIELDS, "other_numbers"):
        now, gone, come = getattr(current, name), getattr(removes, name), getattr(adds, name)
        if not gone and not come:
            continue
        missing = [s for s in gone if s not in now]
        if missing and not all(s in now for s in come):
            return None
        kept = [s for s in now if s not in gone or s in come]
        place = next((n for n, s in enumerate(now) if s in gone), len(kept))
        new = [s for s in come if s not in now]
        kept[place:place] = new
        fields[name] = tuple(kept)
    for name in ("stock_number", "composition", "rights"):
        gone, come = getattr(removes, name), getattr(adds, name)
        if gone == come:
            continue
        now = getattr(current, name)
        if now not in (gone, come):
            return None
        fields[name] = come
    return msgspec.structs.replace(current, **fields)
