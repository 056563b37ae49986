"""What is worked out once and kept among the derivatives: used again only as it was written.

What is kept names what it is of and bears a digest, so that a file that is damaged, or that lies in
the place of another, counts as not there and is made anew.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TypeVar

import msgspec

T = TypeVar("T")


class _Kept(msgspec.Struct, frozen=True):
    """The file: what it is of, the value, and the SHA-256 of both."""

    of: str
    value: msgspec.Raw
    sha256: str


def read_kept(path: Path, of: str, type_: type[T]) -> T | None:
    """What was kept at `path`; None where there is none, it is damaged, or it is of another."""
    try:
        kept = msgspec.json.decode(path.read_bytes(), type=_Kept)
        if kept.of != of or kept.sha256 != _digest(of, kept.value):
            return None
        return msgspec.json.decode(kept.value, type=type_)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return None


def kept_bytes(of: str, value: object) -> bytes:
    """What is to be written, for `read_kept` to read."""
    raw = msgspec.Raw(msgspec.json.encode(value))
    return msgspec.json.encode(_Kept(of, raw, _digest(of, raw)))


def _digest(of: str, value: msgspec.Raw) -> str:
    return hashlib.sha256(f"{of}\n".encode() + bytes(value)).hexdigest()
