"""A PNG written anew from what its picture needs; its compressed pixels stay byte for byte.

All IDAT chunks are one compressed stream (PNG 3rd edition, clause 10.1). What stands behind its
end no reader shows, and it is not passed on; nor is a picture whose stream holds more rows than it
shows, as one that was cropped carelessly does.
"""

from __future__ import annotations

import io
import zlib

from archivist.content import ByteSource
from archivist.imaging import icc, png
from archivist.imaging.rebuild_jpeg import NotUnderstood, Rebuilt, orientation_block

_LONGEST_PROFILE = 1 << 24
_KEPT = {
    b"IHDR": range(13, 14), b"PLTE": range(3, 769), b"IDAT": range(1 << 31), b"tRNS": range(1, 257),
    b"gAMA": range(4, 5), b"cHRM": range(32, 33), b"sRGB": range(1, 2), b"cICP": range(4, 5),
    b"IEND": range(1),
}  # fmt: skip
"""The chunks that make the picture and its colours, with the sizes they may have (PNG 3rd edition,
clause 11); eXIf and iCCP are written afresh."""

_DROPPED = {
    b"tEXt": "text", b"zTXt": "text", b"iTXt": "text", b"eXIf": "EXIF", b"tIME": "the time of the last change",  # noqa: E501
    **dict.fromkeys((b"acTL", b"fcTL", b"fdAT"), "the animation (its still picture is kept)"),
    b"iCCP": "a damaged colour profile",
    b"pHYs": "the print size",
}  # fmt: skip


_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
"""Channels by colour type (11.2.1)."""

_PASSES = (
    (0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2),
    (0, 1, 1, 2),
)  # fmt: skip
"""Of an interlaced picture: first column and row of each pass, and the steps (8.1)."""

_STEP = 1 << 20


class _Pixels:
    """The compressed pixels, as they come chunk by chunk; they may unpack to `shown` bytes."""

    def __init__(self, shown: int) -> None:
        self._unpacker = zlib.decompressobj()
        self._left = shown

    def kept(self, data: bytes) -> bytes:
        """What of a chunk belongs to the stream.

        Raises:
            zlib.error: the stream is damaged.
            NotUnderstood: it holds more than is shown.
        """
        if self._unpacker.eof:
            return b""
        rest, unpacked = data, _STEP
        while rest or unpacked == _STEP:
            unpacked = len(self._unpacker.decompress(rest, _STEP))
            self._left -= unpacked
            if self._left < 0:
                raise NotUnderstood("it holds more pixels than it shows")
            rest = self._unpacker.unconsumed_tail
        return data[: len(data) - len(self._unpacker.unused_data)]


def unpacked_size(header: bytes) -> int:
    """The bytes that the pixels of a picture with that IHDR take before they are compressed (7.2).

    Raises:
        KeyError: for a colour type that there is none of.
    """
    width, height = int.from_bytes(header[:4], "big"), int.from_bytes(header[4:8], "big")
    bits = header[8] * _CHANNELS[header[9]]
    parts = _PASSES if header[12] else ((0, 0, 1, 1),)
    sizes = (
        (-(-(width - column) // across), -(-(height - row) // down))
        for column, row, across, down in parts
    )
    return sum(
        rows * (1 + (columns * bits + 7) // 8) for columns, rows in sizes if columns > 0 < rows
    )


def rebuild_png(path: ByteSource, *, orientation: int) -> Rebuilt:
    """The copy of the PNG at `path`.

    Raises:
        NotUnderstood: it is cut short, a checksum is wrong, or it holds an unknown critical chunk,
            or more pixels than it shows.
        OSError: it cannot be read.
    """
    parts, left_out, kinds = [png.SIGNATURE], [], []
    width = height = 0
    pixels = _Pixels(0)
    with path.open("rb") as stream:
        size = stream.seek(0, io.SEEK_END)
        try:
            for chunk in png.chunks(stream, size):
                kinds.append(chunk.kind)
                critical = chunk.kind[:1].isupper()
                if critical and (chunk.kind not in _KEPT or not chunk.sound):
                    raise NotUnderstood("one of its chunks is damaged or unknown")
                if chunk.kind == b"IDAT":
                    kept = pixels.kept(chunk.data)
                    if kept:
                        parts.append(png.chunk_bytes(b"IDAT", kept))
                    if kept != chunk.data:
                        left_out.append("data behind the pixels")
                elif chunk.kind == b"iCCP" and (profile := _profile(chunk.data)):
                    parts.append(png.chunk_bytes(b"iCCP", profile))
                elif chunk.kind in _KEPT and len(chunk.data) in _KEPT[chunk.kind]:
                    parts.append(png.chunk_bytes(chunk.kind, chunk.data))
                else:
                    left_out.append(_DROPPED.get(chunk.kind, "other data"))
                if chunk.kind == b"IHDR":
                    width = int.from_bytes(chunk.data[:4], "big")
                    height = int.from_bytes(chunk.data[4:8], "big")
                    pixels = _Pixels(unpacked_size(chunk.data))
                    if orientation != 1:
                        parts.append(png.chunk_bytes(b"eXIf", orientation_block(orientation)))
            if stream.tell() < size:
                left_out.append("data after the picture's end")
        except (png.Broken, zlib.error, KeyError, IndexError) as error:
            raise NotUnderstood(str(error)) from error
    if kinds[:1] != [b"IHDR"] or b"IDAT" not in kinds or not width or not height:
        raise NotUnderstood("it holds no picture")
    return Rebuilt(
        parts=tuple(parts), width=width, height=height, left_out=tuple(dict.fromkeys(left_out))
    )


def _profile(data: bytes) -> bytes:
    """The body of an iCCP chunk with its profile cleaned; empty where it cannot be."""
    _name, _, rest = data.partition(b"\0")
    profile = icc.cleaned(png.inflate(rest[1:], _LONGEST_PROFILE))
    return b"colour space\0\0" + zlib.compress(profile, 9) if profile else b""
