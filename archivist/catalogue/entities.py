"""The three things that have versions (objects, photographs, parties) and how each is looked up."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

import msgspec

from archivist.model import ObjectRecord, Party, Photograph, Value

Entity = ObjectRecord | Photograph | Party

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
    """Words as they are indexed and asked for: each character of CJK a word of its own."""
    return _IDEOGRAPH.sub(r" \1 ", words)


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


_WORDLESS = frozenset({"id", "source", "reading", "evidence", "who", "object", "merged_into"})
"""Fields that hold identifiers or the machinery of reading, not words that anyone would ask for."""


def _words_of(value: object) -> Iterator[str]:
    """Every string in a value that a person could have written, in order."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _words_of(item)
    elif isinstance(value, Value):
        for field in msgspec.structs.fields(value):
            if field.name not in _WORDLESS:
                yield from _words_of(getattr(value, field.name))
