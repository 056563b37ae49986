"""Calls plugins and handles what goes wrong in them: named, contained, and the others go on."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from archivist.errors import ArchiveError, ArchivistError
from archivist.plugins import Origin


@dataclass(frozen=True)
class PluginFailure:
    """What went wrong: in which plugin, at which record or file, and why."""

    origin: Origin
    subject: str
    reason: str

    def __str__(self) -> str:
        at = f" at {self.subject}" if self.subject else ""
        return f"{self.origin}{at}: {self.reason}"


@contextmanager
def contained(origin: Origin, subject: str, failures: list[PluginFailure]) -> Iterator[None]:
    """Runs a plugin's work; what it raises becomes a failure in `failures`.

    A disk that is full is not the plugin's fault and would befall the next one too.

    Raises:
        ArchiveError: where the disk is full.
        KeyboardInterrupt: as it comes.
    """
    try:
        yield
    except OSError as problem:
        if problem.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)):
            raise ArchiveError(
                f"The disk is full ({origin}, {subject}).",
                "What was half written is removed, and the archive is untouched. Make room, or "
                "name another place with --to, and run the same command again.",
            ) from problem
        failures.append(PluginFailure(origin, subject, f"{problem}"))
    except ArchivistError as problem:
        failures.append(PluginFailure(origin, subject, str(problem).replace("\n", " ")))
    except (Exception, SystemExit) as problem:  # noqa: BLE001 - a stranger's code
        failures.append(PluginFailure(origin, subject, f"{type(problem).__name__}: {problem}"))
