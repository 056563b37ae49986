"""The three things that have versions (objects, photographs, parties) and how each is looked up."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeVar

import msgspec

from archivist.model import ObjectRecord, Party, Photograph, Statement, Value, not_rejected

Entity = ObjectRecord | Photograph | Party

ValueType = TypeVar("ValueType", bound=Value)

KINDS: dict[str, type[ObjectRecord] | type[Photograph] | type[Party]] = {
    "object": ObjectRecord,
    "photograph": Photograph,
    "party": Party,
}

_IDEOGRAPH = re.compile("([\u2e80-\u9fff\uac00-\ud7af\uf900-\ufaff\U00020000-\U0003ffff])")
_SPACES = re.compile(r"\s+")


@dataclass(frozen=True)
class Lookup:
    """What the catalogue keeps beside the current version, made from it alone."""

    kind: str
    key: str
    label: str
    earliest: int | None
    latest: int | None
    state: str
    words: str
    merged_into: str | None = None


def kind_of(entity: Entity) -> str:
    """'object', 'photograph' or 'party'."""
    return next(kind for kind, type_ in KINDS.items() if isinstance(entity, type_))


def folded(words: str) -> str:
    """Words as they are compared: compatibility forms, case and white space made one."""
    return _SPACES.sub(" ", unicodedata.normalize("NFKC", words).casefold()).strip()


def searchable(words: str) -> str:
    """Words as they are indexed and asked for: compatibility forms made one (full and half
    width), and each character of CJK a word of its own."""
    return _IDEOGRAPH.sub(r" \1 ", unicodedata.normalize("NFKC", words))


def lookup(entity: Entity) -> Lookup:
    """What `entity` is looked up by."""
    if isinstance(entity, ObjectRecord):
        date = entity.date
        state = "merged" if entity.merged_into else _state(entity.withdrawn)
        return Lookup(
            "object",
            folded(entity.stock_number),
            entity.title,
            date.earliest if date else None,
            date.latest if date else None,
            state,
            searchable(" ".join(_words_of(entity))),
            entity.merged_into or None,
        )
    if isinstance(entity, Photograph):
        words = " ".join(caption.words for caption in entity.captions)
        state = _state(entity.withdrawn)
        return Lookup("photograph", entity.sha256, "", None, None, state, searchable(words))
    names = " ".join((entity.name, *entity.also_known_as))
    return Lookup(
        "party", folded(entity.name), entity.name, None, None, "present", searchable(names)
    )


def _state(withdrawn: bool) -> str:
    return "withdrawn" if withdrawn else "present"


_WORDLESS = frozenset(
    {"id", "source", "reading", "evidence", "who", "object", "merged_into", "overrides"}
)
"""Fields that hold identifiers or the machinery of reading, not words that anyone would ask for."""


def _words_of(value: object) -> Iterator[str]:
    """Every string in a value that a person could have written, in order.

    What is rejected finds nothing, whoever said it.
    """
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        statements = [item for item in value if isinstance(item, Statement)]
        for item in not_rejected(statements) if statements else value:
            yield from _words_of(item)
    elif isinstance(value, Value):
        for name in value.__struct_fields__:
            if name not in _WORDLESS:
                yield from _words_of(getattr(value, name))


_PARTY_FIELDS = frozenset(
    {"who", "giver", "receiver", "agent", "party", "written_by", "photographer"}
)
"""Fields of the model that hold the UUID of a party."""


def party_ids(value: Value) -> set[str]:
    """The UUIDs of all parties that a value names."""
    return set(_held_in(value, _PARTY_FIELDS)) - {""}


def with_party_ids(value: ValueType, known_as: Callable[[str], str]) -> ValueType:
    """`value` with each party that it names known by another UUID."""
    changes: dict[str, object] = {}
    for name in value.__struct_fields__:
        held = getattr(value, name)
        if name in _PARTY_FIELDS:
            if held:
                changes[name] = known_as(held)
        elif isinstance(held, Value):
            changes[name] = with_party_ids(held, known_as)
        elif isinstance(held, tuple) and held and isinstance(held[0], Value):
            changes[name] = tuple(with_party_ids(item, known_as) for item in held)
    return msgspec.structs.replace(value, **changes) if changes else value


def evidence_of(value: Value) -> set[str]:
    """The SHA-256 of all originals that a value gives as evidence or as its source."""
    return set(_held_in(value, frozenset({"evidence", "original"}))) - {""}


def _held_in(value: object, fields: frozenset[str]) -> Iterator[str]:
    """The strings in those fields, all the way down."""
    if isinstance(value, tuple):
        for item in value:
            yield from _held_in(item, fields)
    elif isinstance(value, Value):
        for name in value.__struct_fields__:
            held = getattr(value, name)
            if name not in fields:
                yield from _held_in(held, fields)
            elif isinstance(held, str):
                yield held
            else:
                yield from held
