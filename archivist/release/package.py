"""The package that an exporter writes into: confined to one folder, digested as it is written."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, cast

import msgspec

from archivist.content import opened_source, refuse_other
from archivist.digests import Digester, copy_stream
from archivist.errors import PackageError
from archivist.hooks import WrittenFile
from archivist.names import check_path

if TYPE_CHECKING:
    from typing_extensions import Buffer


FileFacts = tuple[str, int, str, str]
"""Path, size, SHA-256 and SHA-512 of a file that was written."""


@dataclass(frozen=True)
class Settled:
    """A unit that is done: its files, as they lie below `folder`, and its note.

    `listed` are the facts of the files as JSON. A release may hold hundreds of thousands of files:
    what nobody asks for is not taken apart.
    """

    folder: Path
    listed: bytes
    note: str = ""

    @cached_property
    def facts(self) -> tuple[FileFacts, ...]:
        """What is known of each file."""
        return msgspec.json.decode(self.listed, type=tuple[FileFacts, ...])

    @cached_property
    def digest(self) -> str:
        """A digest of the files' paths and contents."""
        return hashlib.sha256(self.listed).hexdigest()

    @property
    def count(self) -> int:
        """How many files there are; no name or digest holds what parts one from the next."""
        return 0 if self.listed == b"[]" else self.listed.count(b"],[") + 1

    def file(self, facts: FileFacts) -> WrittenFile:
        """One of its files."""
        path, size, sha256, sha512 = facts
        return WrittenFile(path, self.folder / path, size, sha256, sha512)


def settled_files(folder: Path, files: Iterable[WrittenFile], note: str = "") -> Settled:
    """A unit whose files were just written."""
    return Settled(folder, msgspec.json.encode(file_facts(files)), note)


def file_facts(files: Iterable[WrittenFile]) -> tuple[FileFacts, ...]:
    """What is kept of each file."""
    return tuple((file.path, file.size, file.sha256, file.sha512) for file in files)


@dataclass(frozen=True)
class Companions:
    """What was written before, one by one."""

    units: Sequence[Settled]

    def __iter__(self) -> Iterator[WrittenFile]:
        return (settled.file(facts) for settled in self.units for facts in settled.facts)

    def named(self, path: str) -> WrittenFile | None:
        """The file of that path."""
        return next(
            (s.file(facts) for s in self.units for facts in s.facts if facts[0] == path), None
        )


class _DigestingWriter(io.BufferedIOBase):
    """A file being written that digests what passes; there is no way back in it."""

    def __init__(self, target: BinaryIO) -> None:
        self._target = target
        self.digester = Digester()

    def writable(self) -> bool:
        return True

    def write(self, data: Buffer, /) -> int:
        content = bytes(data)
        self.digester.update(content)
        return self._target.write(content)

    def flush(self) -> None:
        if not self._target.closed:
            self._target.flush()

    def tell(self) -> int:
        return self.digester.digests().size


class FolderPackage:
    """A package in a folder that holds nothing else.

    `folder` need not exist. `companions` are the files that exporters before this one wrote, and
    `notes` the notes on all pieces; either is read only when it is asked for. `known` are the
    SHA-256 of files that may be copied into it.
    """

    def __init__(
        self,
        folder: Path,
        companions: Iterable[WrittenFile] = (),
        notes: Iterable[str] = (),
        known: Mapping[Path, str] | None = None,
    ) -> None:
        self._folder = folder
        self._companions = companions
        self._notes = notes
        self._written: dict[str, WrittenFile] = {}
        self._known = known or {}
        self.omitted: list[str] = []
        """What should be there and is not, with the reason."""
        self.noted = ""
        """The note that was kept of this piece, '' for none."""

    @property
    def written(self) -> tuple[WrittenFile, ...]:
        """Every file that was written whole, in the order of writing."""
        return tuple(self._written.values())

    def companions(self) -> tuple[WrittenFile, ...]:
        """What the exporters before this one wrote."""
        self._companions = files = tuple(self._companions)
        return files

    def companion(self, path: str) -> WrittenFile | None:
        """The one of that path, None where there is none."""
        if isinstance(self._companions, Companions):
            return self._companions.named(path)
        return next((file for file in self._companions if file.path == path), None)

    def note(self, words: str) -> None:
        """Keeps a note on this piece for the selection."""
        self.noted = words

    def notes(self) -> Iterator[str]:
        """The notes on all pieces, in the order of the selection."""
        return iter(self._notes)

    @contextmanager
    def open(self, path: str) -> Iterator[BinaryIO]:
        """Opens `path` for writing; nothing remains of it where the block raises.

        Raises:
            PackageError: for a path that is not legal or was written already.
        """
        check_path(path)
        location = self._folder.joinpath(*path.split("/"))
        target = self._new_file(path, location)
        writer = _DigestingWriter(target)
        try:
            with target:
                yield cast(BinaryIO, writer)
        except BaseException:
            location.unlink(missing_ok=True)
            remove_empty(location.parent, self._folder)
            raise
        digests = writer.digester.digests()
        self._written[path] = WrittenFile(
            path, location, digests.size, digests.sha256, digests.sha512
        )

    def _new_file(self, path: str, location: Path) -> BinaryIO:
        """Opens a file that is not there yet, in a folder that lies within the package."""
        try:
            location.parent.mkdir(parents=True, exist_ok=True)
            if not location.parent.resolve().is_relative_to(self._folder.resolve()):
                raise PackageError(
                    f"'{path}' leads out of the package by a link.", "Write no links into it."
                )
            return location.open("xb")
        except (FileExistsError, NotADirectoryError) as problem:
            raise PackageError(
                f"The package already holds '{path}', or a file where that needs a folder.",
                "Give each file a name of its own; pieces can be told apart by their slug.",
            ) from problem

    def write(self, path: str, content: bytes | str) -> WrittenFile:
        """Writes `content` (text as UTF-8) to `path`."""
        with self.open(path) as target:
            target.write(content.encode("utf-8") if isinstance(content, str) else content)
        return self._written[path]

    def copy(self, path: str, source: Path, sha256: str = "") -> WrittenFile:
        """Copies the file `source` to `path`, if its digest is what it should be.

        Raises:
            FixityError: where it is another, or cannot be read; nothing of it is left.
        """
        wanted = sha256 or self._known.get(source, "")
        with opened_source(source) as origin, self.open(path) as target:
            found = copy_stream(origin, target)
            if wanted:
                refuse_other(source, found.sha256, wanted)
        return self._written[path]

    def left_out(self, path: str, reason: str) -> None:
        """Notes a file that should be there and is not."""
        self.omitted.append(f"{path}: {reason}")

    def discard(self) -> None:
        """Removes every file that was written, and the folders that are empty then."""
        for file in self._written.values():
            file.location.unlink(missing_ok=True)
            remove_empty(file.location.parent, self._folder)
        self._written.clear()


def remove_empty(folder: Path, above: Path) -> None:
    """Removes `folder` and its parents up to but without `above`, as long as they are empty."""
    while folder != above and above in folder.parents and folder.is_dir():
        if any(folder.iterdir()):
            return
        folder.rmdir()
        folder = folder.parent
