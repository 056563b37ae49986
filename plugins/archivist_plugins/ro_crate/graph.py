"""Entities of a crate, flat as RO-Crate 1.1 has them: values and references by `@id`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

Entity = dict[str, Any]


def entity(at: str, kind: str, **properties: Any) -> Entity:
    """An entity; what is empty is left out, and a list of one is that one."""
    made: Entity = {"@id": at, "@type": kind}
    for key, value in properties.items():
        if isinstance(value, list):
            value = value[0] if len(value) == 1 else value
        if value not in ("", None, [], ()):
            made[key] = value
    return made


def reference(at: str) -> dict[str, str]:
    """A reference to another entity."""
    return {"@id": at}


def references(several: Iterable[str]) -> list[dict[str, str]]:
    """References in order, each once."""
    return [reference(at) for at in dict.fromkeys(several)]
