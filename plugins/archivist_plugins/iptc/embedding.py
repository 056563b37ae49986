"""Puts a packet into a JPEG or PNG without touching its picture: bytes are inserted, none changed.

What the file holds of the same kind already is left out, so that no reader finds two of them.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise

from archivist.imaging import jpeg, png

_XMP = b"http://ns.adobe.com/xap/1.0/\0"
_XMP_MORE = b"http://ns.adobe.com/xmp/extension/\0"
_EXIF = b"Exif\0\0"
_PREVIEWS = b"MPF\0"
_KEYWORD = b"XML:com.adobe.xmp"


class NotWritable(Exception):  # noqa: N818 - a fact about the file
    """Why nothing can be put into a file; the text says it in plain words."""


@dataclass(frozen=True)
class Carrying:
    """A file that carries the packet; `replaced` names what it held of the same kind before."""

    content: bytes
    replaced: tuple[str, ...] = ()


def into_jpeg(data: bytes, packet: bytes, resources: bytes) -> Carrying:
    """`data` with the XMP packet and the IPTC resources, after its JFIF and EXIF segments.

    Raises:
        NotWritable: it is no whole JPEG, or holds several pictures whose places would shift.
    """
    try:
        row = list(jpeg.segments(data))
    except jpeg.Broken as reason:
        raise NotWritable(f"its JPEG cannot be followed: {reason}") from reason
    replaced: list[str] = []
    keeps: list[tuple[int, int]] = []
    at = 2
    leading = True
    for segment, following in pairwise(row[1:]):
        own = _own_kind(segment)
        if own:
            replaced.append(own)
        else:
            keeps.append((segment.start, following.start))
        leading = leading and (own != "" or _stands_first(segment))
        if leading and not own:
            at = following.start
    several = any(s.marker == jpeg.APP2 and s.payload.startswith(_PREVIEWS) for s in row)
    if replaced and several:
        raise NotWritable("it holds several pictures, and XMP or IPTC of its own")
    ours = jpeg.segment_bytes(jpeg.APP1, _XMP + packet)
    ours += jpeg.segment_bytes(jpeg.APP13, resources)
    before = b"".join(data[start:end] for start, end in keeps if end <= at)
    after = b"".join(data[start:end] for start, end in keeps if end > at)
    content = data[:2] + before + ours + after + data[row[-1].start :]
    return Carrying(content, tuple(dict.fromkeys(replaced)))


def _stands_first(segment: jpeg.Segment) -> bool:
    """JFIF and EXIF ask to be the first segments (ITU-T T.871; Exif 2.3, 4.7)."""
    exif = segment.marker == jpeg.APP1 and segment.payload.startswith(_EXIF)
    return segment.marker == jpeg.APP0 or exif


def _own_kind(segment: jpeg.Segment) -> str:
    """What a segment is called that ours takes the place of; '' for any other."""
    if segment.marker == jpeg.APP1 and segment.payload.startswith((_XMP, _XMP_MORE)):
        return "XMP"
    if segment.marker == jpeg.APP13:
        return "IPTC"
    return ""


def into_png(data: bytes, packet: bytes) -> Carrying:
    """`data` with the XMP packet as an iTXt chunk after its header (PNG 3rd edition, 11.3.3.4).

    Raises:
        NotWritable: it is no whole PNG.
    """
    parts: list[bytes] = [png.SIGNATURE]
    replaced: list[str] = []
    position = len(png.SIGNATURE)
    try:
        for chunk in png.chunks(BytesIO(data), len(data)):
            end = position + 12 + chunk.size
            if chunk.kind == b"iTXt" and chunk.data.startswith(_KEYWORD + b"\0"):
                replaced.append("XMP")
            else:
                parts.append(data[position:end])
            position = end
    except png.Broken as reason:
        raise NotWritable(f"its PNG cannot be followed: {reason}") from reason
    if parts[1:2] == [] or parts[1][4:8] != b"IHDR":
        raise NotWritable("its PNG does not begin with a header")
    text = _KEYWORD + struct.pack(">xBBxx", 0, 0) + packet
    parts.insert(2, png.chunk_bytes(b"iTXt", text))
    parts.append(data[position:])
    return Carrying(b"".join(parts), tuple(dict.fromkeys(replaced)))
