"""One at a time at one place: a file that only one can make says who is there."""

from __future__ import annotations

import hashlib
import os
import platform
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import msgspec

from archivist.errors import ArchiveError

LOCK = ".release-lock.json"
"""In the folder itself, which may be a public one: nothing in it names a person or a computer."""

AT_WORK = ".at-work.json"
"""In the folder of an archive, while a command takes in, restores or erases."""


class Holder(msgspec.Struct, frozen=True):
    """Who releases into a folder: process, a digest of the computer's name, and since when."""

    process: int
    computer: str
    since: str

    @property
    def here(self) -> bool:
        """Whether that is this computer."""
        return self.computer == _this_computer()

    @property
    def gone(self) -> bool:
        """Whether it is certain that it runs no more: its computer was switched off, say.

        On Windows that cannot be asked without harm (`os.kill` ends the process there), so
        nothing is certain.
        """
        if not self.here or os.name != "posix":
            return False
        try:
            os.kill(self.process, 0)
        except ProcessLookupError:
            return True
        except (OSError, OverflowError):
            return False
        return False


@contextmanager
def locked(folder: Path, lock: str = LOCK, what: str = "release") -> Iterator[None]:
    """Keeps others of the same kind out of `folder` while the block runs; `what` names the kind.

    What a killed one left is taken over where it is certain that it was killed.

    Raises:
        ArchiveError: where another is at work in it; nothing is changed.
        OSError: where `folder` is not there or cannot be written.
    """
    path = folder / lock
    left = _holder(path)
    if left is not None and left.gone:
        path.unlink(missing_ok=True)
    mine = Holder(os.getpid(), _this_computer(), datetime.now(UTC).isoformat(timespec="seconds"))
    try:
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
    except FileExistsError:
        raise _taken(folder, path, _holder(path), what) from None
    try:
        with os.fdopen(file, "wb") as opened:
            opened.write(msgspec.json.encode(mine))
        yield
    finally:
        path.unlink(missing_ok=True)


def abandoned(folder: Path, lock: str = LOCK) -> bool:
    """Whether whoever was at work in `folder` was certainly ended."""
    holder = _holder(folder / lock)
    return holder is not None and holder.gone


def _holder(path: Path) -> Holder | None:
    """Who is named in the lock, None where there is none or it cannot be read."""
    try:
        return msgspec.json.decode(path.read_bytes(), type=Holder)
    except (OSError, msgspec.DecodeError):
        return None


def _taken(folder: Path, path: Path, holder: Holder | None, what: str) -> ArchiveError:
    who = ""
    if holder is not None:
        place = "on this computer" if holder.here else "on another computer"
        who = f" (process {holder.process} {place}, since {holder.since})"
    return ArchiveError(
        f"Another {what} is at work in {folder}{who}.",
        "Nothing was changed. Wait until it is done, and run the same command again. If none is "
        f"running, one was killed there: delete the file {path}.",
    )


def _this_computer() -> str:
    """A digest of this computer's name, to compare."""
    return hashlib.sha256(platform.node().encode("utf-8")).hexdigest()[:16]
