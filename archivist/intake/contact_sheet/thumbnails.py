"""Small pictures for looking through, made one after another; those of originals are kept among the
archive's derivatives, so that a sheet written again decodes nothing."""

from __future__ import annotations

import base64
import io
import os
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.errors import ArchivistError
from archivist.intake.contact_sheet.layout import Line

LONGEST_SIDE = 260
"""Pixels: enough to know a foot from a mouth, about 9 kB as a JPEG."""

LONGEST_SIDE_OF_SEVERAL = 560
"""Pixels of a photograph of several pieces, so that each is still seen."""

QUALITY = 74

FORM = 1
"""Raised when small pictures come out differently, so that old ones are made again."""


def with_thumbnails(archive: Archive, lines: Iterable[Line]) -> Iterator[tuple[Line, str]]:
    """Each line with its small picture as a data URI, '' where there is none, in order.

    Some are made ahead on other cores; never more than a few are held.
    """
    workers = min(8, os.cpu_count() or 1)
    waiting: deque[tuple[Line, Future[str]]] = deque()
    with ThreadPoolExecutor(max_workers=workers) as pool:
        try:
            for line in lines:
                place, kept = _place(archive, line)
                side = LONGEST_SIDE if len(line.pieces) < 2 else LONGEST_SIDE_OF_SEVERAL
                waiting.append((line, pool.submit(_small_picture, place, kept, side)))
                if len(waiting) > 2 * workers:
                    first, work = waiting.popleft()
                    yield first, work.result()
            while waiting:
                first, work = waiting.popleft()
                yield first, work.result()
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _place(archive: Archive, line: Line) -> tuple[Path | None, Path | None]:
    """Where the file lies: where it was found, else among the originals; of these the
    small pictures are kept, in the folder that comes second."""
    if line.location and Path(line.location).is_file():
        return Path(line.location), None
    try:
        original = archive.original_path(line.sha256)
    except ArchivistError:
        return None, None
    return original, archive.derivatives / f"looked-through-{FORM}" / line.sha256[:2]


def _small_picture(place: Path | None, folder: Path | None, side: int) -> str:
    """The small picture of a file as a data URI, '' where there is none: as it was kept in the
    folder, else made now."""
    if place is None:
        return ""
    if folder is None:
        return thumbnail(place, side)
    kept = folder / f"{place.stem}-{side}.jpg"
    with suppress(OSError):
        return _as_uri(kept.read_bytes())
    content = _made_small(place, side)
    if content:
        with suppress(OSError):  # a full disk, or one that may not be written to, costs only time
            folder.mkdir(parents=True, exist_ok=True)
            beside = kept.with_suffix(".new")
            beside.write_bytes(content)
            beside.replace(kept)
    return _as_uri(content)


def thumbnail(path: Path, longest_side: int = LONGEST_SIDE) -> str:
    """The picture at `path` made small, as a data URI (RFC 2397); '' where it cannot be shown. Of a
    raw file it is the preview within it."""
    return _as_uri(_made_small(path, longest_side))


def _made_small(path: Path, longest_side: int) -> bytes:
    """The picture made small, as a JPEG; nothing where it cannot be shown."""
    from archivist.imaging.derivatives import fit, save_jpeg
    from archivist.imaging.pixels import open_upright
    from archivist.imaging.preview import open_preview

    try:
        image = open_upright(path, reduced_to=longest_side, allow_truncated=True)
    except (ArchivistError, OSError):
        found = open_preview(path, reduced_to=longest_side)
        if found is None:
            return b""
        image, _ = found
    content = io.BytesIO()
    save_jpeg(fit(image, longest_side), content, quality=QUALITY)
    return content.getvalue()


def _as_uri(content: bytes) -> str:
    if not content:
        return ""
    return "data:image/jpeg;base64," + base64.b64encode(content).decode("ascii")
