"""SHA-256 and SHA-512 of the same bytes in one pass, while they are read, copied or written."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol

CHUNK = 1 << 20
"""Bytes read at a time: large enough that hashing, not Python, takes the time."""


@dataclass(frozen=True)
class Digests:
    """The size of a file in bytes and its two digests in lower-case hexadecimal."""

    size: int
    sha256: str
    sha512: str


class Digester:
    """Takes in bytes piece by piece and knows their digests at any moment.

    Without `sha512` that one is not taken, and is ''.
    """

    def __init__(self, *, sha512: bool = True) -> None:
        self._size = 0
        self._sha256 = hashlib.sha256()
        self._sha512 = hashlib.sha512() if sha512 else None

    def update(self, data: bytes) -> None:
        """Takes in the next bytes."""
        self._size += len(data)
        self._sha256.update(data)
        if self._sha512 is not None:
            self._sha512.update(data)

    def digests(self) -> Digests:
        """Of everything taken in so far."""
        sha512 = self._sha512.hexdigest() if self._sha512 is not None else ""
        return Digests(self._size, self._sha256.hexdigest(), sha512)


def digest_bytes(data: bytes) -> Digests:
    """The digests of `data`."""
    digester = Digester()
    digester.update(data)
    return digester.digests()


def digest_file(path: Path, progress: Callable[[int], None] | None = None) -> Digests:
    """The digests of the file at `path`; `progress` is told how many bytes went by.

    Raises:
        OSError: where the file cannot be read.
    """
    with path.open("rb") as source:
        return copy_stream(source, None, progress)


class Readable(Protocol):
    """What can be read from, some bytes at a time; b'' at the end."""

    def read(self, size: int, /) -> bytes: ...


def copy_stream(
    source: Readable,
    target: BinaryIO | None,
    progress: Callable[[int], None] | None = None,
    *,
    sha512: bool = True,
) -> Digests:
    """Copies `source` to `target` (None: only digests it) and gives the digests of what passed."""
    digester = Digester(sha512=sha512)
    while data := source.read(CHUNK):
        digester.update(data)
        if target is not None:
            target.write(data)
        if progress is not None:
            progress(len(data))
    return digester.digests()
