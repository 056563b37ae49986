"""File paths as manifests write them: percent-encoding, and which paths a bag may not name."""

from __future__ import annotations

import re
import unicodedata

_ENCODED = {"%": "%25", "\r": "%0D", "\n": "%0A"}
_DECODED = {code: character for character, code in _ENCODED.items()}
_TO_ENCODE = re.compile(r"[%\r\n]")
_TO_DECODE = re.compile(r"%(?:25|0D|0A)", re.IGNORECASE)
_LINE_BREAKS_ONLY = re.compile(r"%(?:0D|0A)", re.IGNORECASE)
_DRIVE = re.compile(r"[A-Za-z]:[\\/]")

PAYLOAD = "data/"


def encode_path(path: str) -> str:
    """`path` with CR, LF and % percent-encoded, and nothing else (RFC 8493, 2.1.3)."""
    return _TO_ENCODE.sub(lambda match: _ENCODED[match[0]], path)


def decode_path(listed: str, version: tuple[int, int] = (1, 0)) -> str:
    """The path that a manifest or fetch.txt lists as `listed`.

    Version 1.0 encodes CR, LF and %; before it % stood for itself, and only line breaks were
    encoded. Any other percent sign is left alone.
    """
    pattern = _TO_DECODE if version >= (1, 0) else _LINE_BREAKS_ONLY
    return pattern.sub(lambda match: _DECODED[match[0].upper()], listed)


def without_dots(path: str) -> str:
    """`path` without the '.' parts that some tools write ('./data/x'); '..' is left to see."""
    return "/".join(part for part in path.split("/") if part != ".")


def unsafe(path: str, *, windows: bool) -> str:
    """Why `path` must not be followed; '' where it stays within the bag.

    `windows` asks by the rules of Windows, where a backslash parts folders and a colon names a
    drive or a stream. A path that names a drive or a server is refused on every system.
    """
    if not path or "\0" in path:
        return "it is no path"
    if path.startswith(("/", "\\\\")) or _DRIVE.match(path):
        return "it is absolute"
    if path.startswith("~"):
        return "it begins with '~', which stands for somebody's own folder"
    parts = path.replace("\\", "/").split("/") if windows else path.split("/")
    if ".." in parts:
        return "it leads out of the folder it stands in"
    if "" in parts:
        return "a part of it is empty"
    if windows and ":" in path:
        return "it holds a colon, which names a drive or a stream on Windows"
    return ""


def composed(path: str) -> str:
    """`path` in Unicode normal form C, under which macOS and others see one name as the same."""
    return unicodedata.normalize("NFC", path)


def folded(path: str) -> str:
    """`path` as file systems compare names that take no notice of case and normal form."""
    return composed(composed(path).casefold())


def printable(path: str) -> str:
    """`path` so that it can be shown and stored, also where its bytes are no Unicode."""
    return path.encode("utf-8", "backslashreplace").decode("utf-8")
