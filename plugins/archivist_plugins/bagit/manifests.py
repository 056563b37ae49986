"""Manifests and fetch.txt: which files, with which digests, from where."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from archivist_plugins.bagit.limits import MOST_FAULTS
from archivist_plugins.bagit.paths import decode_path, encode_path, without_dots

DIGEST_LENGTHS = {"md5": 32, "sha1": 40, "sha224": 56, "sha256": 64, "sha384": 96, "sha512": 128}
"""The algorithms that can be checked, and the hexadecimal digits of their digests."""

WEAK = frozenset({"md5", "sha1"})
"""Algorithms for which two files of one digest can be made on purpose (RFC 8493, 5.4)."""

MANIFEST_NAME = re.compile(r"(tag)?manifest-([a-z0-9]+)\.txt")

_LINE_END = re.compile(r"\r\n|\r|\n")
_LINE = re.compile(r"([0-9A-Fa-f]+)[ \t]+(\*?)(.+)", re.DOTALL)
_FETCH = re.compile(r"(\S+)[ \t]+(\d+|-)[ \t]+(.+)", re.DOTALL)


@dataclass(frozen=True)
class Entry:
    """One line of a manifest: the digest, the path as `listed`, and the `path` it stands for."""

    digest: str
    listed: str
    path: str


@dataclass(frozen=True)
class FetchEntry:
    """One line of fetch.txt: a payload file that is to be had elsewhere."""

    url: str
    path: str


@dataclass(frozen=True)
class Manifest:
    """One manifest file as it was read: its entries and the lines that are none."""

    name: str
    algorithm: str
    of_tags: bool
    entries: tuple[Entry, ...] = ()
    faults: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


def _lines(text: str) -> Iterator[str]:
    """The lines, one at a time: a text may hold millions."""
    at = 0
    for match in _LINE_END.finditer(text):
        yield text[at : match.start()]
        at = match.end()
    yield text[at:]


def write_manifest(files: Iterable[tuple[str, str]]) -> str:
    """The lines for `files` (path, digest) in the order of their paths.

    Digest, two spaces, path: the form that `sha256sum -c` and `shasum -c` read as well.
    """
    return "".join(f"{digest}  {encode_path(path)}\n" for path, digest in sorted(files))


def read_manifest(name: str, text: str, version: tuple[int, int]) -> Manifest:
    """The manifest file `name` (RFC 8493, 2.1.3 and 2.2.1).

    The asterisk that checksum tools put before a path, and './' in front of it, are remarked on
    and taken off.
    """
    match = MANIFEST_NAME.fullmatch(name)
    if match is None:
        raise ValueError(f"'{name}' is not the name of a manifest")
    algorithm = match[2]
    entries: list[Entry] = []
    faults: list[str] = []
    remarks: dict[str, None] = {}
    for number, line in enumerate(_lines(text), start=1):
        if not line.strip():
            continue
        if len(faults) >= MOST_FAULTS:
            faults.append(f"it was not read on from line {number}")
            break
        parts = _LINE.fullmatch(line)
        if parts is None:
            faults.append(f"line {number} is not a digest and a path: '{line[:60]}'")
            continue
        if len(parts[1]) != DIGEST_LENGTHS.get(algorithm, len(parts[1])):
            faults.append(f"line {number} has a digest of the wrong length for {algorithm}")
            continue
        path = without_dots(decode_path(parts[3], version))
        if parts[2]:
            remarks[f"{name} marks files with '*', as checksum tools do."] = None
        if parts[3].startswith("./"):
            remarks[f"{name} begins paths with './'."] = None
        entries.append(Entry(parts[1].lower(), parts[3], path))
    return Manifest(
        name, algorithm, match[1] is not None, tuple(entries), tuple(faults), tuple(remarks)
    )


def read_fetch(
    text: str, version: tuple[int, int]
) -> tuple[tuple[FetchEntry, ...], tuple[str, ...]]:
    """The files that fetch.txt lists (RFC 8493, 2.2.3), and the lines that list none."""
    entries: list[FetchEntry] = []
    faults: list[str] = []
    for number, line in enumerate(_lines(text), start=1):
        if not line.strip():
            continue
        if len(faults) >= MOST_FAULTS:
            faults.append(f"it was not read on from line {number}")
            break
        parts = _FETCH.fullmatch(line)
        if parts is None:
            faults.append(f"line {number} is not an address, a length and a path: '{line[:60]}'")
        else:
            path = without_dots(decode_path(parts[3], version))
            entries.append(FetchEntry(parts[1], path))
    return tuple(entries), tuple(faults)
