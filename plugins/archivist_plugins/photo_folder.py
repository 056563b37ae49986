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
    """Walks a folder, its files in the order of their names. Never writes to it."""

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
        seen: set[tuple[int, int]] = set()
        waiting = [(source, "")]
        while waiting:
            folder, relative = waiting.pop()
            loop = _seen_before(folder, seen)
            if loop:
                yield Trouble(place=relative or str(source), reason=loop, harmless=True)
                continue
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
                trouble = _sort(entry, below, files, folders)
                if trouble is not None:
                    yield trouble
            waiting.extend(reversed(folders))
            captions = _captions(files)
            for file in files:
                yield _found(file, captions.get(file.relative, ()))


def _seen_before(folder: Path, seen: set[tuple[int, int]]) -> str:
    """Why a folder is not entered again; '' where it is new."""
    try:
        facts = folder.stat()
    except OSError as problem:
        return f"a link that leads nowhere ({problem.strerror})"
    place = (facts.st_dev, facts.st_ino)
    if facts.st_ino and place in seen:
        return "a link to a folder that is read already; it is not read twice"
    seen.add(place)
    return ""


def _sort(
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
    if stat.S_ISDIR(mode):
        if name in _FOLDERS_LEFT_OUT:
            return Trouble(
                place=place, reason=f"left out: {_FOLDERS_LEFT_OUT[name]}", harmless=True
            )
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
