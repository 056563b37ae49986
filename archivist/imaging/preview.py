"""The JPEG preview that cameras put into their raw files, where no decoder reads the sensor's data.

Most raw files are TIFF: there the previews stand in directories of their own, which are asked
first (TIFF 6.0, section 22; TIFF/EP, ISO 12234-2; DNG 1.4, chapter 4). Others keep them as whole
JPEG files somewhere within; what begins as one and decodes is one.
"""

from __future__ import annotations

import io
import mmap
from collections.abc import Iterator
from typing import TYPE_CHECKING, BinaryIO

from archivist.content import ByteSource
from archivist.imaging.exif import NEW_SUBFILE_TYPE, ORIENTATION, SUB_DIRECTORIES
from archivist.imaging.header import read_header
from archivist.imaging.tiff import Directory, Tiff

if TYPE_CHECKING:
    from PIL.Image import Image

FEWEST = 200
"""Pixels of the longest side from which a preview is worth looking at."""

MOST_SEARCHED = 1 << 26
"""Bytes of a file that are searched for previews which no directory names."""

_MOST_TRIED = 64
_START = b"\xff\xd8\xff"
_COMPRESSION, _STRIP_OFFSETS, _STRIP_SIZES = 0x0103, 0x0111, 0x0117
_JPEG_OFFSET, _JPEG_SIZE = 0x0201, 0x0202
_JPEG_IN_STRIPS = (6, 7)
"""Compression: the JPEG of TIFF 6.0 and that of its Technical Note 2."""

_UPRIGHT = {2: 0, 3: 3, 4: 1, 5: 5, 6: 4, 7: 6, 8: 2}
"""What Pillow calls the transposition that puts each EXIF orientation upright: FLIP_LEFT_RIGHT,
ROTATE_180, FLIP_TOP_BOTTOM, TRANSPOSE, ROTATE_270, TRANSVERSE, ROTATE_90."""


def open_preview(path: ByteSource, *, reduced_to: int = 0) -> tuple[Image, tuple[int, int]] | None:
    """The largest preview within the file, upright and in mode 'RGB', and its full size upright.

    With `reduced_to` it is decoded no larger than needed for that longest side. It is turned as
    its own EXIF says, else as the raw file says. None where there is none that can be decoded.
    """
    try:
        header = read_header(path)
        with path.open("rb") as stream:
            found = _largest(stream, _declared(stream), reduced_to)
            if found is None:
                found = _largest(stream, _searched(stream), reduced_to)
    except (OSError, ValueError):
        return None
    if found is None:
        return None
    image, (width, height), own = found
    turn = own if own > 1 or header is None else header.exif.orientation
    if turn in _UPRIGHT:
        from PIL.Image import Transpose

        image = image.transpose(Transpose(_UPRIGHT[turn]))
    return image, (height, width) if turn >= 5 else (width, height)


Place = tuple[int, int]
"""Where a preview begins, and how many bytes it has at most."""


def _declared(stream: BinaryIO) -> list[Place]:
    """The previews that TIFF directories name; none where it is no TIFF."""
    try:
        tiff = Tiff(stream)
    except ValueError:
        return []
    row = tiff.directories()
    below = [
        tiff.directory(offset)
        for directory in row
        for offset in tiff.numbers(directory.entries.get(SUB_DIRECTORIES))[:_MOST_TRIED]
    ]
    return [p for d in (*row, *below) for p in _of_directory(tiff, d)]


def _of_directory(tiff: Tiff, directory: Directory) -> Iterator[Place]:
    """The JPEG that one directory names; the sensor's own picture is none."""
    start, size = tiff.number(directory, _JPEG_OFFSET), tiff.number(directory, _JPEG_SIZE)
    if start and size:
        yield start, size
    reduced = tiff.number(directory, NEW_SUBFILE_TYPE) & 1
    if reduced and tiff.number(directory, _COMPRESSION) in _JPEG_IN_STRIPS:
        starts = tiff.numbers(directory.entries.get(_STRIP_OFFSETS))
        sizes = tiff.numbers(directory.entries.get(_STRIP_SIZES))
        if len(starts) == len(sizes) == 1:
            yield starts[0], sizes[0]


def _searched(stream: BinaryIO) -> list[Place]:
    """Every place where a JPEG seems to begin."""
    if isinstance(stream, io.BytesIO):
        return _starts(stream.getvalue())
    with mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as data:
        return _starts(data)


def _starts(data: bytes | mmap.mmap) -> list[Place]:
    found: list[Place] = []
    end = min(len(data), MOST_SEARCHED)
    start = data.find(_START, 0, end)
    while start >= 0 and len(found) < _MOST_TRIED:
        found.append((start, len(data) - start))
        start = data.find(_START, start + 3, end)
    return found


def _largest(
    stream: BinaryIO, places: list[Place], reduced_to: int
) -> tuple[Image, tuple[int, int], int] | None:
    """The largest of the JPEGs that decodes, its full size, and its own orientation.

    A sensor's data may be JPEG too (lossless, ITU-T T.81 process 14), which has a header that
    holds and is no preview: decoding tells.
    """
    sized: list[tuple[int, Place]] = []
    for place in places:
        image = _opened(stream, place)
        if image is not None and max(image.size) >= FEWEST:
            sized.append((image.width * image.height, place))
    for _, place in sorted(sized, reverse=True):
        image = _opened(stream, place)
        if image is None:
            continue
        size = image.size
        try:
            own = image.getexif().get(ORIENTATION, 1)
            if reduced_to:
                image.draft("RGB", (reduced_to, reduced_to))
            small = image.convert("RGB")
        except Exception:  # noqa: BLE001 - whatever a decoder raises: it is no preview
            continue
        if reduced_to:
            small.thumbnail((reduced_to, reduced_to))
        return small, size, own if isinstance(own, int) and 1 <= own <= 8 else 1
    return None


def _opened(stream: BinaryIO, place: Place) -> Image | None:
    """The JPEG at a place, its header read; None where there is none."""
    from PIL import Image
    from PIL.ContainerIO import ContainerIO

    try:
        return Image.open(ContainerIO(stream, *place), formats=["JPEG"])
    except Exception:  # noqa: BLE001 - whatever a decoder raises: no JPEG begins there
        return None
