"""What must outlast a loss of power: files and the folders that name them, made sure of on disk."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path


def sync(descriptor: int) -> None:
    """Makes sure that what was written to an open file is on the disk.

    Raises:
        OSError: where the disk does not say so; then the file counts as not written.
    """
    if sys.platform == "darwin":  # fsync there leaves it in the disk's own memory
        import fcntl

        with suppress(OSError):
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
            return
    os.fsync(descriptor)


def forget_cached(descriptor: int) -> bool:
    """Asks the system to forget what it holds of a file in memory, so that reading it reads the
    disk; whether the system can."""
    advise = getattr(os, "posix_fadvise", None)
    if advise is None:
        return False
    with suppress(OSError):
        advise(descriptor, 0, 0, os.POSIX_FADV_DONTNEED)
        return True
    return False


def sync_folders(folders: Iterable[Path]) -> None:
    """Makes sure that the names in folders are on the disk; Windows does so by itself.

    Raises:
        OSError: where the disk does not say so.
    """
    if os.name == "nt":
        return
    for folder in sorted(set(folders)):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def replace(source: Path, target: Path) -> None:
    """Renames a file over another, and makes sure of the name."""
    source.replace(target)
    sync_folders({target.parent})
