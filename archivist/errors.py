"""Everything that can go wrong and that an owner can do something about.

    ArchivistError
    ├── CannotStart            what was asked for cannot begin (exit 2)
    │   ├── ArchiveError       the archive folder, its settings or its catalogue
    │   ├── SettingsError      archive.toml
    │   ├── SelectionError     no such record, audience, exporter, date range ...
    │   ├── PluginError        a plugin that cannot be loaded or ordered
    │   └── SigningError       a key that cannot be read, or is of the wrong kind
    ├── SourceError            one file or row of old material (the rest goes on)
    ├── RecordError            one record, or one edit of it
    ├── ConflictError          a change that would overwrite somebody's later work
    ├── PackageError           one file or path of a package being written
    └── FixityError            bytes that are not what was recorded

An `ArchivistError` is shown as its message and nothing else; any other exception is a bug and is
shown as one. A message says what happened, to which file or record, what is safe, what to do next.
"""

from __future__ import annotations


class ArchivistError(Exception):
    """Base of every error that is meant for the owner's eyes.

    `message` says what happened and to what; `remedy` what to do next.
    """

    exit_code = 1

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.message}\n{self.remedy}" if self.remedy else self.message


class CannotStart(ArchivistError):  # noqa: N818 - reads as what it tells the owner
    """What was asked for cannot begin; nothing was changed."""

    exit_code = 2


class ArchiveError(CannotStart):
    """The folder is not an archive, is of a newer program, is locked, or is damaged."""


class SettingsError(CannotStart):
    """`archive.toml` cannot be read or lacks what it must have."""


class SelectionError(CannotStart):
    """What was asked for by name is not there: a record, an audience, an exporter, a date range."""


class PluginError(CannotStart):
    """A plugin cannot be loaded, clashes with another, or cannot be put in order."""


class SigningError(CannotStart):
    """A key is not there, cannot be read, is of the wrong kind, or has another passphrase."""


class SourceError(ArchivistError):
    """One file or row of old material cannot be read; the rest goes on."""


class RecordError(ArchivistError):
    """One record, or one edit of it, is not acceptable; the record stays as it was."""


class ConflictError(ArchivistError):
    """A change would overwrite later work; nothing was changed."""


class PackageError(ArchivistError):
    """A path or file of a package being written is not acceptable."""


class FixityError(ArchivistError):
    """Bytes are not what was recorded when they came in."""
