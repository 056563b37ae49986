"""PNG as a row of chunks (Portable Network Graphics, 3rd edition, W3C, section 5)."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from typing import BinaryIO

from archivist.model.base import Value

SIGNATURE = b"\x89PNG\r\n\x1a\n"
LARGEST_TEXT = 1 << 22
"""What a compressed text may unpack to; more is taken for a trap and left alone."""


class Chunk(Value, frozen=True, kw_only=True):
    """A chunk; `data` is empty where it was passed over, `size` is its length all the same."""

    kind: bytes
    size: int
    data: bytes = b""
    sound: bool = True


class Broken(ValueError):  # noqa: N818 - read as what it tells
    """The row of chunks ends before IEND; the text says how."""


def chunks(stream: BinaryIO, file_size: int, *, passing_over: bytes = b"") -> Iterator[Chunk]:
    """The chunks up to and with IEND. Those of the kind `passing_over` are not read.

    `sound` is False where the checksum does not fit (not tested for chunks passed over).

    Raises:
        Broken: the signature is wrong, or the file ends before IEND.
    """
    stream.seek(0)
    if stream.read(8) != SIGNATURE:
        raise Broken("it does not begin as a PNG")
    position = 8
    while True:
        head = stream.read(8)
        if len(head) < 8:
            raise Broken("it breaks off before its picture is complete")
        size, kind = struct.unpack(">I4s", head)
        position += 12 + size
        if position > file_size:
            raise Broken("it breaks off before its picture is complete")
        if kind == passing_over:
            stream.seek(position)
            yield Chunk(kind=kind, size=size)
            continue
        data = stream.read(size)
        checksum = int.from_bytes(stream.read(4), "big")
        sound = checksum == zlib.crc32(data, zlib.crc32(kind))
        yield Chunk(kind=kind, size=size, data=data, sound=sound)
        if kind == b"IEND":
            return


def chunk_bytes(kind: bytes, data: bytes) -> bytes:
    """A chunk as it is written, with its checksum."""
    checksum = zlib.crc32(data, zlib.crc32(kind))
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", checksum)


def inflate(packed: bytes, limit: int = LARGEST_TEXT) -> bytes:
    """Unpacked, or empty where it is damaged or unpacks to more than `limit` bytes."""
    unpacker = zlib.decompressobj()
    try:
        data = unpacker.decompress(packed, limit)
    except zlib.error:
        return b""
    return b"" if unpacker.unconsumed_tail else data


def text_of(chunk: Chunk) -> tuple[str, str]:
    """Keyword and text of a tEXt, zTXt or iTXt chunk (sections 11.3.3.2 to 11.3.3.4)."""
    keyword, _, rest = chunk.data.partition(b"\0")
    name = keyword.decode("latin-1")
    if chunk.kind == b"tEXt":
        return name, rest.decode("latin-1")
    if chunk.kind == b"zTXt":
        return name, inflate(rest[1:]).decode("latin-1")
    compressed, rest = rest[:1] == b"\1", rest[2:]
    _language, _, rest = rest.partition(b"\0")
    _translated, _, body = rest.partition(b"\0")
    return name, (inflate(body) if compressed else body).decode("utf-8", "replace")
