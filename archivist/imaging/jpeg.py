"""JPEG as a row of segments (ISO/IEC 10918-1, annex B), without decoding any of it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from archivist.model.base import Value

SOI, EOI, SOS, DNL = 0xD8, 0xD9, 0xDA, 0xDC
APP0, APP1, APP2, APP13, APP14, COM = 0xE0, 0xE1, 0xE2, 0xED, 0xEE, 0xFE
DQT, DHT, DAC, DRI = 0xDB, 0xC4, 0xCC, 0xDD
FRAMES = frozenset(range(0xC0, 0xD0)) - {DHT, 0xC8, DAC}
"""Start-of-frame markers; 0xC8 is reserved."""

_ALONE = frozenset({0x01, *range(0xD0, 0xD9)})
_END_OF_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]", re.DOTALL)
"""Within a scan 0xFF stands before 0x00 (stuffing) and RST0 to RST7; anything else ends it."""


class Segment(Value, frozen=True, kw_only=True):
    """A marker with what follows it; `start` is the offset of its 0xFF.

    `payload` is without marker and length; `scan` is the entropy-coded data after an SOS.
    """

    marker: int
    start: int
    payload: bytes = b""
    scan: bytes = b""


class Broken(ValueError):  # noqa: N818 - read as what it tells
    """The row of segments ends or breaks off before the picture does; the text says how."""


def segments(data: bytes, *, until_scan: bool = False) -> Iterator[Segment]:
    """The segments of the first picture in `data`, from SOI to EOI, both included.

    With `until_scan` it ends with the first SOS, whose scan is left out. Bytes that stand between
    two segments, as decoders do, are passed over.

    Raises:
        Broken: no SOI at the start, a segment longer than the file, no EOI.
    """
    if data[:2] != b"\xff\xd8":
        raise Broken("it does not begin as a JPEG")
    yield Segment(marker=SOI, start=0)
    position = 2
    while True:
        position = data.find(b"\xff", position)
        while position >= 0 and data[position + 1 : position + 2] == b"\xff":
            position += 1
        if position < 0 or position + 1 >= len(data):
            raise Broken("it breaks off before its picture is complete")
        marker = data[position + 1]
        start, position = position, position + 2
        if marker == 0x00 or marker in _ALONE - {SOI}:
            continue
        if marker == SOI:
            raise Broken("a second picture begins before the first has ended")
        if marker == EOI:
            yield Segment(marker=EOI, start=start)
            return
        length = int.from_bytes(data[position : position + 2], "big")
        end = position + length
        if length < 2 or end > len(data):
            raise Broken("it breaks off before its picture is complete")
        payload = bytes(data[position + 2 : end])
        position = end
        if marker != SOS:
            yield Segment(marker=marker, start=start, payload=payload)
            continue
        if until_scan:
            yield Segment(marker=SOS, start=start, payload=payload)
            return
        found = _END_OF_SCAN.search(data, position)
        if not found:
            raise Broken("it breaks off before its picture is complete")
        yield Segment(
            marker=SOS, start=start, payload=payload, scan=bytes(data[position : found.start()])
        )
        position = found.start()


def segment_bytes(marker: int, payload: bytes) -> bytes:
    """A segment as it is written.

    Raises:
        ValueError: the payload is longer than the 65,533 bytes a segment can hold.
    """
    if len(payload) > 65_533:
        raise ValueError("a JPEG segment holds at most 65,533 bytes")
    return bytes((0xFF, marker)) + (len(payload) + 2).to_bytes(2, "big") + payload


ICC_LABEL = b"ICC_PROFILE\0"


def icc_profile(row: list[Segment]) -> bytes:
    """The ICC profile joined from its APP2 segments (ICC.1:2022, B.4); empty where not whole."""
    parts: dict[int, bytes] = {}
    count = 0
    for segment in row:
        if segment.marker == APP2 and segment.payload.startswith(ICC_LABEL):
            number, count = (segment.payload[12:14] + b"\0\0")[:2]
            parts.setdefault(number, segment.payload[14:])
    if not count or sorted(parts) != list(range(1, count + 1)):
        return b""
    return b"".join(parts[number] for number in sorted(parts))


def icc_segments(profile: bytes) -> bytes:
    """The APP2 segments that hold `profile`."""
    size = 65_519
    parts = [profile[i : i + size] for i in range(0, len(profile), size)]
    return b"".join(
        segment_bytes(APP2, ICC_LABEL + bytes((number, len(parts))) + part)
        for number, part in enumerate(parts, start=1)
    )


def frame_size(row: list[Segment]) -> tuple[int, int]:
    """Width and height from the frame header, (0, 0) where there is none or it is cut short."""
    for segment in row:
        if segment.marker in FRAMES and len(segment.payload) >= 6:
            height = int.from_bytes(segment.payload[1:3], "big")
            return int.from_bytes(segment.payload[3:5], "big"), height
    return 0, 0
