"""Raw files made for the tests, byte by byte, in the shape that makers give theirs.

All are TIFF (TIFF 6.0): a DNG keeps its preview as JPEG strips in a SubIFD (DNG 1.4, chapter 4),
others name it by JPEGInterchangeFormat, or keep it where no directory says. The sensor's own data
is lossless JPEG (ITU-T T.81, process 14), whose header looks like that of a large picture.
"""

from __future__ import annotations

import io
import struct
from pathlib import Path

from PIL import Image

SENSOR = bytes.fromhex("ffd8ffc3001108 0f00 1400 03 012200 021100 031100".replace(" ", "")) + bytes(
    300
)
"""The head of a lossless JPEG of 5,120 by 3,840 pixels, and nothing that can be decoded."""

Tags = list[tuple[int, int, int, bytes]]
"""Tag, type, count, and the value's bytes."""


def short(tag: int, value: int) -> tuple[int, int, int, bytes]:
    return tag, 3, 1, struct.pack("<H", value)


def long(tag: int, value: int) -> tuple[int, int, int, bytes]:
    return tag, 4, 1, struct.pack("<I", value)


def words(tag: int, value: str) -> tuple[int, int, int, bytes]:
    data = value.encode() + b"\0"
    return tag, 2, len(data), data


def jpeg(picture: Image.Image) -> bytes:
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=90)
    return stream.getvalue()


def write_raw(
    path: Path, preview: Image.Image, *, kind: str, orientation: int = 1, taken: str = ""
) -> Path:
    """A raw file with `preview` in it, laid out as `kind` says.

    'dng': strips of a SubIFD; 'nef': JPEGInterchangeFormat in a SubIFD; 'cr2': strips of the first
    directory and the sensor's data in the last; 'hidden': nowhere named, behind the sensor's data.
    """
    small = jpeg(preview)
    body = bytearray(b"II*\0" + bytes(4))
    if kind == "cr2":
        body += b"CR\x02\0" + bytes(4)

    def put(data: bytes) -> int:
        body.extend(bytes(len(body) % 2))
        body.extend(data)
        return len(body) - len(data)

    def directory(tags: Tags, following: int = 0) -> int:
        rows = b""
        for tag, type_, count, value in sorted(tags):
            field = value.ljust(4, b"\0") if len(value) <= 4 else struct.pack("<I", put(value))
            rows += struct.pack("<HHI", tag, type_, count) + field
        return put(struct.pack("<H", len(tags)) + rows + struct.pack("<I", following))

    sensor_at = put(SENSOR)
    small_at = put(small)
    sensor: Tags = [
        long(0xFE, 0), long(0x100, 5120), long(0x101, 3840), short(0x103, 7), short(0x106, 32803),
        long(0x111, sensor_at), long(0x117, len(SENSOR)),
    ]  # fmt: skip
    main: Tags = [words(0x10F, "Oke"), words(0x110, "Oke 1"), short(0x112, orientation)]
    if taken:
        main.append(long(0x8769, directory([words(0x9003, taken)])))
    strips: Tags = [
        long(0xFE, 1), short(0x103, 7), short(0x106, 6), long(0x111, small_at),
        long(0x117, len(small)),
    ]  # fmt: skip
    if kind == "cr2":
        last = directory(sensor)
        first = directory([*main, *(t for t in strips if t[0] != 0xFE), long(0xFE, 1)], last)
    else:
        named: Tags = [long(0xFE, 1), long(0x201, small_at), long(0x202, len(small))]
        below = [directory(sensor)]
        below += {"dng": [directory(strips)], "nef": [directory(named)]}.get(kind, [])
        subs = (0x14A, 4, len(below), struct.pack(f"<{len(below)}I", *below))
        more = [(0xC612, 1, 4, b"\1\4\0\0")] if kind == "dng" else []
        first = directory([*main, long(0xFE, 1), subs, *more])
    body[4:8] = struct.pack("<I", first)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(body)
    return path
