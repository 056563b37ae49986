"""The package that an exporter writes into: confined to one folder, digested as it is written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, cast

from archivist.digests import Digester, copy_stream
from archivist.errors import PackageError
from archivist.hooks import WrittenFile
from archivist.names import check_path


class _DigestingWriter:
    """A file being written that digests what passes. Only `write` is offered."""

    def __init__(self, target: BinaryIO) -> None:
        self._target = target
        self.digester = Digester()

    def write(self, data: bytes) -> int:
        self.digester.update(data)
        return self._target.write(data)

    def flush(self) -> None:
        self._target.flush()

    def tell(self) -> int:
        return self.digester.digests().size


class FolderPackage:
    """A package in a folder that holds nothing else.

    `folder` need not exist. `companions` are the files that exporters before this one wrote.
    """

    def __init__(self, folder: Path, companions: Iterable[WrittenFile] = ()) -> None:
        self._folder = folder
        self._companions = tuple(companions)
        self._written: dict[str, WrittenFile] = {}

    @property
    def written(self) -> tuple[WrittenFile, ...]:
        """Every file that was written whole, in the order of writing."""
        return tuple(self._written.values())

    def companions(self) -> tuple[WrittenFile, ...]:
        """What the exporters before this one wrote."""
        return self._companions

    @contextmanager
    def open(self, path: str) -> Iterator[BinaryIO]:
        """Opens `path` for writing; nothing remains of it where the block raises.

        Raises:
            PackageError: for a path that is not legal or was written already.
        """
        check_path(path)
        if path in self._written:
            raise PackageError(
                f"The package already holds '{path}'.", "Give each file a name of its own."
            )
        location = self._folder.joinpath(*path.split("/"))
        location.parent.mkdir(parents=True, exist_ok=True)
        try:
            with location.open("xb") as target:
                writer = _DigestingWriter(target)
                yield cast(BinaryIO, writer)
        except BaseException:
            location.unlink(missing_ok=True)
            raise
        digests = writer.digester.digests()
        self._written[path] = WrittenFile(
            path, location, digests.size, digests.sha256, digests.sha512
        )

    def write(self, path: str, content: bytes | str) -> WrittenFile:
        """Writes `content` (text as UTF-8) to `path`."""
        with self.open(path) as target:
            target.write(content.encode("utf-8") if isinstance(content, str) else content)
        return self._written[path]

    def copy(self, path: str, source: Path) -> WrittenFile:
        """Copies the file `source` to `path`."""
        with source.open("rb") as origin, self.open(path) as target:
            copy_stream(origin, target)
        return self._written[path]

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
