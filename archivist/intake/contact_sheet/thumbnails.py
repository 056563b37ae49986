"""Small pictures for looking through, made one after another and none of them kept."""

from __future__ import annotations

import base64
import io
import os
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from archivist.catalogue.archive import Archive
from archivist.errors import ArchivistError
from archivist.intake.contact_sheet.layout import Line

LONGEST_SIDE = 260
"""Pixels: enough to know a foot from a mouth, about 9 kB as a JPEG."""

LONGEST_SIDE_OF_SEVERAL = 560
"""Pixels of a photograph of several pieces, so that each is still seen."""

QUALITY = 74


def with_thumbnails(archive: Archive, lines: Iterable[Line]) -> Iterator[tuple[Line, str]]:
    """Each line with its small picture as a data URI, '' where there is none, in order.

    Some are made ahead on other cores; never more than a few are held.
    """
    workers = min(8, os.cpu_count() or 1)
    waiting: deque[tuple[Line, Future[str]]] = deque()
    with ThreadPoolExecutor(max_workers=workers) as pool:
        try:
            for line in lines:
                place = _place(archive, line)
                side = LONGEST_SIDE if len(line.pieces) < 2 else LONGEST_SIDE_OF_SEVERAL
                waiting.append((line, pool.submit(thumbnail, place, side) if place else _nothing()))
                if len(waiting) > 2 * workers:
                    first, work = waiting.popleft()
                    yield first, work.result()
            while waiting:
                first, work = waiting.popleft()
                yield first, work.result()
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def thumbnail(path: Path, longest_side: int = LONGEST_SIDE) -> str:
    """The picture at `path` made small, as a data URI (RFC 2397); '' where it cannot be shown. Of a
    raw file it is the preview within it."""
    from archivist.imaging.derivatives import fit, save_jpeg
    from archivist.imaging.pixels import open_upright
    from archivist.imaging.preview import open_preview

    try:
        image = open_upright(path, reduced_to=longest_side, allow_truncated=True)
    except (ArchivistError, OSError):
        found = open_preview(path, reduced_to=longest_side)
        if found is None:
            return ""
        image, _ = found
    content = io.BytesIO()
    save_jpeg(fit(image, longest_side), content, quality=QUALITY)
    return "data:image/jpeg;base64," + base64.b64encode(content.getvalue()).decode("ascii")


def _place(archive: Archive, line: Line) -> Path | None:
    """Where the file lies: where it was found, else among the originals."""
    if line.location and Path(line.location).is_file():
        return Path(line.location)
    try:
        original = archive.original_path(line.sha256)
    except ArchivistError:
        return None
    return original if original.is_file() else None


def _nothing() -> Future[str]:
    done: Future[str] = Future()
    done.set_result("")
    return done
