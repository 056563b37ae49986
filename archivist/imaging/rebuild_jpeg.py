"""A JPEG written anew from what its picture needs, not one pixel touched.

Kept is what is on the list here, and nothing else: tables, frame and scan byte for byte; the JFIF
and Adobe segments, from which decoders tell the colour model, written afresh; the orientation; the
colour profile with its words replaced. Where anything in the file is not wholly understood there
is no such copy, and the caller decodes and encodes instead.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable

from archivist.imaging import icc, jpeg
from archivist.imaging.jpeg import Segment
from archivist.model.base import Value

_DECODABLE_FRAMES = frozenset({0xC0, 0xC1, 0xC2, 0xC3, 0xC9, 0xCA, 0xCB})
"""Sequential, progressive and lossless, by Huffman or arithmetic coding; not hierarchical."""

_COMMON_FRAMES = frozenset({0xC0, 0xC1, 0xC2})

_DROPPED = {
    jpeg.APP0: "JFIF preview", jpeg.APP1: "EXIF or XMP", jpeg.APP13: "IPTC", jpeg.COM: "comment"
}  # fmt: skip


class NotUnderstood(Exception):  # noqa: N818 - a fact about the file
    """Why a file cannot be rebuilt without decoding it."""


class Rebuilt(Value, frozen=True, kw_only=True):
    """The parts of the copy in order; size in pixels as stored; what was left out, in words.

    `common`: of a kind that every decoder knows, so that one that fails shows damage.
    """

    parts: tuple[bytes, ...]
    width: int
    height: int
    left_out: tuple[str, ...] = ()
    common: bool = True


def orientation_block(orientation: int) -> bytes:
    """A TIFF structure that says the Orientation and nothing else (Exif 2.3, 4.6.4 A)."""
    return b"MM\0*" + struct.pack(">IHHHIHHI", 8, 1, 0x0112, 3, 1, orientation, 0, 0)


def rebuild_jpeg(data: bytes, *, orientation: int, adobe_rgb: bool) -> Rebuilt:
    """The copy of the JPEG `data`.

    `adobe_rgb`: its EXIF says so in place of a profile; the copy then has the profile, since what
    said it is gone.

    Raises:
        NotUnderstood: the file is cut short, or holds what this list does not know.
    """
    try:
        row = list(jpeg.segments(data))
    except jpeg.Broken as error:
        raise NotUnderstood(str(error)) from error
    width, height = jpeg.frame_size(row)
    if not width or not height or not any(segment.marker == jpeg.SOS for segment in row):
        raise NotUnderstood("it holds no picture")
    frames = [segment for segment in row if segment.marker in jpeg.FRAMES]
    if len(frames) != 1:
        raise NotUnderstood("it holds several frames")

    parts = [b"\xff\xd8"]
    parts += [_jfif(s.payload) for s in row if _is_jfif(s)][:1]
    turning = b"Exif\0\0" + orientation_block(orientation)
    if orientation != 1:
        parts.append(jpeg.segment_bytes(jpeg.APP1, turning))
    found = jpeg.icc_profile(row)
    profile = icc.cleaned(found) or (icc.adobe_rgb() if adobe_rgb and not found else b"")
    parts.append(jpeg.icc_segments(profile))
    parts += [_adobe(s.payload) for s in row if _is_adobe(s)][-1:]
    for segment in row:
        if segment.marker in _SOUND:
            if not _SOUND[segment.marker](segment.payload):
                raise NotUnderstood(f"its segment 0xFF{segment.marker:02X} is malformed")
            parts.append(jpeg.segment_bytes(segment.marker, segment.payload))
            parts.append(segment.scan)
        elif not _may_be_dropped(segment.marker):
            raise NotUnderstood(f"it holds a segment 0xFF{segment.marker:02X}")
    parts.append(b"\xff\xd9")
    others = [segment for segment in row if segment.payload != turning]
    left_out = _left_out(others, len(data) - row[-1].start - 2)
    if found and not profile:
        left_out.append("a damaged colour profile")
    return Rebuilt(
        parts=tuple(parts),
        width=width,
        height=height,
        left_out=tuple(left_out),
        common=frames[0].marker in _COMMON_FRAMES and frames[0].payload[0] == 8,
    )


def _may_be_dropped(marker: int) -> bool:
    return marker in (jpeg.SOI, jpeg.EOI, jpeg.COM) or jpeg.APP0 <= marker <= 0xEF


def _is_jfif(segment: Segment) -> bool:
    return (
        segment.marker == jpeg.APP0
        and segment.payload.startswith(b"JFIF\0")
        and len(segment.payload) >= 14
    )


def _jfif(payload: bytes) -> bytes:
    """JFIF (ITU-T T.871) with version, density and no preview."""
    units, across, down = struct.unpack(">BHH", payload[7:12])
    if units > 2 or not across or not down:
        units, across, down = 0, 1, 1
    return jpeg.segment_bytes(jpeg.APP0, struct.pack(">5sBBBHHBB", b"JFIF\0", 1, 2, units, across, down, 0, 0))  # noqa: E501  # fmt: skip


def _is_adobe(segment: Segment) -> bool:
    return (
        segment.marker == jpeg.APP14
        and segment.payload.startswith(b"Adobe")
        and len(segment.payload) >= 12
    )


def _adobe(payload: bytes) -> bytes:
    """The Adobe segment (ITU-T T.872, 6.5.3): of its fields only the colour transform matters."""
    transform = min(payload[11], 2)
    return jpeg.segment_bytes(jpeg.APP14, struct.pack(">5sHHHB", b"Adobe", 100, 0, 0, transform))


def _left_out(row: Iterable[Segment], trailing: int) -> list[str]:
    names = []
    for segment in row:
        if (
            _is_jfif(segment)
            or _is_adobe(segment)
            or not (segment.marker == jpeg.COM or jpeg.APP0 <= segment.marker <= 0xEF)
        ):
            continue
        if segment.marker == jpeg.APP2 and segment.payload.startswith(jpeg.ICC_LABEL):
            continue
        names.append(_DROPPED.get(segment.marker, "application data"))
    if trailing > 0:
        names.append("data after the picture's end")
    return list(dict.fromkeys(names))


def _quantization(payload: bytes) -> bool:
    position = 0
    while position < len(payload):
        if payload[position] >> 4 > 1:
            return False
        position += 1 + 64 * (1 + (payload[position] >> 4))
    return position == len(payload) > 0


def _huffman(payload: bytes) -> bool:
    position = 0
    while position < len(payload):
        if position + 17 > len(payload) or payload[position] & 0xEF > 0x0F:
            return False
        position += 17 + sum(payload[position + 1 : position + 17])
    return position == len(payload) > 0


def _frame(payload: bytes) -> bool:
    return len(payload) >= 6 and len(payload) == 6 + 3 * payload[5]


def _scan(payload: bytes) -> bool:
    return len(payload) >= 1 and len(payload) == 4 + 2 * payload[0]


_SOUND = {
    jpeg.DQT: _quantization,
    jpeg.DHT: _huffman,
    jpeg.DAC: lambda payload: len(payload) % 2 == 0,
    jpeg.DRI: lambda payload: len(payload) == 2,
    jpeg.SOS: _scan,
    **dict.fromkeys(_DECODABLE_FRAMES, _frame),
}
"""The segments a picture needs, each with the test that it holds its numbers and nothing more."""
