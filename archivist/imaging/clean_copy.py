"""The copy of a photograph that others than the owner may have.

A photograph carries more than it shows: where it was taken and with what, its maker's notes, a
preview that may show what was cropped away. The copy is built from a list of what may stay
(orientation, colour profile with its words replaced). JPEG and PNG are rebuilt without touching a
pixel; everything else, and every crop, is decoded and encoded again and said to be derived.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from archivist.content import ByteSource
from archivist.errors import SourceError
from archivist.imaging import decoder, derivatives, formats
from archivist.imaging.header import Header
from archivist.imaging.pixels import crop, header_of, open_upright
from archivist.imaging.preview import open_preview
from archivist.imaging.rebuild_jpeg import NotUnderstood, Rebuilt, rebuild_jpeg
from archivist.imaging.rebuild_png import rebuild_png
from archivist.model.base import Value
from archivist.model.photographs import Region

if TYPE_CHECKING:
    from PIL.Image import Image

DERIVED_QUALITY = 95
"""With full colour resolution: the copy is looked at for marks and glazes, and is made once."""

_LOSSY = frozenset({"JPEG", "WebP", "HEIC", "AVIF", "JPEG 2000"})


class NoPreviewError(SourceError):
    """A raw file that holds no preview, so that nothing of it can be shown."""


class CleanCopy(Value, frozen=True, kw_only=True):
    """A copy as it was written. `width` and `height` are as seen, after orientation.

    `lossless`: every pixel is the original's. `how` tells in a sentence how it was made, and
    holds nothing of what was left out but its kind.
    """

    sha256: str
    size: int
    media_type: str
    extension: str
    lossless: bool
    width: int
    height: int
    how: str


def format_of_copy(name: str) -> formats.Format:
    """The format a clean copy of a picture of the format called `name` has.

    What was stored with loss becomes a JPEG; scans and drawings become a PNG, which loses nothing
    more. Of a camera's raw file it is the preview, which is a JPEG.
    """
    return formats.JPEG if name in _LOSSY or name.startswith("RAW ") else formats.PNG


def clean_copy(
    source: ByteSource, target: Path, *, region: Region | None = None, check: bool = True
) -> CleanCopy:
    """Write the clean copy of the picture at `source`, or of a `region` of it, to `target`.

    `target` appears whole or not at all; the original is only read. Even where nothing need be
    decoded the picture is tried, so that no damaged one goes out; `check=False` saves that for
    callers that have just decoded it. (Kinds that no decoder here knows, as 12-bit JPEG, are
    rebuilt untried.)

    Of a camera's raw file that has no decoder here it is a copy of the largest preview within it.

    Raises:
        NoPreviewError: the original is a raw file without one.
        SourceError: the original cannot be read or decoded; nothing of it goes to others.
        OSError: the copy cannot be written.
    """
    if isinstance(source, Path) and target.exists() and target.samefile(source):
        raise SourceError(
            f"{source} is an original, and no copy may be written over it.",
            "Nothing was changed; choose another name for the copy.",
        )
    header = header_of(source)
    whole = region is None or _is_all_of(region)
    if whole:
        try:
            rebuilt = _rebuilt(source, header)
        except NotUnderstood:
            rebuilt = None
        if rebuilt:
            if check and rebuilt.common:
                _check(source, header)
            return _write_rebuilt(rebuilt, header, target)
    page = region.page if region else 0
    by_preview = formats.is_raw(header.format.media_type) and not decoder.can_decode(header.format)
    picture = _preview(source) if by_preview else open_upright(source, page=page)
    if region and not whole:
        picture = crop(picture, region)
    decoded = (
        f"taken from the preview that the camera put into its {header.format.name} file, "
        "its colours as they are there"
        if by_preview
        else f"decoded from {header.format.name}{_page_words(page, header)}, converted to 8 bits "
        "a channel in sRGB or grey"
    )
    return _write_derived(picture, header, target, is_crop=not whole, decoded=decoded)


def _preview(source: ByteSource) -> Image:
    found = open_preview(source)
    if found is None:
        raise NoPreviewError(
            f"{source} is a raw file without a preview that can be shown.",
            "Nothing of it was passed on; the original is kept as it is.",
        )
    picture, _ = found
    picture.info = {}  # a preview may say where it was taken, as the raw file does
    return picture


def _page_words(page: int, header: Header) -> str:
    return f", page {page + 1} of {header.pages}" if header.pages > 1 else ""


def _is_all_of(region: Region) -> bool:
    return (
        region.page == 0
        and region.width == region.reference_width
        and region.height == region.reference_height
    )


def _rebuilt(source: ByteSource, header: Header) -> Rebuilt | None:
    """The parts of a lossless copy, None where the format has none.

    Raises:
        NotUnderstood: this file cannot be rebuilt.
    """
    exif = header.exif
    try:
        if header.format is formats.JPEG:
            data = source.read_bytes()
            return rebuild_jpeg(data, orientation=exif.orientation, adobe_rgb=exif.adobe_rgb)
        if header.format is formats.PNG:
            return rebuild_png(source, orientation=exif.orientation)
    except OSError as error:
        raise SourceError(
            f"{source} could not be read ({error.strerror or error}).",
            "Nothing of it was passed on; make the file readable and try again.",
        ) from error
    return None


def _check(source: ByteSource, header: Header) -> None:
    """Decode a JPEG at an eighth of its size, anything else whole, to find out damage."""
    try:
        with decoder.open_picture(source, header.format) as image:
            image.draft(image.mode, (max(1, image.width // 8), max(1, image.height // 8)))
            if not decoder.decodes(image):
                raise decoder.Undecodable("its picture is damaged")
    except decoder.Undecodable as reason:
        raise SourceError(
            f"{source} is {header.format.called} that cannot be shown: {reason}.",
            "Nothing of it was passed on; the original is kept as it is.",
        ) from reason


def _write_rebuilt(rebuilt: Rebuilt, header: Header, target: Path) -> CleanCopy:
    def write(stream: BinaryIO) -> None:
        for part in rebuilt.parts:
            stream.write(part)

    sha256, size = _write_whole(target, write)
    turned = header.exif.orientation >= 5
    name = header.format.name
    unit = "segment" if header.format is formats.JPEG else "chunk"
    left_out = ", ".join(rebuilt.left_out) or "nothing"
    how = f"{name} rebuilt {unit} by {unit}, its picture data unchanged; left out: {left_out}."
    return CleanCopy(
        sha256=sha256,
        size=size,
        media_type=header.format.media_type,
        extension=header.format.extension,
        lossless=True,
        width=rebuilt.height if turned else rebuilt.width,
        height=rebuilt.width if turned else rebuilt.height,
        how=how,
    )


def _write_derived(
    picture: Image, header: Header, target: Path, *, is_crop: bool, decoded: str
) -> CleanCopy:
    into = format_of_copy(header.format.name)

    def write(stream: BinaryIO) -> None:
        if into is formats.JPEG:
            derivatives.save_jpeg(
                picture, stream, quality=DERIVED_QUALITY, subsampling=derivatives.FULL_COLOUR
            )
        else:
            derivatives.save_png(picture, stream)

    sha256, size = _write_whole(target, write)
    what = "Part of the picture" if is_crop else "Picture"
    encoded = f"JPEG of quality {DERIVED_QUALITY}, 4:4:4" if into is formats.JPEG else "PNG"
    return CleanCopy(
        sha256=sha256,
        size=size,
        media_type=into.media_type,
        extension=into.extension,
        lossless=False,
        width=picture.width,
        height=picture.height,
        how=(
            f"{what} {decoded}, turned upright and encoded as {encoded} without metadata; "
            "a derived copy."
        ),
    )


class _Digesting:
    """A stream to write to that digests what passes."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self.digest = hashlib.sha256()
        self.size = 0

    def write(self, data: bytes) -> int:
        self.digest.update(data)
        self.size += len(data)
        return self._stream.write(data)

    def flush(self) -> None:
        self._stream.flush()


def _write_whole(target: Path, write: Callable[[BinaryIO], None]) -> tuple[str, int]:
    """Write beside `target` and rename; SHA-256 and size of what was written."""
    part = target.with_name(target.name + ".part")
    try:
        with part.open("wb") as stream:
            digesting = _Digesting(stream)
            write(digesting)  # type: ignore[arg-type]  # Pillow and we ask for no more of it
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return digesting.digest.hexdigest(), digesting.size
