"""Which reader reads a source, and all that it finds there, whatever goes wrong in it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from archivist.errors import SelectionError
from archivist.hooks import FoundFile, FoundRow, Reader, ReaderDescription, Trouble
from archivist.plugins import Plugins

SURE_ENOUGH = 0.25
"""What a reader must say of itself to be asked to read a source."""

TABLE_WITHIN = 0.55
"""How sure a reader must be of a file within a folder for the file to be read as a source."""

FOLDERS = "photo-folder"
"""The reader of folders, whose files are read as sources of their own where another is sure."""


@dataclass(frozen=True)
class Chosen:
    """A reader at work, what it says of itself, and how sure it is of a source."""

    description: ReaderDescription
    work: Reader
    sure: float = 1.0

    @property
    def name(self) -> str:
        """What it is called by."""
        return self.description.name


@dataclass
class Read:
    """All that a reader found."""

    rows: list[FoundRow] = field(default_factory=list)
    files: list[FoundFile] = field(default_factory=list)
    troubles: list[Trouble] = field(default_factory=list)


class SourceReaders:
    """The readers that there are."""

    def __init__(self, plugins: Plugins) -> None:
        self._plugins = plugins
        self._readers = plugins.of("reader", ReaderDescription)

    def chosen(self, path: Path, name: str = "") -> Chosen:
        """The reader of that name, else the one that is surest of a source.

        Raises:
            SelectionError: where the path does not exist or nothing can read it.
        """
        if not path.exists():
            raise SelectionError(
                f"There is no file or folder {path}.", "Nothing was surveyed. Check its name."
            )
        if name:
            description = self._plugins.named("reader", name, ReaderDescription)
            return Chosen(description, description.make(description.options()))
        best = self._surest(path)
        if best is None:
            names = ", ".join(d.name for d in self._readers) or "none"
            raise SelectionError(
                f"Nothing here can read {path}. The readers are: {names}.",
                "If one of them should, name it with --reader.",
            )
        return best

    def is_table(self, path: Path) -> bool:
        """Whether a file within a folder is read as a source of its own."""
        best = self._surest(path)
        return best is not None and best.sure >= TABLE_WITHIN and best.name != FOLDERS

    def _surest(self, path: Path) -> Chosen | None:
        best: Chosen | None = None
        for description in self._readers:
            work = description.make(description.options())
            try:
                sure = work.sure(path)
            except Exception:  # noqa: BLE001 - a stranger's reader that fails is not sure
                continue
            if sure > SURE_ENOUGH and (best is None or sure > best.sure):
                best = Chosen(description, work, sure)
        return best

    def read(self, path: Path, reader: Chosen) -> Read:
        """All that a reader finds; where it fails midway what it found before counts."""
        result = Read()
        try:
            for found in reader.work.read(path):
                if isinstance(found, FoundRow):
                    result.rows.append(found)
                elif isinstance(found, FoundFile):
                    result.files.append(found)
                else:
                    result.troubles.append(found)
        except Exception as problem:  # noqa: BLE001 - whatever a stranger's reader raises
            origin = self._plugins.origin("reader", reader.name)
            result.troubles.append(
                Trouble(
                    place=path.name,
                    reason=(
                        f"the reader '{reader.name}' of {origin} stopped: "
                        f"{type(problem).__name__}: {problem}"
                    ),
                    remedy="What it had found until then was used. Tell its author.",
                )
            )
        return result
