"""Which format of the PRONOM registry a file is of, by its first bytes; no guess by its name.

Identifiers and names are those of PRONOM (UK National Archives), each compared with a published
list in a test. What bytes tell them apart: JFIF 1.02, section 'JFIF APP0' (its version); Exif 2.32,
4.6.5 (ExifVersion); the lowest version of PNG that has every chunk of the file (PNG 1.2, 'Revision
history', from memory); GIF89a, 17; WebP container specification; for TIFF and HEIC that they are.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from io import BytesIO

from archivist.content import ByteSource
from archivist.imaging import jpeg, png

REGISTRY = "PRONOM"

NAMES: dict[str, str] = {
    "fmt/3": "Graphics Interchange Format 87a",
    "fmt/4": "Graphics Interchange Format 89a",
    "fmt/11": "Portable Network Graphics 1.0",
    "fmt/12": "Portable Network Graphics 1.1",
    "fmt/13": "Portable Network Graphics 1.2",
    "fmt/41": "Raw JPEG Stream",
    "fmt/42": "JPEG File Interchange Format 1.00",
    "fmt/43": "JPEG File Interchange Format 1.01",
    "fmt/44": "JPEG File Interchange Format 1.02",
    "fmt/353": "Tagged Image File Format",
    "fmt/566": "WebP Lossy",
    "fmt/567": "WebP Lossless",
    "fmt/568": "WebP Extended",
    "fmt/645": "Exchangeable Image File Format (Compressed) 2.21",
    "fmt/1101": "High Efficiency Image File Format",
    "fmt/1507": "Exchangeable Image File Format (Compressed) 2.3.x",
    "x-fmt/390": "Exchangeable Image File Format (Compressed) 2.1",
    "x-fmt/391": "Exchangeable Image File Format (Compressed) 2.2",
    "x-fmt/398": "Exchangeable Image File Format (Compressed) 2.0",
}

_JFIF = {b"\1\0": "fmt/42", b"\1\1": "fmt/43", b"\1\2": "fmt/44"}
_EXIF = {
    b"0200": "x-fmt/398",
    b"0210": "x-fmt/390",
    b"0220": "x-fmt/391",
    b"0221": "fmt/645",
    b"0230": "fmt/1507",
    b"0231": "fmt/1507",
    b"0232": "fmt/1507",
}
_EXIF_VERSION = (
    re.compile(rb"\x90\x00\x00\x07\x00\x00\x00\x04(\d{4})"),
    re.compile(rb"\x00\x90\x07\x00\x04\x00\x00\x00(\d{4})"),
)
"""The entry of the tag ExifVersion in either order of bytes."""

_PNG_1_1 = frozenset({b"iCCP", b"sPLT", b"sRGB"})
_PNG_1_2 = frozenset({b"iTXt"})
_WEBP = {b"VP8 ": "fmt/566", b"VP8L": "fmt/567", b"VP8X": "fmt/568"}
_HEIC = frozenset({b"heic", b"heix", b"hevc", b"hevx", b"mif1"})
_TIFF = (b"II*\0", b"MM\0*")
_DNG_VERSION = (b"\x12\xc6\x01\x00", b"\xc6\x12\x00\x01")
"""The tag DNGVersion, of bytes, in either order: a raw format that begins as a TIFF does."""

_UNKNOWN = "unknown"

HEAD = 1 << 18
"""Bytes that are looked at; what tells formats apart stands before a picture."""


def registered(source: ByteSource) -> str:
    """The identifier of the format of a file, '' where the bytes do not tell one."""
    with source.open("rb") as stream:
        head = stream.read(HEAD)
    return next((found for told in _TOLD_BY if (found := told(head))), "")


def _jpeg(head: bytes) -> str:
    if not head.startswith(b"\xff\xd8\xff"):
        return ""
    jfif = exif = ""
    for segment in _segments(head):
        if segment.marker == jpeg.APP0 and segment.payload.startswith(b"JFIF\0"):
            jfif = _JFIF.get(segment.payload[5:7], _UNKNOWN)
        if segment.marker == jpeg.APP1 and segment.payload.startswith(b"Exif\0\0"):
            exif = _exif_version(segment.payload)
    known = exif or jfif or "fmt/41"
    return known if known in NAMES else ""


def _segments(head: bytes) -> Iterator[jpeg.Segment]:
    try:
        yield from jpeg.segments(head, until_scan=True)
    except jpeg.Broken:
        return


def _exif_version(payload: bytes) -> str:
    """That of the version it names; '' where it names none, as do blocks that hold no more than
    the orientation."""
    found = next((m for pattern in _EXIF_VERSION if (m := pattern.search(payload))), None)
    return _EXIF.get(found[1], _UNKNOWN) if found else ""


def _png(head: bytes) -> str:
    if not head.startswith(png.SIGNATURE):
        return ""
    kinds: set[bytes] = set()
    try:
        for chunk in png.chunks(BytesIO(head), 1 << 62, passing_over=b"IDAT"):
            kinds.add(chunk.kind)
            if chunk.kind == b"IDAT":
                break
    except png.Broken:
        return ""
    if kinds & _PNG_1_2:
        return "fmt/13"
    return "fmt/12" if kinds & _PNG_1_1 else "fmt/11"


def _gif(head: bytes) -> str:
    return {b"GIF87a": "fmt/3", b"GIF89a": "fmt/4"}.get(head[:6], "")


def _webp(head: bytes) -> str:
    return _WEBP.get(head[12:16], "") if head[:4] == b"RIFF" and head[8:12] == b"WEBP" else ""


def _heic(head: bytes) -> str:
    return "fmt/1101" if head[4:8] == b"ftyp" and head[8:12] in _HEIC else ""


def _tiff(head: bytes) -> str:
    """A plain TIFF; raw formats that begin as one name themselves there, or by a tag."""
    raw = head[8:10] == b"CR" or any(tag in head for tag in _DNG_VERSION)
    return "fmt/353" if head[:4] in _TIFF and not raw else ""


_TOLD_BY: tuple[Callable[[bytes], str], ...] = (_jpeg, _png, _gif, _webp, _heic, _tiff)
