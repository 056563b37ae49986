"""Builds one bag of version 1.0 in a package: payload first, bagit.txt last."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from archivist.digests import digest_bytes
from archivist.errors import FixityError, PackageError
from archivist.hooks import Package, WrittenFile
from archivist_plugins.bagit.left_out import LEFT_OUT, write_left_out
from archivist_plugins.bagit.manifests import write_manifest
from archivist_plugins.bagit.paths import PAYLOAD
from archivist_plugins.bagit.tags import DECLARATION, write_tags

WORKERS = min(4, os.cpu_count() or 1)
"""Copies at a time: hashlib digests without holding up other threads."""

_AT_ONCE = 256
"""Copies that are handed to the threads before their results are awaited."""


@dataclass(frozen=True)
class CopyJob:
    """A file to copy to `path` below data/; digests that are known are compared."""

    path: str
    source: Path
    sha256: str = ""
    sha512: str = ""

    @property
    def size(self) -> int:
        """Its size in bytes; 0 where it is not there, which copying it will tell."""
        try:
            return self.source.stat().st_size
        except OSError:
            return 0


@dataclass(frozen=True)
class _Listed:
    """A file of the bag with what its manifests say of it."""

    path: str
    size: int
    sha256: str
    sha512: str


class BagBuilder:
    """One bag below `folder` ('' or a path ending in '/') of `package`.

    The bag is none until `seal` wrote bagit.txt, so what a failure leaves claims nothing.
    """

    def __init__(self, package: Package, folder: str = "") -> None:
        self._package = package
        self._folder = folder
        self._claimed: set[str] = set()
        self._payload: dict[str, _Listed] = {}
        self._tag_files: list[_Listed] = []
        self._left_out: dict[str, str] = {}

    @property
    def left_out(self) -> tuple[tuple[str, str], ...]:
        """Paths below data/ of what should be there and is not, each with the reason."""
        return tuple(sorted(self._left_out.items()))

    @property
    def size(self) -> int:
        """Bytes of the payload so far."""
        return sum(file.size for file in self._payload.values())

    @property
    def count(self) -> int:
        """Files of the payload so far."""
        return len(self._payload)

    def folders(self) -> tuple[str, ...]:
        """The names of the folders directly below data/, in order."""
        inside = (path.removeprefix(PAYLOAD) for path in self._payload)
        return tuple(sorted({path.split("/")[0] for path in inside if "/" in path}))

    def holds(self, path: str) -> bool:
        """Whether `path` (below data/) was written, or left out."""
        return f"{PAYLOAD}{path}" in self._payload or path in self._left_out

    def write(self, path: str, content: bytes, sha256: str = "") -> None:
        """Writes `content` to `path` below data/, if its digest is that which was recorded.

        Raises:
            PackageError: where the bag holds `path` already.
        """
        if sha256 not in ("", hashlib.sha256(content).hexdigest()):
            self.leave_out(path, f"its SHA-256 is not {sha256}, as was recorded")
            return
        self._claim(path)
        target = f"{PAYLOAD}{path}"
        written = self._package.write(f"{self._folder}{target}", content)
        self._payload[target] = _Listed(target, written.size, written.sha256, written.sha512)

    def leave_out(self, path: str, reason: str) -> None:
        """Lists `path` (below data/) as missing; the owner is told, and so is whoever verifies."""
        self._claimed.add(path)
        self._left_out[path] = " ".join(reason.split())
        self._package.left_out(f"{self._folder}{PAYLOAD}{path}", reason)

    def copy_all(self, jobs: Iterable[CopyJob]) -> None:
        """Copies files, several at a time, each byte read and digested once.

        A source that is gone, cannot be read, or is not what was recorded is left out and listed.

        Raises:
            PackageError: for a path that the bag holds already.
        """
        waiting = iter(jobs)
        with _pool() as pool:
            while some := list(islice(waiting, _AT_ONCE)):
                for job in some:
                    self._claim(job.path)
                largest_first = sorted(some, key=lambda job: -job.size)
                futures = [(job, pool.submit(self._copy, job)) for job in largest_first]
                for job, future in futures:
                    try:
                        written = future.result()
                    except FixityError as problem:
                        self.leave_out(job.path, str(problem))
                    else:
                        self._list(job, written)

    def _copy(self, job: CopyJob) -> WrittenFile:
        return self._package.copy(f"{self._folder}{PAYLOAD}{job.path}", job.source, job.sha256)

    def _claim(self, path: str) -> None:
        if path in self._claimed:
            raise PackageError(
                f"Two files would stand at 'data/{path}' in one bag.",
                "No bag was made. Give one of the two another name.",
            )
        self._claimed.add(path)

    def _list(self, job: CopyJob, written: WrittenFile) -> None:
        """Lists a file that was copied. One whose SHA-256 fits is whole; where its SHA-512 then
        does not, the record of that is damaged, and the owner is told."""
        target = f"{PAYLOAD}{job.path}"
        if job.sha512 and job.sha512 != written.sha512:
            self._package.left_out(
                f"{self._folder}{target}",
                "the file is whole by its SHA-256; the SHA-512 recorded for it is damaged and was "
                "not used. 'archivist fixity' tells how to mend that.",
            )
        self._payload[target] = _Listed(target, written.size, written.sha256, written.sha512)

    def seal(self, tags: Iterable[tuple[str, str]], tag_files: Iterable[tuple[str, bytes]]) -> None:
        """Writes bag-info.txt with the size, other tag files, both kinds of manifests, bagit.txt.

        `tag_files` are further files beside them, which the tag manifests cover too.

        Raises:
            PackageError: where there is no payload; the folder data/ that a bag must have would
                not outlive a copy.
        """
        if not self._payload:
            raise PackageError(
                "There is nothing to put into the bag.", "Select pieces, or the whole archive."
            )
        self._tag_file("bag-info.txt", write_tags([*tags, *self._measures()]).encode())
        for path, content in tag_files:
            self._tag_file(path, content)
        if self._left_out:
            self._tag_file(LEFT_OUT, write_left_out(self.left_out))
        for algorithm in ("sha256", "sha512"):
            lines = write_manifest((f.path, getattr(f, algorithm)) for f in self._payload.values())
            self._tag_file(f"manifest-{algorithm}.txt", lines.encode())
        declaration = DECLARATION.encode()
        digests = digest_bytes(declaration)
        covered = [
            *self._tag_files,
            _Listed("bagit.txt", digests.size, digests.sha256, digests.sha512),
        ]
        for algorithm in ("sha256", "sha512"):
            lines = write_manifest((f.path, getattr(f, algorithm)) for f in covered)
            self._package.write(f"{self._folder}tagmanifest-{algorithm}.txt", lines)
        self._package.write(f"{self._folder}bagit.txt", declaration)

    def _measures(self) -> Iterator[tuple[str, str]]:
        yield "Bag-Size", readable_size(self.size)
        yield "Payload-Oxum", f"{self.size}.{self.count}"

    def _tag_file(self, path: str, content: bytes) -> None:
        written = self._package.write(self._folder + path, content)
        self._tag_files.append(_Listed(path, written.size, written.sha256, written.sha512))


@contextmanager
def _pool() -> Iterator[ThreadPoolExecutor]:
    """Threads that give up what has not begun as soon as one thing fails or is stopped."""
    pool = ThreadPoolExecutor(WORKERS)
    try:
        yield pool
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def readable_size(size: int) -> str:
    """`size` bytes in words: decimal units, one place ('4.2 MB')."""
    if size < 1000:
        return f"{size} B"
    scaled = float(size)
    for unit in ("kB", "MB", "GB", "TB"):
        scaled /= 1000
        if scaled < 999.95 or unit == "TB":
            break
    return f"{scaled:.1f} {unit}"
