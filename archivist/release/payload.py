"""What an owner's package holds, read with distrust: rows, versions and originals."""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import msgspec

from archivist.catalogue.entities import KINDS
from archivist.catalogue.originals import is_legal_extension
from archivist.content import opened_source, refuse_other
from archivist.digests import Readable
from archivist.errors import PackageError
from archivist.hooks import PayloadFile
from archivist.model import canonical_json, from_json

Payload = Mapping[str, PayloadFile]
"""The files of a package by path."""

Row = dict[str, Any]
"""A row of a table of the catalogue, by column."""

_ROW = msgspec.json.Decoder(dict[str, str | int | None])
_SHA256 = re.compile(r"[0-9a-f]{64}")
_ORIGINAL = frozenset({"sha256", "sha512", "size", "extension", "media_type", "taken_in"})
_VERSION = frozenset({"entity", "kind", "number", "action", "json", "sha256"})


def content_of(file: PayloadFile) -> bytes:
    """The bytes of a file, wherever they are, compared with the digest that its package lists.

    Raises:
        FixityError: where they are others, or cannot be read.
    """
    with opened(file) as stream:
        data = stream.read(LARGEST_CONTENT + 1)
    if len(data) > LARGEST_CONTENT:
        raise PackageError(
            f"{file.path} in the package has more than {LARGEST_CONTENT >> 20} MB, which is the "
            "limit for a table or a document in it.",
            "Nothing of it was taken in. Ask who made the package.",
        )
    if file.sha256:
        refuse_other(file.path, hashlib.sha256(data).hexdigest(), file.sha256, _OTHER_COPY)
    return data


@contextmanager
def opened(file: PayloadFile) -> Iterator[Readable]:
    """The bytes of a file, wherever they are, as a stream. Nothing is compared.

    Raises:
        FixityError: where they cannot be read.
    """
    if file.source is not None:
        with opened_source(file.source, _OTHER_COPY) as source:
            yield source
    elif file.opens is not None:
        with file.opens() as within:
            yield within
    else:
        yield io.BytesIO(file.content)


LARGEST_CONTENT = 1 << 30
"""Bytes of a table or a document that are read at most; originals are copied as they pass."""


_OTHER_COPY = "Nothing of it was taken in. Use another copy of the package."


def below(payload: Payload, folder: str) -> Iterator[PayloadFile]:
    """The files in a folder at the top of the payload; `folder` ends in '/'."""
    return (file for path, file in payload.items() if path.startswith(folder))


def tables(payload: Payload, table: str) -> Iterator[Row]:
    """The rows of a table, from wherever in the payload it lies."""
    for path, file in payload.items():
        if path.endswith(f"/tables/{table}.jsonl"):
            yield from rows(file)


def rows(file: PayloadFile) -> Iterator[Row]:
    """The rows of a table as it was written out.

    Raises:
        PackageError: where a line is no row.
    """
    for number, line in enumerate(content_of(file).splitlines(), start=1):
        try:
            yield _ROW.decode(line)
        except msgspec.DecodeError as problem:
            raise _not_ours(
                f"line {number} of {file.path} is no row of a table: {problem}"
            ) from None


def checked_version(row: Row) -> Row:
    """A version, if its digest is that of its words and the words are of a thing we know.

    Raises:
        PackageError: where they are not.
    """
    if set(row) != _VERSION or row["kind"] not in KINDS:
        raise _not_ours(f"a version has other fields than it should: {', '.join(sorted(row))}")
    name = f"version {row['number']} of {row['entity']}"
    try:
        value = from_json(row["json"], KINDS[row["kind"]])
    except msgspec.DecodeError as problem:
        raise PackageError(
            f"The package holds {name}, which this program does not understand: {problem}.",
            "It may have been written by a newer version; install that one.",
        ) from problem
    written = row["json"].encode("utf-8")
    if hashlib.sha256(written).hexdigest() != row["sha256"] or value.id != row["entity"]:
        raise _not_ours(f"{name} is not what its digest says")
    if canonical_json(value) != written:
        raise _not_ours(f"{name} is not in its canonical form")
    return row


def checked_original(row: Row) -> Row:
    """What is recorded of an original, if it could be the name of a file in the store.

    Raises:
        PackageError: where it could not.
    """
    if set(row) != _ORIGINAL:
        raise _not_ours(f"its table of originals has the columns {', '.join(sorted(row))}")
    extension = row["extension"]
    if not _SHA256.fullmatch(str(row["sha256"])) or not (
        isinstance(extension, str) and is_legal_extension(extension)
    ):
        raise _not_ours(f"an original in it is called '{row['sha256']}{extension}'")
    return row


def histories(payload: Payload) -> dict[str, list[Row]]:
    """Every version in the package by UUID, the oldest first, each once.

    Raises:
        PackageError: where one of them lacks those before it, or is there in two ways.
    """
    found: dict[str, dict[int, Row]] = {}
    for row in tables(payload, "version"):
        numbered = found.setdefault(checked_version(row)["entity"], {})
        if numbered.setdefault(row["number"], row) != row:
            raise _not_ours(f"version {row['number']} of {row['entity']} is there in two ways")
    for entity, numbered in found.items():
        if sorted(numbered) != list(range(1, len(numbered) + 1)):
            raise _not_ours(f"versions of {entity} are missing")
    return {entity: [numbered[n] for n in sorted(numbered)] for entity, numbered in found.items()}


def _not_ours(what: str) -> PackageError:
    return PackageError(
        f"The package is undamaged, but {what}.",
        "Nothing was taken in. Use another copy, and ask who changed this one.",
    )
