"""The originals: every file taken in, named by its SHA-256 and never rewritten."""

from __future__ import annotations

import errno
import os
import re
import stat
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

from archivist.digests import Digests, copy_stream
from archivist.errors import ArchiveError, FixityError, SourceError

FOLDER = "originals"
INVENTORY = "inventory.csv"
MANIFEST = "manifest-sha256.txt"
_INCOMING = "incoming-"
_EXTENSION = re.compile(r"\.[a-z0-9]{1,8}")


def legal_extension(name: str) -> str:
    """The extension of a file name in lower case with its dot, '' where it has no plain one."""
    suffix = Path(name).suffix.lower()
    return suffix if _EXTENSION.fullmatch(suffix) else ""


class OriginalStore:
    """The folder of originals. Files in it are read-only and named by their digest."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path_of(self, sha256: str, extension: str) -> Path:
        """Where the original of that digest lies, whether or not it is there."""
        return self.folder / sha256[:2] / f"{sha256}{extension}"

    def take_in(
        self,
        source: Path,
        extension: str,
        progress: Callable[[int], None] | None = None,
        expected_sha256: str = "",
    ) -> Digests:
        """Copies `source` in, digesting it in the same pass, and gives its digests.

        A file that is there already is left as it is. Stopped at any moment, this leaves at most
        a file whose name begins with 'incoming-', which the next `take_in` of the store removes.

        Raises:
            SourceError: where the source cannot be read.
            FixityError: where it changed since it was surveyed, or while it was read.
            ArchiveError: where the archive's disk is full or cannot be written.
        """
        self.folder.mkdir(parents=True, exist_ok=True)
        incoming = self.folder / f"{_INCOMING}{uuid.uuid4().hex}"
        try:
            before = _stamp(source)
            digests = self._copy(source, incoming, progress)
            if _stamp(source) != before or expected_sha256 not in ("", digests.sha256):
                raise FixityError(
                    f"{source} changed between the survey and now; it was not taken in.",
                    "Survey it again.",
                )
            self._settle(incoming, self.path_of(digests.sha256, extension))
        finally:
            incoming.unlink(missing_ok=True)
        return digests

    def _copy(
        self, source: Path, incoming: Path, progress: Callable[[int], None] | None
    ) -> Digests:
        """Copies to `incoming` and makes sure that it is on the disk."""
        try:
            origin = source.open("rb")
        except OSError as problem:
            raise SourceError(
                f"{source} cannot be read: {problem.strerror}.",
                "The rest goes on. Mend its permissions or its disk, and survey again.",
            ) from problem
        with origin:
            try:
                with incoming.open("xb") as target:
                    digests = copy_stream(origin, target, progress)
                    target.flush()
                    os.fsync(target.fileno())
            except OSError as problem:
                raise _disk_error(problem, self.folder) from problem
        return digests

    def _settle(self, incoming: Path, place: Path) -> None:
        """Moves a whole file to its lasting place, read-only, unless it is there already."""
        if place.exists():
            return
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            incoming.chmod(stat.S_IREAD | stat.S_IRGRP | stat.S_IROTH)
            incoming.replace(place)
        except OSError as problem:
            raise _disk_error(problem, self.folder) from problem

    def sweep(self) -> None:
        """Removes what an interrupted copy left; no original is ever removed."""
        for left in self.folder.glob(f"{_INCOMING}*"):
            left.chmod(stat.S_IREAD | stat.S_IWRITE)
            left.unlink()

    def files(self) -> Iterator[Path]:
        """Every file in the store that is named by a digest, in order."""
        for path in sorted(self.folder.glob("[0-9a-f][0-9a-f]/*")):
            if path.is_file():
                yield path


def write_whole(path: Path, content: str) -> None:
    """Writes a text file so that at any moment either the old or the new one is there, whole."""
    beside = path.with_name(f"{path.name}.new")
    with beside.open("w", encoding="utf-8", newline="") as target:
        target.write(content)
        target.flush()
        os.fsync(target.fileno())
    beside.replace(path)


def _stamp(path: Path) -> tuple[int, int]:
    """What changes when a file is written to: its size and time of change."""
    try:
        facts = path.stat()
    except OSError as problem:
        raise SourceError(
            f"{path} cannot be read: {problem.strerror}.",
            "The rest goes on. If it was moved, survey its new place.",
        ) from problem
    return facts.st_size, facts.st_mtime_ns


def _disk_error(problem: OSError, folder: Path) -> ArchiveError:
    """Says what an owner can do about a disk that will not be written."""
    full = problem.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC))
    what = "is full" if full else f"cannot be written ({problem.strerror})"
    return ArchiveError(
        f"The disk of {folder} {what}.",
        "Nothing was lost: what was taken in before is whole. Make room, and run the same "
        "command again; it goes on where it stopped.",
    )
