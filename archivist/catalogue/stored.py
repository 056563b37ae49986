"""A version as it lies in the catalogue, believed only where its digest says that it is whole.

Its words are read as bytes: of a damaged file they may be no Unicode, and then the database would
refuse to hand over any row after it.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import msgspec

from archivist.catalogue.entities import KINDS, Entity
from archivist.errors import FixityError
from archivist.model import from_json

WORDS = "CAST(version.json AS BLOB) AS json"
"""SQL: the words of a version, as bytes."""

MENDING = (
    "Nothing of it was given out or changed. 'archivist restore' with an owner's bag --into this "
    "archive puts the words back as they were; 'archivist fixity' lists everything that is damaged."
)


@contextmanager
def any_text(connection: sqlite3.Connection) -> Iterator[None]:
    """Hands over text that is no Unicode with its bytes escaped (PEP 383), where it would else be
    refused with every row after it; for whoever looks for damage, or must read past it."""
    usual = connection.text_factory
    connection.text_factory = lambda text: text.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        connection.text_factory = usual


Row = sqlite3.Row | Mapping[str, Any]
"""A version: `entity`, `kind`, `number`, `json` (bytes) and `sha256`."""


def flaw_of(row: Row) -> str:
    """What is wrong with a version, judged by itself; '' where nothing is."""
    _, flaw = _judged(row)
    return flaw


def entity_of(row: Row) -> Entity:
    """What a version says.

    Raises:
        FixityError: where it is damaged.
    """
    value, flaw = _judged(row)
    if value is None or flaw:
        raise FixityError(
            f"Version {row['number']} of the {row['kind']} {row['entity']} is damaged: {flaw}.",
            MENDING,
        )
    return value


def _judged(row: Row) -> tuple[Entity | None, str]:
    words = row["json"]
    if hashlib.sha256(words).hexdigest() != row["sha256"]:
        return None, "its words are not those that its digest was taken of"
    try:
        value = from_json(words, KINDS[row["kind"]])
    except (KeyError, msgspec.DecodeError):
        return None, "its words are of no thing that this program knows"
    return value, "" if value.id == row["entity"] else f"its words are those of {value.id}"
