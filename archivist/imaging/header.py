"""What stands around the pixels of each kind of file, and whether the file is all there.

Nothing is decoded, and of a sound file little more than its head is read. That a file is all there
is judged by its structure (the end marker of a JPEG, the last chunk of a PNG, the strips of a
TIFF); damage within the picture shows only when it is decoded.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import BinaryIO

import msgspec

from archivist.content import ByteSource
from archivist.imaging import formats, iptc, jpeg, png
from archivist.imaging.exif import Exif, read_exif
from archivist.imaging.formats import Format
from archivist.imaging.tiff import Tiff
from archivist.imaging.words import readable
from archivist.model.base import Value

HEAD = 1 << 18
MOST_METADATA = 1 << 26
CUT_SHORT = "it breaks off before its picture is complete"
_NO_EXIF = Exif()


class Header(Value, frozen=True, kw_only=True):
    """The blocks around the pixels; `flaw` says in words what is wrong with the structure.

    `comments` are (where, words); `pages` counts pages or frames; `remarks` are what the owner
    may want to know.
    """

    format: Format
    exif: Exif = _NO_EXIF
    xmp: bytes = b""
    iptc: bytes = b""
    comments: tuple[tuple[str, str], ...] = ()
    pages: int = 1
    flaw: str = ""
    remarks: tuple[str, ...] = ()


def read_header(path: ByteSource) -> Header | None:
    """The header of the file, None where it is no format known here.

    Raises:
        OSError: the file cannot be read.
    """
    with path.open("rb") as stream:
        size = stream.seek(0, io.SEEK_END)
        stream.seek(0)
        kind = formats.recognise(stream.read(1024), path.suffix)
        if kind is None:
            return None
        reader = _READERS.get(kind.name)
        header = reader(stream, size) if reader else _other(kind, stream)
        if header.exif.raw and kind is formats.TIFF:
            return Header(format=formats.raw_format(path.suffix), exif=header.exif, xmp=header.xmp)
        return header


def _other(kind: Format, stream: BinaryIO) -> Header:
    """A format whose structure is not known here; most raw files are TIFF as far as EXIF goes.

    Others hold EXIF within the preview at their head, or in parts that are TIFF each: CMT1 with
    what the camera is, CMT2 with when it was used. Common practice of makers, no source.
    """
    if not kind.name.startswith("RAW"):
        return Header(format=kind)
    try:
        return Header(format=kind, exif=read_exif(stream))
    except ValueError:
        stream.seek(0)
        data = stream.read(HEAD)
    exif = _labelled(data)
    if exif is _NO_EXIF and b"CMT1" in data:
        exif = exif_of(data[data.index(b"CMT1") + 4 :])
        used = exif_of(data[data.index(b"CMT2") + 4 :]) if b"CMT2" in data else _NO_EXIF
        exif = msgspec.structs.replace(exif, clocks=(*used.clocks, *exif.clocks))
    return Header(format=kind, exif=exif)


def _labelled(data: bytes) -> Exif:
    """EXIF found by its label, without knowing what stands around it."""
    for label in (b"Exif\0\0II*\0", b"Exif\0\0MM\0*"):
        start = data.find(label)
        if start >= 0:
            return exif_of(data[start : start + (1 << 20)])
    return _NO_EXIF


def exif_of(block: bytes) -> Exif:
    """EXIF from a block that may begin with its label; empty where it is none."""
    start = 6 if block.startswith(b"Exif\0") else 0
    try:
        return read_exif(io.BytesIO(block[start:]))
    except ValueError:
        return _NO_EXIF


def _jpeg(stream: BinaryIO, size: int) -> Header:
    stream.seek(0)
    data = stream.read(HEAD)
    row, flaw = _jpeg_row(data)
    if flaw and size > HEAD:
        data += stream.read(MOST_METADATA - HEAD)
        row, flaw = _jpeg_row(data)
    if not flaw:
        stream.seek(max(0, size - 2))
        if stream.read(2) != b"\xff\xd9":
            stream.seek(0)
            flaw = _jpeg_end(stream.read(), row[-1].start)
    exif, xmp, resources, comments, pictures = _NO_EXIF, b"", b"", [], 0
    for segment in row:
        payload = segment.payload
        if segment.marker == jpeg.APP1 and payload.startswith(b"Exif\0") and exif is _NO_EXIF:
            exif = exif_of(payload)
        elif segment.marker == jpeg.APP1 and payload.startswith(b"http://ns.adobe.com/xap/1.0/\0"):
            xmp = xmp or payload[29:]
        elif segment.marker == jpeg.APP13 and payload.startswith(b"Photoshop 3.0\0"):
            resources += payload[14:]  # long resources are cut over several segments
        elif segment.marker == jpeg.APP2 and payload.startswith(b"MPF\0"):
            pictures = 1
        elif segment.marker == jpeg.COM and readable(payload):
            comments.append(("JPEG comment", readable(payload)))
    remark = (
        "it holds further pictures behind the first (multi-picture format), which are not shown"
    )
    return Header(
        format=formats.JPEG,
        exif=exif,
        xmp=xmp,
        iptc=iptc.from_photoshop(resources),
        comments=tuple(comments),
        flaw=flaw,
        remarks=(remark,) if pictures else (),
    )


def _jpeg_row(data: bytes) -> tuple[list[jpeg.Segment], str]:
    row: list[jpeg.Segment] = []
    try:
        for segment in jpeg.segments(data, until_scan=True):
            row.append(segment)
    except jpeg.Broken as error:
        return row, str(error)
    return row, "" if row[-1].marker == jpeg.SOS else CUT_SHORT


def _jpeg_end(data: bytes, scan: int) -> str:
    """Whether the picture ends somewhere before the end of the file (what follows is no matter)."""
    end = data.find(b"\xff\xd9", scan)
    return "" if end >= 0 else CUT_SHORT


def _png(stream: BinaryIO, size: int) -> Header:
    exif, xmp, comments, frames, flaw = _NO_EXIF, b"", [], 0, ""
    try:
        for chunk in png.chunks(stream, size, passing_over=b"IDAT"):
            if chunk.kind == b"eXIf":
                exif = exif_of(chunk.data)
            elif chunk.kind == b"fcTL" or (chunk.kind == b"IDAT" and not frames):
                frames += 1  # a first picture that stands outside the animation counts as well
            elif chunk.kind in (b"tEXt", b"zTXt", b"iTXt"):
                keyword, words = png.text_of(chunk)
                if keyword == "XML:com.adobe.xmp":
                    xmp = words.encode()
                elif keyword in ("Title", "Description", "Comment") and words.strip():
                    comments.append((f"PNG {keyword}", words.strip("\0 \r\n")))
    except png.Broken as error:
        flaw = str(error)
    return Header(
        format=formats.PNG,
        exif=exif,
        xmp=xmp,
        comments=tuple(comments),
        pages=max(1, frames),
        flaw=flaw,
    )


def _tiff(stream: BinaryIO, size: int) -> Header:
    exif = read_exif(stream)
    tiff = Tiff(stream)
    pages = tiff.directories()
    flaw = "" if pages else CUT_SHORT
    if pages and not exif.raw:
        for offsets, counts in ((0x0111, 0x0117), (0x0144, 0x0145)):
            starts = tiff.numbers(pages[0].entries.get(offsets))
            sizes = tiff.numbers(pages[0].entries.get(counts))
            if any(start + length > size for start, length in zip(starts, sizes, strict=False)):
                flaw = CUT_SHORT
    block = exif.iptc or iptc.from_photoshop(exif.photoshop)
    return Header(
        format=formats.TIFF,
        exif=exif,
        xmp=exif.xmp,
        iptc=block,
        pages=max(1, len(pages)),
        flaw=flaw,
    )


def _webp(stream: BinaryIO, size: int) -> Header:
    stream.seek(4)
    end = 8 + int.from_bytes(stream.read(4), "little")
    flaw = "" if end >= 20 else CUT_SHORT
    if end > size:
        flaw = CUT_SHORT
    exif, xmp, frames, position = _NO_EXIF, b"", 0, 12
    while position + 8 <= min(end, size):
        stream.seek(position)
        kind, length = stream.read(4), int.from_bytes(stream.read(4), "little")
        if kind == b"EXIF":
            exif = exif_of(stream.read(length))
        elif kind == b"XMP ":
            xmp = stream.read(length)
        frames += kind == b"ANMF"
        position += 8 + length + length % 2
    return Header(format=formats.WEBP, exif=exif, xmp=xmp, pages=max(1, frames), flaw=flaw)


def _gif(stream: BinaryIO, size: int) -> Header:
    stream.seek(0)
    data = stream.read()
    comments, frames, flaw = [], 0, CUT_SHORT
    position = 13 + _colour_table(data[10:11])
    while position < size:
        block = data[position]
        if block == 0x3B:
            flaw = ""
            break
        if block == 0x2C:
            frames += 1
            position += 11 + _colour_table(data[position + 9 : position + 10])
            _, position = _sub_blocks(data, position)
        elif block == 0x21:
            words, after = _sub_blocks(data, position + 2)
            if data[position + 1 : position + 2] == b"\xfe" and readable(words):
                comments.append(("GIF comment", readable(words)))
            position = after
        else:
            break
    # Many sound GIFs lack the trailer alone; a frame cut short is found out when decoding.
    if flaw and frames and position == size:
        flaw = ""
    return Header(format=formats.GIF, comments=tuple(comments), pages=max(1, frames), flaw=flaw)


def _colour_table(flags: bytes) -> int:
    return 3 << ((flags[0] & 7) + 1) if flags and flags[0] & 0x80 else 0


def _sub_blocks(data: bytes, position: int) -> tuple[bytes, int]:
    """The joined data sub-blocks at `position`, and where they end (past the file: cut short)."""
    parts = []
    while position < len(data) and data[position]:
        parts.append(data[position + 1 : position + 1 + data[position]])
        position += 1 + data[position]
    return b"".join(parts), position + 1


def _bmp(stream: BinaryIO, size: int) -> Header:
    stream.seek(2)
    claimed = int.from_bytes(stream.read(4), "little")
    return Header(format=formats.BMP, flaw=CUT_SHORT if claimed > size else "")


def _heif(kind: Format) -> Callable[[BinaryIO, int], Header]:
    def read(stream: BinaryIO, size: int) -> Header:
        """Boxes must fit the file; EXIF is found by its label, without the item tables."""
        flaw, position, movie = "", 0, b""
        while position + 8 <= size and not flaw:
            stream.seek(position)
            length, box = int.from_bytes(stream.read(4), "big"), stream.read(4)
            if length == 1:
                length = int.from_bytes(stream.read(8), "big")
            length = length or size - position
            if length < 8 or position + length > size:
                flaw = CUT_SHORT
            movie = movie or (box if box in (b"meta", b"moov") else b"")
            position += length
        stream.seek(0)
        exif = _labelled(stream.read(MOST_METADATA))
        return Header(format=kind, exif=exif, flaw=flaw if movie or flaw else CUT_SHORT)

    return read


_READERS: dict[str, Callable[[BinaryIO, int], Header]] = {
    "JPEG": _jpeg,
    "PNG": _png,
    "TIFF": _tiff,
    "WebP": _webp,
    "GIF": _gif,
    "BMP": _bmp,
    "HEIC": _heif(formats.HEIC),
    "AVIF": _heif(formats.AVIF),
}
