"""TIFF directories, as files and as the inside of EXIF (TIFF 6.0, section 2; BigTIFF).

Reads what is asked for and nothing else, wherever it lies, and takes every number in the file for
a claim: an offset outside the file, a count that cannot be or a type nobody knows makes that one
tag unreadable and no other. (Readers that take all or nothing lose the date of a photograph to a
broken maker's note.)
"""

from __future__ import annotations

import struct
from typing import BinaryIO

from archivist.model.base import Value

_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4, 16: 8, 17: 8, 18: 8}  # noqa: E501  # fmt: skip
_LETTERS = {1: "B", 3: "H", 4: "I", 5: "I", 6: "b", 8: "h", 9: "i", 10: "i", 13: "I", 16: "Q", 17: "q", 18: "Q"}  # noqa: E501  # fmt: skip
_RATIONAL = frozenset({5, 10})
MOST_TAGS = 4096
MOST_BYTES = 1 << 24
MOST_DIRECTORIES = 10_000


class Entry(Value, frozen=True, kw_only=True):
    """One tag: `offset` is where its value lies, counted from the TIFF header."""

    kind: int
    count: int
    offset: int


class Directory(Value, frozen=True, kw_only=True):
    """The tags of one directory, and where the next begins (0: none)."""

    entries: dict[int, Entry]
    following: int = 0


class Tiff:
    """A TIFF structure that begins at `start` in `stream`.

    Raises:
        ValueError: it does not begin with TIFF's mark of the byte order.
    """

    def __init__(self, stream: BinaryIO, start: int = 0) -> None:
        self._stream = stream
        self._start = start
        head = self._read(0, 16)
        self._order = {b"II": "<", b"MM": ">"}.get(head[:2], "")
        if not self._order:
            raise ValueError("it does not begin as a TIFF")
        # Cameras and damage put other numbers in the place of TIFF's 42; only BigTIFF's matters.
        self._big = head[2:4] in (b"+\0", b"\0+")
        letter, place, size = ("Q", 8, 16) if self._big else ("I", 4, 8)
        self.first = 0
        if len(head) >= size:
            self.first = struct.unpack(self._order + letter, head[place:size])[0]

    def _read(self, offset: int, size: int) -> bytes:
        if offset < 0 or offset >= 1 << 62:
            return b""
        self._stream.seek(self._start + offset)
        return self._stream.read(size)

    def directory(self, offset: int) -> Directory:
        """The directory at `offset`; without tags where none can be read there."""
        count_size, entry_size, inline, letter = (8, 20, 8, "Q") if self._big else (2, 12, 4, "I")
        head = self._read(offset, count_size) if offset else b""
        if len(head) < count_size:
            return Directory(entries={})
        count = struct.unpack(self._order + ("Q" if self._big else "H"), head)[0]
        if count > MOST_TAGS:
            return Directory(entries={})
        body = self._read(offset + count_size, count * entry_size + inline)
        entries: dict[int, Entry] = {}
        for start in range(0, min(len(body), count * entry_size) - entry_size + 1, entry_size):
            tag, kind, number = struct.unpack_from(self._order + "HH" + letter, body, start)
            size = _SIZES.get(kind, 0) * number
            value_at = start + entry_size - inline
            if size > inline:
                (where,) = struct.unpack_from(self._order + letter, body, value_at)
            else:
                where = offset + count_size + value_at
            if size:
                entries.setdefault(tag, Entry(kind=kind, count=number, offset=where))
        tail = body[count * entry_size :]
        following = struct.unpack(self._order + letter, tail)[0] if len(tail) == inline else 0
        return Directory(entries=entries, following=following)

    def directories(self) -> list[Directory]:
        """The chain from the first directory on; a chain that bites its tail ends there."""
        found: list[Directory] = []
        seen: set[int] = set()
        offset = self.first
        while offset and offset not in seen and len(found) < MOST_DIRECTORIES:
            seen.add(offset)
            directory = self.directory(offset)
            if not directory.entries:
                break
            found.append(directory)
            offset = directory.following
        return found

    def raw(self, entry: Entry | None) -> bytes:
        """The bytes of a value, empty where it is missing, cut short or beyond reason."""
        if entry is None:
            return b""
        size = _SIZES[entry.kind] * entry.count
        if size > MOST_BYTES:
            return b""
        data = self._read(entry.offset, size)
        return data if len(data) == size else b""

    def numbers(self, entry: Entry | None) -> tuple[int, ...]:
        """A value as whole numbers (numerator and denominator in turn for rationals)."""
        data = self.raw(entry)
        if not data or entry is None or entry.kind not in _LETTERS:
            return ()
        count = entry.count * (2 if entry.kind in _RATIONAL else 1)
        return struct.unpack(f"{self._order}{count}{_LETTERS[entry.kind]}", data)

    def number(self, directory: Directory, tag: int, default: int = 0) -> int:
        """The first number of `tag`, `default` where it has none."""
        values = self.numbers(directory.entries.get(tag))
        return values[0] if values else default
