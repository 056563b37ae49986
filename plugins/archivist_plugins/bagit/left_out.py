"""left-out.txt: what should be in the bag and is not, since it was damaged when the bag was made.

A tag file of our own (RFC 8493, 2.2.4 allows others), which the tag manifests cover: a line a file,
its path in the bag, two spaces, and the reason.
"""

from __future__ import annotations

from collections.abc import Iterable

LEFT_OUT = "left-out.txt"


def write_left_out(missing: Iterable[tuple[str, str]]) -> bytes:
    """The file: paths below data/, each with its reason."""
    return "".join(f"data/{path}  {reason}\n" for path, reason in missing).encode()


def read_left_out(content: bytes) -> tuple[str, ...]:
    """The lines of the file."""
    lines = content.decode("utf-8", "replace").splitlines()
    return tuple(line for line in lines if line.strip())
