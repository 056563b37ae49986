"""The files of a source, known by their bytes; what did not change is not read again."""

from __future__ import annotations

import base64
import datetime
import hashlib
import os
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.holdings import (
    Occurrence,
    Original,
    damaged_originals,
    occurrences,
    original,
)
from archivist.catalogue.originals import legal_extension
from archivist.catalogue.sources import sources
from archivist.digests import CHUNK
from archivist.errors import SourceError
from archivist.hooks import FoundFile
from archivist.imaging.probe import Probe
from archivist.intake.proposal import FileFacts


@dataclass(frozen=True)
class SurveyedFile:
    """A file, the digest of its bytes, the words that came with it, beside it and in it, and what
    it says of itself; the keywords in it apart, as many of these need not be of the picture."""

    found: FoundFile
    facts: FileFacts
    path: Path
    captions: tuple[str, ...] = ()
    described: Probe | None = None
    keywords: tuple[str, ...] = ()


def location_of(source: Path, path: str, path_bytes: str = "") -> Path:
    """Where a file of a source lies; `path_bytes` is base64 of its true name if not Unicode."""
    if source.is_file():
        return source
    name = os.fsdecode(base64.b64decode(path_bytes)) if path_bytes else path
    return source / name


def inside(source: Path, path: str, path_bytes: str = "") -> Path:
    """Where a file of a source lies, if it lies in it.

    Raises:
        SourceError: where the path leads out of the source, as in a proposal that was altered.
    """
    place = location_of(source, path, path_bytes)
    if not place.resolve().is_relative_to(source.resolve()):
        raise SourceError(
            f"{path} does not lie in {source}; it was not taken in.",
            "Do not trust a proposal that somebody else gave you; survey the source yourself.",
        )
    return place


def changed_at(path: Path) -> str:
    """When a file was last changed, RFC 3339 in UTC to the nanosecond."""
    nanoseconds = path.stat().st_mtime_ns
    seconds, rest = divmod(nanoseconds, 10**9)
    moment = datetime.datetime.fromtimestamp(seconds, datetime.UTC)
    return f"{moment.strftime('%Y-%m-%dT%H:%M:%S')}.{rest:09d}Z"


def sha256_of(path: Path) -> str:
    """The digest a file is known by; the other one is taken when it is copied in, in one reading
    with this one."""
    digest = hashlib.sha256()
    with path.open("rb") as source:
        while data := source.read(CHUNK):
            digest.update(data)
    return digest.hexdigest()


class KnownFiles:
    """The files of one source that the archive has, so that they need not be read again.

    A folder within one that was surveyed, or around it, has the same files under other paths;
    these count as the same places.
    """

    def __init__(self, catalogue: Catalogue, source: str, location: Path) -> None:
        self._places: dict[tuple[str, str], list[Occurrence]] = {}
        self._originals: dict[str, Original] = {}
        self._damaged = damaged_originals(catalogue)
        here = location.resolve()
        for known in sources(catalogue):
            there = Path(known.location)
            if known.id == source or here == there:
                cut, add = "", ""
            elif here.is_relative_to(there) and here.is_dir():
                cut, add = f"{here.relative_to(there).as_posix()}/", ""
            elif there.is_relative_to(here) and there.is_dir():
                cut, add = "", f"{there.relative_to(here).as_posix()}/"
            else:
                continue
            for place in occurrences(catalogue, source=known.id):
                if place.path.startswith(cut) and not (place.path_bytes and cut + add):
                    path = add + place.path.removeprefix(cut)
                    self._places.setdefault((path, place.path_bytes), []).append(place)
                    held = original(catalogue, place.sha256)
                    if held is not None:
                        self._originals[place.sha256] = held

    def holds(self, path: str, path_bytes: str, sha256: str) -> bool:
        """Whether that file was taken in from that place, and its original is whole."""
        if sha256 in self._damaged:
            return False
        return any(p.sha256 == sha256 for p in self._places.get((path, path_bytes), ()))

    def facts(self, source: Path, found: FoundFile) -> FileFacts:
        """The digest of a file: from the catalogue if its size and time are as they were.

        May be asked from several threads at once.

        Raises:
            SourceError: where it cannot be read.
        """
        path = location_of(source, found.path, found.path_bytes)
        try:
            size, modified = path.stat().st_size, changed_at(path)
            known = self._unchanged(found, size, modified)
            if known is not None:
                return known
            sha256 = sha256_of(path)
        except OSError as problem:
            raise SourceError(
                f"it cannot be read: {problem.strerror or problem}",
                "Mend its permissions or its disk, and survey again.",
            ) from problem
        return FileFacts(
            path=found.path,
            path_bytes=found.path_bytes,
            sha256=sha256,
            size=size,
            extension=legal_extension(found.path),
            modified=modified,
        )

    def _unchanged(self, found: FoundFile, size: int, modified: str) -> FileFacts | None:
        for place in self._places.get((found.path, found.path_bytes), ()):
            held = self._originals.get(place.sha256)
            if held is not None and place.modified == modified and held.size == size:
                return FileFacts(
                    path=found.path,
                    path_bytes=found.path_bytes,
                    sha256=held.sha256,
                    sha512=held.sha512,
                    size=held.size,
                    extension=held.extension,
                    media_type=held.media_type,
                    modified=modified,
                )
        return None


def size_below(paths: Iterable[Path]) -> int:
    """The bytes of all files in and below `paths`, as far as they can be looked at."""
    total = 0
    for path in paths:
        tree = os.walk(path) if path.is_dir() else [(str(path.parent), [], [path.name])]
        for folder, _, names in tree:
            for name in names:
                with suppress(OSError):
                    total += os.stat(os.path.join(folder, name)).st_size  # noqa: PTH116, PTH118
    return total
