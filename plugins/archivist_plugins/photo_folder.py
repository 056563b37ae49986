"""Folders of photographs: every file in a tree, with the words of text files beside it."""

from __future__ import annotations

import base64
import os
import re
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from archivist.hooks import Found, FoundFile, ReaderDescription, Trouble, hookimpl

PICTURES = frozenset((
    ".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".tif", ".tiff", ".gif", ".webp", ".bmp", ".heic",
    ".heif", ".avif", ".jp2", ".psd",
    ".dng", ".cr2", ".cr3", ".nef", ".nrw", ".arw", ".sr2", ".srf", ".orf", ".raf", ".rw2", ".pef",
    ".srw", ".raw", ".x3f", ".mrw", ".dcr", ".kdc", ".3fr", ".iiq",
))  # fmt: skip
"""Endings of file names of pictures. What a file really is, its bytes say."""

_LEFT_OUT = {
    "thumbs.db": "the small pictures that Windows keeps for itself",
    "ehthumbs.db": "the small pictures that Windows keeps for itself",
    "desktop.ini": "how Windows shows the folder",
    ".ds_store": "how macOS shows the folder",
    "icon\r": "the folder's symbol on macOS",
}
_FOLDERS_LEFT_OUT = {
    "__macosx": "what macOS packs beside the files of a zip",
    "$recycle.bin": "the waste basket of Windows",
    "system volume information": "what Windows keeps for itself",
    ".trashes": "the waste basket of macOS",
    ".spotlight-v100": "the search index of macOS",
    ".fseventsd": "what macOS keeps for itself",
}
_RESOURCE_FORK = b"\x00\x05\x16\x07"
"""How an AppleDouble file begins (RFC 1740, appendix B)."""

_CAPTION_LINE = re.compile(r"(?P<name>[^\t:|]+?)\s*[\t:|]\s*(?P<words>.+)")
LONGEST_CAPTION = 1 << 16
"""Bytes above which a text file is a document and no caption."""


@hookimpl
def archivist_readers() -> Sequence[ReaderDescription]:
    """The reader `photo-folder`."""
    return [
        ReaderDescription(
            name="photo-folder",
            title="Folders of photographs, one a piece or named by stock number",
            make=lambda options: PhotoFolderReader(),
        )
    ]


@dataclass(frozen=True)
class _Entry:
    """A file of the tree: where it is, and its path below the source."""

    path: Path
    relative: str


class PhotoFolderReader:
    """Walks a folder, its files in the order of their names. Never writes to it, never leaves it:
    links are not followed out of it, and folders that links lead to within it are read once."""

    def sure(self, source: Path) -> float:
        """Of any folder; of a single file where it is named as a picture."""
        if source.is_dir():
            return 0.5
        return 0.6 if source.suffix.lower() in PICTURES and source.is_file() else 0.0

    def read(self, source: Path) -> Iterator[Found]:
        """Yields every file in the tree, and what could not be read or was left out, and why."""
        if not source.is_dir():
            yield _found(_Entry(source, source.name), ())
            return
        walk = _Walk(source)
        while walk.waiting:
            folder, relative = walk.waiting.pop()
            try:
                with os.scandir(folder) as entries:
                    listed = sorted(entries, key=lambda entry: entry.name)
            except OSError as problem:
                yield Trouble(
                    place=relative or str(source),
                    reason=f"the folder cannot be opened: {problem.strerror}",
                    remedy="Mend its permissions and survey again; only what is new is added.",
                )
                continue
            files: list[_Entry] = []
            folders: list[tuple[Path, str]] = []
            for entry in listed:
                below = f"{relative}/{entry.name}" if relative else entry.name
                trouble = walk.sort(entry, below, files, folders)
                if trouble is not None:
                    yield trouble
            walk.waiting.extend(reversed(folders))
            captions = _captions(files)
            for file in files:
                yield _found(file, captions.get(file.relative, ()))


class _Walk:
    """The folders of one source that are still to be read, and what is entered at all."""

    def __init__(self, source: Path) -> None:
        self.root = source.resolve()
        self.waiting: list[tuple[Path, str]] = [(source, "")]

    def sort(
        self,
        entry: os.DirEntry[str],
        below: str,
        files: list[_Entry],
        folders: list[tuple[Path, str]],
    ) -> Trouble | None:
        """Puts an entry among the files or the folders, or says why it is neither."""
        name = entry.name.casefold()
        place = _readable(below)
        try:
            mode = entry.stat().st_mode
        except OSError as problem:
            reason = "a link that leads nowhere" if entry.is_symlink() else "it cannot be looked at"
            return Trouble(place=place, reason=f"{reason} ({problem.strerror})")
        is_folder = stat.S_ISDIR(mode)
        if is_folder or entry.is_symlink():
            trouble = self._link(Path(entry.path), place, is_folder=is_folder)
            if trouble is not None:
                return trouble
        if is_folder:
            if name in _FOLDERS_LEFT_OUT:
                return _left_out(Path(entry.path), place, _FOLDERS_LEFT_OUT[name])
            folders.append((Path(entry.path), below))
            return None
        if not stat.S_ISREG(mode):
            return Trouble(place=place, reason="it is no file but a device, a pipe or a socket")
        if name in _LEFT_OUT:
            return Trouble(place=place, reason=f"left out: {_LEFT_OUT[name]}", harmless=True)
        if name.startswith("._") and _is_resource_fork(entry.path):
            reason = "left out: what macOS keeps of a file on foreign disks"
            return Trouble(place=place, reason=reason, harmless=True)
        files.append(_Entry(Path(entry.path), below))
        return None

    def _link(self, path: Path, place: str, *, is_folder: bool) -> Trouble | None:
        """Why a link is not followed, None where it is none or may be; a folder that lies elsewhere
        than its path says is a link, whatever the system calls it."""
        try:
            there = path.resolve(strict=True)
        except (OSError, RuntimeError) as problem:
            return Trouble(place=place, reason=f"a link that leads nowhere ({problem})")
        if not there.is_relative_to(self.root):
            what = "folder" if is_folder else "file"
            return Trouble(
                place=place,
                reason=f"a link to a {what} elsewhere ({there}), which was not taken in",
                remedy="If it belongs to the archive, survey that place by itself.",
            )
        if is_folder and there != path.parent.resolve() / path.name:
            reason = "a link to a folder that is read where it lies; it is not read twice"
            return Trouble(place=place, reason=reason, harmless=True)
        return None


def _left_out(folder: Path, place: str, what: str) -> Trouble:
    """That a folder is left out; where pictures are in it, how many and how to take them in."""
    pictures = sum(
        Path(name).suffix.lower() in PICTURES
        for _, _, names in os.walk(folder)
        for name in names
        if not name.startswith("._")
    )
    if not pictures:
        return Trouble(place=place, reason=f"left out: {what}", harmless=True)
    one = pictures == 1
    return Trouble(
        place=place,
        reason=f"left out with {pictures} picture{'s' * (not one)} in it: {what}",
        remedy=f"To take {'it' if one else 'them'} in all the same, survey '{folder}' by itself.",
    )


def _is_resource_fork(path: str) -> bool:
    try:
        with open(path, "rb") as file:  # noqa: PTH123 - the name may be no Unicode
            return file.read(4) == _RESOURCE_FORK
    except OSError:
        return False


def _captions(files: Sequence[_Entry]) -> dict[str, tuple[str, ...]]:
    """The words of text files beside pictures: 'foot.txt' and 'foot.jpg.txt' are of 'foot.jpg', a
    list is of many.

    A list has lines of a file's name, a tab, colon or bar, and words.
    """
    named: dict[str, list[_Entry]] = {}
    for file in files:
        if _suffix(file) in PICTURES:
            name = PurePosixPath(file.relative).name.casefold()
            named.setdefault(name, []).append(file)
            named.setdefault(_stem(name), []).append(file)
    captions: dict[str, list[str]] = {}
    for file in files:
        if _suffix(file) != ".txt" or not named:
            continue
        words = _words(file.path)
        own = named.get(_stem(PurePosixPath(file.relative).name), ()) if words else ()
        for picture in own:
            captions.setdefault(picture.relative, []).append(words)
        for line in () if own else words.splitlines():
            match = _CAPTION_LINE.fullmatch(line.strip())
            if match:
                for picture in named.get(match["name"].strip().casefold(), []):
                    captions.setdefault(picture.relative, []).append(match["words"].strip())
    return {path: tuple(words) for path, words in captions.items()}


def _words(path: Path) -> str:
    from archivist_plugins.encodings import decode

    try:
        if path.stat().st_size > LONGEST_CAPTION:
            return ""
        return decode(path.read_bytes()).text.strip()
    except OSError:
        return ""


def _found(file: _Entry, captions: tuple[str, ...]) -> FoundFile:
    """A file by its name; what the name says is read by whoever compares it with records."""
    shown = _readable(file.relative)
    raw = "" if shown == file.relative else base64.b64encode(os.fsencode(file.relative)).decode()
    return FoundFile(path=shown, path_bytes=raw, captions=captions)


def _readable(name: str) -> str:
    """A name as Unicode; bytes that are none become the replacement character."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def _suffix(file: _Entry) -> str:
    return PurePosixPath(file.relative).suffix.lower()


def _stem(name: str) -> str:
    return PurePosixPath(name).stem.casefold()
