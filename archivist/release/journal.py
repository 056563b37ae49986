"""The journal of a publication: which files are there, who wrote them, and what is half done.

A line a unit, the last one of each unit counting. It may list hundreds of thousands of files, so
what it says of the files of a unit is taken apart only when somebody asks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TextIO

import msgspec

from archivist.catalogue.originals import write_whole
from archivist.errors import PackageError, SelectionError
from archivist.names import check_path
from archivist.release.package import FileFacts, Settled

JOURNAL = "release-journal.jsonl"

SOUND = ""
"""The unit of the last line of a release that went well: it claims that all that is listed is so.

Whatever is written after it, by a release that is stopped or fails, takes the claim back.
"""


class Line(msgspec.Struct, frozen=True, omit_defaults=True):
    """One line: a unit about to change (`files` still old), or done.

    `files` is a list of `FileFacts`; `note` what the exporter keeps of the piece for the whole
    selection.
    """

    unit: str
    audience: str = ""
    fingerprint: str = ""
    done: bool = False
    files: msgspec.Raw = msgspec.Raw(b"[]")
    note: str = ""

    def settled(self, folder: Path) -> Settled:
        """The unit as it lies in `folder`."""
        return Settled(folder, bytes(self.files), self.note)


class Journal:
    """The journal in `folder`, of a publication for `audience`.

    `units` are the last lines by unit; `sound` whether the last release went well.
    """

    def __init__(self, folder: Path, audience: str) -> None:
        self.folder = folder
        self.path = folder / JOURNAL
        self.units: dict[str, Line] = {}
        self.sound = False
        self._audience = audience
        self._owners: dict[str, dict[str, str]] = {}
        self._log: TextIO | None = None

    def read(self) -> None:
        """Reads the journal; a unit whose last line is not `done` counts as changed.

        Raises:
            SelectionError: where the folder holds what no release put there, or what was released
                for another audience.
            PackageError: where a path is listed that leads out of the folder.
        """
        if not self.path.exists():
            if any(not path.name.startswith(".") for path in self.folder.iterdir()):
                raise SelectionError(
                    f"{self.folder} holds files that no release put there.",
                    "Nothing was changed. Name a new or empty folder.",
                )
            return
        decoder = msgspec.json.Decoder(Line)
        for text in self.path.read_bytes().split(b"\n"):
            try:
                line = decoder.decode(text)
            except msgspec.DecodeError:
                continue  # the last line of a run that was cut off: its unit is done again
            if line.audience != self._audience:
                raise SelectionError(
                    f"{self.folder} holds a release for '{line.audience}', not for "
                    f"'{self._audience}'.",
                    "Nothing was changed. Name another folder, so that nothing private gets in.",
                )
            self.sound = line.unit == SOUND
            if not self.sound:
                _refuse_paths_outside(line)
                self.units[line.unit] = line

    def open(self) -> None:
        """Opens the journal to add to it."""
        self._log = self.path.open("a", encoding="utf-8", newline="\n")

    def close(self) -> None:
        """Closes it; one that lists nothing goes."""
        if self._log is not None:
            self._log.close()
        if not self.units:
            self.path.unlink(missing_ok=True)

    def note(
        self,
        unit: str,
        files: Iterable[FileFacts],
        *,
        fingerprint: str = "",
        done: bool = False,
        note: str = "",
    ) -> Line:
        """Adds the line of a unit."""
        raw = msgspec.Raw(msgspec.json.encode(list(files)))
        line = Line(unit, self._audience, fingerprint, done, raw, note)
        self.units[unit] = line
        assert self._log is not None
        self._log.write(_text(line))
        self._log.flush()
        return line

    def shorten(self, *, sound: bool) -> None:
        """Writes the journal anew with the last line of each unit, and whether all went well."""
        assert self._log is not None
        self._log.close()
        lines = list(self.units.values())
        if sound and lines:
            lines.append(Line(SOUND, self._audience, done=True))
        write_whole(self.path, "".join(map(_text, lines)))

    # Who wrote which file

    def owner(self, path: str) -> str | None:
        """The unit that a file belongs to: the last that is listed with it."""
        return self._owned_like(path).get(path)

    def claim(self, unit: str, paths: Iterable[str], seen: Iterable[str]) -> None:
        """Gives `paths` to `unit`, unless one belongs to another that was `seen` in this run.

        Raises:
            PackageError: naming that other unit.
        """
        before = self.units.get(unit)
        own = {fact[0] for fact in before.settled(self.folder).facts} if before else set()
        for path in paths:
            if self.sound and path in own and path.split("/", 1)[0] not in self._owners:
                continue  # all went well before, and nobody has asked for a file of another since
            owner = self.owner(path)
            if owner not in (None, unit) and owner in seen:
                raise PackageError(
                    f"'{path}' was written by '{owner}' already.",
                    "Give each file a name of its own; pieces can be told apart by their slug.",
                )
            self._owned_like(path)[path] = unit

    def let_go(self, path: str) -> None:
        """The file belongs to nobody any more."""
        self._owned_like(path).pop(path, None)

    def _owned_like(self, path: str) -> dict[str, str]:
        """The owner of each file of the exporter that wrote `path`, made when first asked for."""
        exporter = path.split("/", 1)[0]
        if exporter not in self._owners:
            self._owners[exporter] = dict(self._files_of(exporter))
        return self._owners[exporter]

    def _files_of(self, exporter: str) -> Iterator[tuple[str, str]]:
        for key, line in self.units.items():
            if key.startswith(f"{exporter}/"):
                yield from ((fact[0], key) for fact in line.settled(self.folder).facts)


def _text(line: Line) -> str:
    return msgspec.json.encode(line).decode("utf-8") + "\n"


_SUSPECT = (b"..", b"\\", b":", b'["/')
"""One of these stands in the list of files if a path in it leads out of the folder."""


def _refuse_paths_outside(line: Line) -> None:
    """What is listed may be removed, so it must lie in the folder."""
    raw = bytes(line.files)
    if any(sign in raw for sign in _SUSPECT):
        for path, *_ in msgspec.json.decode(raw, type=tuple[FileFacts, ...]):
            check_path(path)
