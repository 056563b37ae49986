"""Persons and firms. Private unless said otherwise."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Value


class PartyKind(StrEnum):
    PERSON = "person"
    FIRM = "firm"
    MUSEUM = "museum"
    HOUSEHOLD = "household"
    UNKNOWN = "unknown"


class Party(Value, frozen=True, kw_only=True):
    """A person or firm, known by `id` (a UUID) wherever a statement names one.

    `life` is their life dates as stated; `as_published` is what others than the owner are told
    while the party is private ('private collection, Wales').
    """

    id: str
    name: str
    kind: PartyKind = PartyKind.UNKNOWN
    also_known_as: tuple[str, ...] = ()
    life: str = ""
    place: str = ""
    address: str = ""
    contact: str = ""
    note: str = ""
    private: bool = True
    as_published: str = ""
