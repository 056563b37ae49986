"""The originals: every file taken in, named by its SHA-256 and never rewritten."""

from __future__ import annotations

import errno
import os
import re
import shutil
import stat
import uuid
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from archivist.digests import Digests, copy_stream
from archivist.durable import forget_cached, replace, sync, sync_folders
from archivist.errors import ArchiveError, FixityError, SourceError

FOLDER = "originals"
INVENTORY = "inventory.csv"
MANIFEST = "manifest-sha256.txt"
_INCOMING = "incoming-"
_EXTENSION = re.compile(r"\.[a-z0-9]{1,8}")
_SHA256 = re.compile(r"[0-9a-f]{64}")


def legal_extension(name: str) -> str:
    """The extension of a file name in lower case with its dot, '' where it has no plain one."""
    suffix = Path(name).suffix.lower()
    return suffix if _EXTENSION.fullmatch(suffix) else ""


def is_legal_extension(extension: str) -> bool:
    """Whether an original may be stored with that extension; '' is one."""
    return not extension or bool(_EXTENSION.fullmatch(extension))


class OriginalStore:
    """The folder of originals. Files in it are read-only and named by their digest."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._changed: set[Path] = set()

    def place_of(self, sha256: str, extension: str) -> Path | None:
        """As `path_of`; None where there can be no such file."""
        try:
            return self.path_of(sha256, extension)
        except FixityError:
            return None

    def path_of(self, sha256: str, extension: str) -> Path:
        """Where the original of that digest lies, whether or not it is there.

        Raises:
            FixityError: where one of the two is none, as in a file that somebody altered: the place
                would lie elsewhere.
        """
        if not _SHA256.fullmatch(sha256) or not is_legal_extension(extension):
            raise FixityError(
                f"'{sha256}{extension}' is no name of an original: it could lead out of the "
                "archive.",
                "Nothing was written. Do not trust the file that it stands in, a proposal or a "
                "package; ask who gave it to you.",
            )
        return self.folder / sha256[:2] / f"{sha256}{extension}"

    def take_in(
        self,
        source: Path,
        extension: str,
        progress: Callable[[int], None] | None = None,
        expected_sha256: str = "",
    ) -> Digests:
        """Copies `source` in, digesting it in the same pass, and gives its digests.

        The copy is synced and read back from the disk, as far as the system allows, before it has
        its name. A file that is there already is left as it is, if it is whole; one that is not is
        mended. Killed at any moment, this leaves at most a file whose name begins with
        'incoming-', which `sweep` removes. `sync` makes sure of the names.

        Raises:
            SourceError: where the source cannot be read.
            FixityError: where it changed since it was surveyed, or while it was read.
            ArchiveError: where the archive's disk is full or cannot be written.
        """
        incoming = self.folder / f"{_INCOMING}{uuid.uuid4().hex}"
        try:
            before = _stamp(source)
            digests = self._copy(source, incoming, progress)
            if _stamp(source) != before or expected_sha256 not in ("", digests.sha256):
                raise FixityError(
                    f"{source} changed between the survey and now; it was not taken in.",
                    "Survey it again.",
                )
            self._settle(incoming, self.path_of(digests.sha256, extension), digests.sha256)
        finally:
            _remove(incoming)
        return digests

    def _copy(
        self, source: Path, incoming: Path, progress: Callable[[int], None] | None
    ) -> Digests:
        """Copies to `incoming` and makes sure that it is on the disk."""
        try:
            with source.open("rb") as origin:
                return self._write(_Source(origin, source), incoming, progress)
        except OSError as problem:
            raise _unreadable(source, problem) from problem

    def _write(
        self, origin: _Source, incoming: Path, progress: Callable[[int], None] | None
    ) -> Digests:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with incoming.open("xb") as target:
                digests = copy_stream(origin, target, progress)
                target.flush()
                sync(target.fileno())
                forget_cached(target.fileno())
            with incoming.open("rb") as again:
                found = copy_stream(again, None, sha512=False)
        except OSError as problem:
            raise _disk_error(problem, self.folder) from problem
        if found.sha256 != digests.sha256:
            raise ArchiveError(
                f"The disk of {self.folder} gives back other bytes than were written to it.",
                "The file was not taken in, and nothing was changed. Do not use this disk: copy "
                "the archive to another, and run the same command there.",
            )
        return digests

    def is_whole(self, sha256: str, extension: str) -> bool:
        """Whether the original of that digest is there and undamaged; reads all of it."""
        place = self.place_of(sha256, extension)
        if place is None:
            return False
        try:
            with place.open("rb") as file:
                return copy_stream(file, None, sha512=False).sha256 == sha256
        except OSError:
            return False

    def sync(self) -> None:
        """Makes sure that the names of all that was taken in are on the disk.

        Raises:
            ArchiveError: where the disk does not say so.
        """
        try:
            sync_folders(self._changed)
        except OSError as problem:
            raise _disk_error(problem, self.folder) from problem
        self._changed.clear()

    def _settle(self, incoming: Path, place: Path, sha256: str) -> None:
        """Moves a whole file to its lasting place, read-only, unless it is there, and whole."""
        if place.exists() and self.is_whole(sha256, place.suffix):
            return
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            if place.is_dir():
                remove_tree(place)
            incoming.chmod(stat.S_IREAD | stat.S_IRGRP | stat.S_IROTH)
            if os.name == "nt" and place.exists():
                place.chmod(stat.S_IREAD | stat.S_IWRITE)
            incoming.replace(place)
            self._changed |= {place.parent, self.folder}
        except OSError as problem:
            raise _disk_error(problem, self.folder) from problem

    def sweep(self) -> None:
        """Removes what an interrupted copy left; no original is ever removed."""
        for name in (f"{_INCOMING}*", "*.new"):
            for left in self.folder.glob(name):
                _remove(left)

    def files(self) -> Iterator[Path]:
        """Every file in the store but the inventory and the manifest, in order."""
        beside = {self.folder / INVENTORY, self.folder / MANIFEST}
        for path in sorted(self.folder.rglob("*")):
            if path not in beside and (path.is_symlink() or not path.is_dir()):
                yield path


def write_whole(path: Path, content: str) -> None:
    """Writes a text file so that at any moment either the old or the new one is there, whole."""
    beside = path.with_name(f"{path.name}.new")
    try:
        with beside.open("w", encoding="utf-8", newline="") as target:
            target.write(content)
            target.flush()
            sync(target.fileno())
        replace(beside, path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def remove_tree(folder: Path) -> None:
    """Removes a folder of ours with all that is in it, also originals, which are read-only."""
    if os.name == "nt":  # elsewhere the folder alone decides
        for path in folder.rglob("*"):
            path.chmod(stat.S_IREAD | stat.S_IWRITE)
    shutil.rmtree(folder, ignore_errors=True)


def _remove(path: Path) -> None:
    """Removes a file that may be read-only, which Windows would refuse."""
    with suppress(FileNotFoundError):
        path.chmod(stat.S_IREAD | stat.S_IWRITE)
        path.unlink()


class _Source:
    """A file that is read: what fails in reading is the source's fault, not the archive's."""

    def __init__(self, stream: BinaryIO, path: Path) -> None:
        self._stream = stream
        self._path = path

    def read(self, size: int) -> bytes:
        try:
            return self._stream.read(size)
        except OSError as problem:
            raise _unreadable(self._path, problem) from problem


def _unreadable(source: Path, problem: OSError) -> SourceError:
    return SourceError(
        f"{source} cannot be read: {problem.strerror}.",
        "The rest goes on. Mend its permissions or its disk, and survey again.",
    )


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
