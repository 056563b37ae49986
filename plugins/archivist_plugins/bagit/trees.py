"""The files of a bag, whether they lie in a folder or in a zip."""

from __future__ import annotations

import os
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Protocol

from archivist.errors import PackageError
from archivist_plugins.bagit.limits import LARGEST_DIRECTORY, directory_size
from archivist_plugins.bagit.paths import printable, unsafe

UNREADABLE = (OSError, EOFError, zipfile.BadZipFile, zlib.error, struct.error, NotImplementedError)
"""What reading a file of a folder or of a damaged zip can raise."""

LINK = "it is a link; a bag holds the files themselves"
SPECIAL = "it is neither a file nor a folder"


class Tree(Protocol):
    """Files by relative path with forward slashes, each with its size in bytes.

    `faults` are things that are no plain files, by path with what is wrong; `remarks` what is
    worth telling about the whole.
    """

    @property
    def files(self) -> dict[str, int]: ...
    @property
    def faults(self) -> dict[str, str]: ...
    @property
    def remarks(self) -> list[str]: ...

    def open(self, path: str) -> IO[bytes]:
        """Opens a file for reading. Opening and reading can raise what `UNREADABLE` lists."""

    def location(self, path: str) -> Path | None:
        """Where a path lies on disk; None where it lies in a zip."""

    def has_folder(self, path: str) -> bool:
        """Whether there is a folder `path`, be it empty."""


@dataclass
class FolderTree:
    """The files below a folder. Links are not followed."""

    folder: Path
    files: dict[str, int] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        waiting = [(str(self.folder), "")]
        while waiting:
            folder, prefix = waiting.pop()
            try:
                with os.scandir(folder) as entries:
                    for entry in entries:
                        self._note(entry, prefix + entry.name, waiting)
            except OSError as problem:
                self.faults[prefix.rstrip("/") or "."] = _reason(problem)

    def _note(self, entry: os.DirEntry[str], path: str, waiting: list[tuple[str, str]]) -> None:
        try:
            if entry.is_symlink():
                self.faults[path] = LINK
            elif entry.is_dir(follow_symlinks=False):
                waiting.append((entry.path, f"{path}/"))
            elif entry.is_file(follow_symlinks=False):
                self.files[path] = entry.stat(follow_symlinks=False).st_size
            else:
                self.faults[path] = SPECIAL
        except OSError as problem:
            self.faults[path] = _reason(problem)

    def open(self, path: str) -> IO[bytes]:
        return self._at(path).open("rb", buffering=0)

    def location(self, path: str) -> Path | None:
        return self._at(path)

    def has_folder(self, path: str) -> bool:
        return self._at(path).is_dir()

    def _at(self, path: str) -> Path:
        return self.folder.joinpath(*path.split("/"))


class ZipTree:
    """The files of the bag that a zip holds, at its top or in its one folder (RFC 8493, 4)."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.files: dict[str, int] = {}
        self.faults: dict[str, str] = {}
        self.remarks: list[str] = []
        self._archive = archive
        self._members: dict[str, zipfile.ZipInfo] = {}
        self._folders: set[str] = set()
        root = bag_root(archive)
        if root is None:
            raise PackageError(
                f"The zip '{archive.filename}' holds no bag.",
                "A zipped bag has bagit.txt at its top or in its one folder.",
            )
        if not root:
            self.remarks.append("The zip unpacks into many files and not into one folder.")
        for member in archive.infolist():
            self._note(member, root)
        packed = sum(member.compress_size for member in archive.infolist())
        if archive.fp is not None and packed > archive.fp.seek(0, os.SEEK_END):
            self.faults["."] = "files in the zip lie over each other, so that it unpacks endlessly"
            self.files.clear()

    def _note(self, member: zipfile.ZipInfo, root: str) -> None:
        name = member.filename
        if name.startswith("__MACOSX/"):
            self._remark("The zip also holds notes of macOS (__MACOSX), which are not the bag's.")
            return
        if unsafe(name.rstrip("/"), windows=True):
            self.faults[printable(name)] = "unpacking it could write outside the bag"
            return
        if not name.startswith(root):
            self._remark(f"The zip also holds '{name}', which is not in the bag.")
            return
        path = name.removeprefix(root)
        parts = path.rstrip("/").split("/")
        self._folders.update("/".join(parts[:depth]) for depth in range(1, len(parts)))
        if member.is_dir():
            self._folders.add(path.rstrip("/"))
        elif stat.S_ISLNK(member.external_attr >> 16):
            self.faults[path] = LINK
        elif path in self._members:
            self.faults[path] = "the zip holds it twice"
        elif member.flag_bits & 0x1:
            self.faults[path] = "it is encrypted"
        elif member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            self.faults[path] = "it is packed in a way that not every program can unpack"
        else:
            self._members[path] = member
            self.files[path] = member.file_size

    def _remark(self, words: str) -> None:
        if words not in self.remarks:
            self.remarks.append(words)

    def open(self, path: str) -> IO[bytes]:
        return self._archive.open(self._members[path])

    def location(self, path: str) -> Path | None:
        return None

    def has_folder(self, path: str) -> bool:
        return path in self._folders


def bag_root(archive: zipfile.ZipFile) -> str | None:
    """The folder in the zip that is the bag ('' for its top), ending in '/'; None if none is."""
    names = [n for n in archive.namelist() if not n.startswith("__MACOSX/")]
    if "bagit.txt" in names:
        return ""
    roots = {n.removesuffix("bagit.txt") for n in names if n.count("/") == 1}
    found = sorted(root for root in roots if f"{root}bagit.txt" in names)
    return found[0] if len(found) == 1 else None


def is_bag(path: Path) -> bool:
    """Whether `path` is a bag, or a bag that lost its bagit.txt, or a zip of a bag."""
    if path.is_dir():
        lost = (path / "data").is_dir() and any(path.glob("manifest-*.txt"))
        return (path / "bagit.txt").is_file() or lost
    try:
        if directory_size(path) > LARGEST_DIRECTORY:
            return path.suffix.lower() == ".zip"
        with zipfile.ZipFile(path) as archive:
            return bag_root(archive) is not None
    except (*UNREADABLE, ValueError):
        return False


@contextmanager
def open_tree(path: Path) -> Iterator[Tree]:
    """The files of the bag at `path`, a folder or a zip.

    Raises:
        PackageError: where there is nothing, or a file that is no zip with one bag in it.
    """
    if path.is_dir():
        yield FolderTree(path)
        return
    try:
        if (size := directory_size(path)) > LARGEST_DIRECTORY:
            raise PackageError(
                f"The zip '{path}' has a directory of {size:,} bytes; at most "
                f"{LARGEST_DIRECTORY:,} are read.",
                "Nothing was changed. Unpack it, and give the folder.",
            )
        archive = zipfile.ZipFile(path)
    except (*UNREADABLE, ValueError) as problem:
        raise PackageError(
            f"'{path}' cannot be opened as a bag: {problem}.",
            "Nothing was changed. Give a folder that holds bagit.txt, or a zip of one.",
        ) from problem
    with archive:
        yield ZipTree(archive)


def _reason(problem: OSError) -> str:
    return problem.strerror or type(problem).__name__
