"""Bytes that are read once, whole, and compared with their digest before anyone may use them.

A digest that is compared in another reading than the one that is used says nothing of what was
used: a disk that fails gives other bytes the second time.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import BinaryIO, Literal, Protocol

from archivist.errors import FixityError

MENDING = (
    "Nothing of it was given out, and nothing was changed. Mend it from a copy: 'archivist "
    "restore' with an owner's bag --into this archive, or take in the undamaged file again where "
    "you still have it. 'archivist fixity' lists everything that is damaged."
)
"""What to do about bytes of the archive that are not what was recorded."""


class ByteSource(Protocol):
    """What can be read from its beginning, any number of times: a file, or bytes of one."""

    @property
    def name(self) -> str: ...
    @property
    def suffix(self) -> str: ...
    def open(self, mode: Literal["rb"], /) -> BinaryIO: ...
    def read_bytes(self) -> bytes: ...


@dataclass(frozen=True)
class Content:
    """The bytes of a file as they were read once; `path` is where they came from, in words."""

    path: str
    data: bytes

    @property
    def name(self) -> str:
        """The last part of the path."""
        return PurePath(self.path).name

    @property
    def suffix(self) -> str:
        """The extension, with its dot."""
        return PurePath(self.path).suffix

    def open(self, mode: Literal["rb"], /) -> BinaryIO:
        """A stream of the bytes, from the first on."""
        return io.BytesIO(self.data)

    def read_bytes(self) -> bytes:
        """The bytes."""
        return self.data

    def __str__(self) -> str:
        return self.path


class SourceStream:
    """A file that is read to be handed on: what fails in reading is the file's own damage, and not
    that of the place it is copied to."""

    def __init__(self, stream: BinaryIO, path: Path, remedy: str) -> None:
        self._stream = stream
        self._path = path
        self._remedy = remedy

    def read(self, size: int, /) -> bytes:
        """The next bytes.

        Raises:
            FixityError: where they cannot be read.
        """
        try:
            return self._stream.read(size)
        except OSError as problem:
            raise _unreadable(self._path, problem, self._remedy) from problem


@contextmanager
def opened_source(path: Path, remedy: str = MENDING) -> Iterator[SourceStream]:
    """The file at `path`, to be read from its beginning.

    Raises:
        FixityError: where it cannot be opened or read.
    """
    try:
        stream = path.open("rb")
    except OSError as problem:
        raise _unreadable(path, problem, remedy) from problem
    with stream:
        yield SourceStream(stream, path, remedy)


def checked_content(path: Path, sha256: str, remedy: str = MENDING) -> Content:
    """The whole file at `path`, read once, if its digest is `sha256`.

    Raises:
        FixityError: where it is another, or the file is gone or cannot be read.
    """
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise _unreadable(path, problem, remedy) from problem
    refuse_other(path, hashlib.sha256(data).hexdigest(), sha256, remedy)
    return Content(str(path), data)


def compare(path: Path, sha256: str, remedy: str = MENDING) -> None:
    """Reads the file at `path` to compare it with its digest; for whoever reads it again, which
    must compare again.

    Raises:
        FixityError: where it is another, or the file is gone or cannot be read.
    """
    try:
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as problem:
        raise _unreadable(path, problem, remedy) from problem
    refuse_other(path, found, sha256, remedy)


def _unreadable(path: Path, problem: OSError, remedy: str) -> FixityError:
    return FixityError(f"{path} cannot be read: {problem.strerror or problem}.", remedy)


def refuse_other(path: object, found: str, sha256: str, remedy: str = MENDING) -> None:
    """Raises where a digest is not the one that was recorded.

    Raises:
        FixityError: naming `path`.
    """
    if found != sha256:
        raise FixityError(
            f"{path} is damaged: its SHA-256 is {found} and should be {sha256}.", remedy
        )
