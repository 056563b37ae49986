"""Files read for all that is wanted of them: digests, what they say, what they look like."""

from __future__ import annotations

import os
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from archivist.errors import SourceError
from archivist.hooks import FoundFile
from archivist.imaging.probe import Probe, probe
from archivist.intake.files import KnownFiles, SurveyedFile, changed_at, location_of
from archivist.intake.pictures.look import Look, look_at
from archivist.intake.pictures.looks import Looks
from archivist.intake.pictures.raw import look_at_preview
from archivist.intake.proposal import FileFacts

AHEAD = 8
"""Files for each worker that are begun before the first of them is taken: the rest waits, so that
a tree of any size takes the same memory."""


@dataclass(frozen=True)
class _Read:
    """What a worker brings back."""

    facts: FileFacts
    described: Probe | None
    look: Look | None


class _Looked:
    """The pictures that were looked at or are being looked at; asked by several workers at once."""

    def __init__(self, digests: set[str]) -> None:
        self._digests = digests
        self._lock = threading.Lock()

    def is_first(self, sha256: str) -> bool:
        """Whether nobody has looked at a picture; from now on somebody does."""
        with self._lock:
            first = sha256 not in self._digests
            self._digests.add(sha256)
            return first


def examined(
    found: Sequence[FoundFile],
    folder: Path,
    source: str,
    known: KnownFiles,
    looks: Looks,
    progress: Callable[[int], None],
    trouble: Callable[[str, str, str], None],
) -> Iterator[SurveyedFile]:
    """The files in order, each read once by one of several workers; what was read before and is
    unchanged is not read again. One that cannot be read is told to `trouble` and left out."""
    looked = _Looked(looks.looked())
    workers = os.cpu_count() or 1
    waiting: deque[tuple[FoundFile, Future[_Read]]] = deque()
    with ThreadPoolExecutor(max_workers=workers) as pool:
        try:
            rest = iter(found)
            while True:
                while len(waiting) < workers * AHEAD and (item := next(rest, None)) is not None:
                    before = _known_before(item, folder, source, looks)
                    work = pool.submit(_read, item, folder, known, before, looked)
                    waiting.append((item, work))
                if not waiting:
                    return
                item, work = waiting.popleft()
                try:
                    read = work.result()
                except SourceError as problem:
                    trouble(item.path, problem.message, problem.remedy)
                    continue
                _keep(item, source, read, looks)
                progress(read.facts.size)
                path = location_of(folder, item.path, item.path_bytes)
                yield SurveyedFile(item, read.facts, path, described=read.described)
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            for item, work in waiting:
                if work.done() and not work.cancelled() and work.exception() is None:
                    _keep(item, source, work.result(), looks)
            raise
        finally:
            looks.write()


def _name(item: FoundFile) -> str:
    return f"{item.path}\n{item.path_bytes}" if item.path_bytes else item.path


def _known_before(
    item: FoundFile, folder: Path, source: str, looks: Looks
) -> tuple[FileFacts, Probe | None] | None:
    path = location_of(folder, item.path, item.path_bytes)
    try:
        return looks.file(source, _name(item), path.stat().st_size, changed_at(path))
    except OSError:
        return None


def _keep(item: FoundFile, source: str, read: _Read, looks: Looks) -> None:
    """Remembers what was read, in the one thread that writes."""
    looks.keep_file(source, _name(item), read.facts, read.described)
    if read.look is not None:
        looks.keep_look(read.facts.sha256, read.look)


def _read(
    item: FoundFile,
    folder: Path,
    known: KnownFiles,
    before: tuple[FileFacts, Probe | None] | None,
    looked: _Looked,
) -> _Read:
    """Runs in a worker: digests and decoding leave the interpreter free for the others.

    Raises:
        SourceError: the file cannot be read.
    """
    path = location_of(folder, item.path, item.path_bytes)
    facts, described = before if before is not None else (known.facts(folder, item), None)
    if described is None:
        described = probe(path)
    look = None
    if described.media_type.startswith("image/") and looked.is_first(facts.sha256):
        look = _look(path, described)
    return _Read(facts, described, look)


def _look(path: Path, described: Probe) -> Look | None:
    """What a picture looks like; a raw file without a decoder by the preview within it."""
    try:
        if described.undecodable:
            return look_at_preview(path) if described.format.startswith("RAW") else None
        return look_at(path, described.width, described.height)
    except SourceError:
        return None
