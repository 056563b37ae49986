"""Where released files go: into a new package, or into a publication that is kept up to date."""

from __future__ import annotations

import os
import shutil
import stat
import time
import uuid
from collections.abc import Callable, Iterable, Set
from contextlib import ExitStack, suppress
from pathlib import Path
from types import TracebackType

import msgspec

from archivist.catalogue.originals import write_whole
from archivist.errors import PackageError, SelectionError
from archivist.hooks import WrittenFile
from archivist.names import check_path
from archivist.release.locking import locked
from archivist.release.package import FileFacts, Settled, remove_empty
from archivist.release.running import Unit
from archivist.release.sealing import ZIP

JOURNAL = "release-journal.jsonl"
_WORK = ".unfinished-"
_LONGEST_RELEASE = 7 * 24 * 3600
"""Seconds after which work that was not finished is taken for what a killed program left."""


class NewPackage:
    """A package that nobody has seen until it is whole: built beside its place, then renamed.

    `keeps` names the exporters whose files stay in it; those of one alone become its root.
    """

    def __init__(self, place: Path, keeps: tuple[str, ...]) -> None:
        self._wanted = place
        self._keeps = keeps
        self._work = place.with_name(f"{_WORK}{uuid.uuid4().hex[:8]}")
        self._above = [above for above in place.parents if not above.exists()]

    def __enter__(self) -> NewPackage:
        self._work.mkdir(parents=True)
        for left in self._work.parent.glob(f"{_WORK}*"):
            with suppress(OSError):
                if time.time() - left.stat().st_mtime > _LONGEST_RELEASE:
                    shutil.rmtree(left, ignore_errors=True)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        shutil.rmtree(self._work, ignore_errors=True)
        for folder in self._above:  # made for this package, and left only where it is in them
            with suppress(OSError):
                folder.rmdir()

    def settled(self, unit: Unit) -> None:
        """Nothing is there before it is written."""
        return

    def workplace(self, unit: Unit) -> Path:
        return self._work / _PARTS / unit.exporter

    def settle(self, unit: Unit, files: tuple[WrittenFile, ...], note: str = "") -> Settled:
        return Settled(self._work / _PARTS, _facts(files), note)

    def finish(
        self, complete: Set[str], seal: Callable[[Path], object] = lambda folder: None
    ) -> Path | None:
        """Gives the package its name; None where nothing was written that it could hold.

        `seal` is the last to see it before that.
        """
        parts = (self._work / _PARTS / name for name in self._keeps)
        kept = [part for part in parts if _holds_files(part)]
        if not kept:
            return None
        whole = kept[0]
        if len(self._keeps) > 1:
            whole = self._work / _WHOLE
            whole.mkdir()
            for folder in kept:
                folder.rename(whole / folder.name)
        seal(whole)
        while True:
            place = _free(self._wanted)
            try:
                whole.rename(place)
            except OSError:
                if not place.exists():
                    raise
                continue  # another release took that name a moment ago
            return place


_PARTS = "parts"
_WHOLE = "whole"


def _facts(files: Iterable[WrittenFile]) -> tuple[FileFacts, ...]:
    return tuple((file.path, file.size, file.sha256, file.sha512) for file in files)


def _holds_files(folder: Path) -> bool:
    return any(path.is_file() for path in folder.rglob("*"))


def _free(place: Path) -> Path:
    """`place`, or the first of 'place-2', 'place-3' ... that is not there yet, nor as a zip."""
    number, free = 1, place
    while free.exists() or free.with_name(f"{free.name}{ZIP}").exists():
        number += 1
        free = place.with_name(f"{place.name}-{number}")
    return free


class _Line(msgspec.Struct, frozen=True, omit_defaults=True):
    """One line of the journal: a unit about to change (`files` still old), or done.

    `note` is what its exporter keeps of the piece for the whole selection.
    """

    unit: str
    audience: str = ""
    fingerprint: str = ""
    done: bool = False
    files: tuple[FileFacts, ...] = ()
    note: str = ""


class Publication:
    """A folder of files that are updated one by one, as the journal in it tells.

    Stopped at any moment, the next run finds in the journal which unit was being changed and does
    it again. Files that are in the journal and no longer wanted are removed; others are not
    touched.
    """

    def __init__(self, folder: Path, audience: str) -> None:
        self._folder = folder
        self._root = os.fspath(folder)
        self._audience = audience
        self._path = folder / JOURNAL
        self._units: dict[str, _Line] = {}
        self._owners: dict[str, str] = {}
        self._seen: set[str] = set()
        self._work = folder / f"{_WORK}{uuid.uuid4().hex[:8]}"

    def __enter__(self) -> Publication:
        self._folder.mkdir(parents=True, exist_ok=True)
        with ExitStack() as opened:
            opened.enter_context(locked(self._folder))
            self._read()
            for left in self._folder.glob(f"{_WORK}*"):
                shutil.rmtree(left, ignore_errors=True)
            self._log = opened.enter_context(self._path.open("a", encoding="utf-8", newline="\n"))
            self._opened = opened.pop_all()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with self._opened:
            self._log.close()
            shutil.rmtree(self._work, ignore_errors=True)
            if not self._units:
                self._path.unlink(missing_ok=True)

    def _read(self) -> None:
        """Reads the journal; a unit whose last line is not `done` counts as changed."""
        if not self._path.exists():
            if any(not path.name.startswith(".") for path in self._folder.iterdir()):
                raise SelectionError(
                    f"{self._folder} holds files that no release put there.",
                    "Nothing was changed. Name a new or empty folder.",
                )
            return
        decoder = msgspec.json.Decoder(_Line)
        for text in self._path.read_bytes().split(b"\n"):
            try:
                line = decoder.decode(text)
            except msgspec.DecodeError:
                continue  # the last line of a run that was cut off: its unit is done again
            if line.audience != self._audience:
                raise SelectionError(
                    f"{self._folder} holds a release for '{line.audience}', not for "
                    f"'{self._audience}'.",
                    "Nothing was changed. Name another folder, so that nothing private gets in.",
                )
            for path, *_ in line.files:
                check_path(path)  # what is listed may be removed, so it must lie in this folder
            self._units[line.unit] = line
        for line in self._units.values():
            self._owners.update((path, line.unit) for path, *_ in line.files)

    def settled(self, unit: Unit) -> Settled | None:
        self._seen.add(unit.key)
        line = self._units.get(unit.key)
        if line is None or not line.done or line.fingerprint != unit.fingerprint:
            return None
        whole = all(self._is_whole(unit, path, size) for path, size, _, _ in line.files)
        return Settled(self._folder, line.files, line.note) if whole else None

    def _is_whole(self, unit: Unit, path: str, size: int) -> bool:
        """Whether the unit's file is there and as long as it was; a look that costs little."""
        try:
            there = os.stat(f"{self._root}/{path}")  # noqa: PTH116 - a Path costs more than the look
        except OSError:
            return False
        regular = stat.S_ISREG(there.st_mode)
        return regular and there.st_size == size and self._owners.get(path) == unit.key

    def workplace(self, unit: Unit) -> Path:
        return self._work / unit.exporter

    def settle(self, unit: Unit, files: tuple[WrittenFile, ...], note: str = "") -> Settled:
        self._claim(unit, files)
        before = self._units.get(unit.key)
        old = before.files if before else ()
        facts = _facts(files)
        # Both the old and the new files are named first, so that a run that is cut off here
        # leaves none that the next one does not know of.
        known = {fact[0]: fact for fact in (*old, *facts)}
        self._note(_Line(unit.key, self._audience, files=tuple(known.values())))
        same = set(old) if before and before.done else set()
        moved = set() if old else self._move_folders(unit, files)
        for file, fact in zip(files, facts, strict=True):
            if file.path.split("/")[1] not in moved and not (fact in same and self._left(file)):
                self._place(file)
        wanted = {file.path for file in files}
        for path, *_ in old:
            if path not in wanted:
                self._remove(unit.key, path)
        self._note(_Line(unit.key, self._audience, unit.fingerprint, True, facts, note))
        return Settled(self._folder, facts, note)

    def _move_folders(self, unit: Unit, files: tuple[WrittenFile, ...]) -> set[str]:
        """Moves folders that only a new unit has, each whole, and gives their names.

        A photograph's tiles are hundreds of files in hundreds of folders.
        """
        names = {file.path.split("/")[1] for file in files if file.path.count("/") > 1}
        places = {name: self._folder / unit.exporter / name for name in names}
        new = {name: place for name, place in places.items() if not place.exists()}
        for name, place in new.items():
            place.parent.mkdir(parents=True, exist_ok=True)
            (self.workplace(unit) / name).rename(place)
        return set(new)

    def _claim(self, unit: Unit, files: tuple[WrittenFile, ...]) -> None:
        """Refuses a path that another unit of this run wrote; takes over one of an earlier run."""
        for file in files:
            owner = self._owners.get(file.path, unit.key)
            if owner != unit.key and owner in self._seen:
                raise PackageError(
                    f"'{file.path}' was written by '{owner}' already.",
                    "Give each file a name of its own; pieces can be told apart by their slug.",
                )
        self._owners.update((file.path, unit.key) for file in files)

    def finish(self, complete: Set[str]) -> Path:
        """Removes units that were not asked for again; shortens the journal.

        Only of exporters that are `complete`: of one that could not begin nothing is removed.
        """
        for key, line in list(self._units.items()):
            if key.split("/")[0] in complete and key not in self._seen:
                for path, *_ in line.files:
                    self._remove(key, path)
                del self._units[key]
        self._log.close()
        lines = (msgspec.json.encode(line).decode("utf-8") for line in self._units.values())
        write_whole(self._path, "".join(f"{line}\n" for line in lines))
        return self._folder

    def _note(self, line: _Line) -> None:
        self._units[line.unit] = line
        self._log.write(msgspec.json.encode(line).decode("utf-8") + "\n")
        self._log.flush()

    def _left(self, file: WrittenFile) -> bool:
        """Whether the same file lies there and was left, so that it need not be copied on again.

        Not where it is gone or has another size.
        """
        there = self._folder / file.path
        if not there.is_file() or there.stat().st_size != file.size:
            return False
        file.location.unlink()
        return True

    def _place(self, file: WrittenFile) -> None:
        """Moves one finished file over the one it replaces."""
        place = self._folder / file.path
        place.parent.mkdir(parents=True, exist_ok=True)
        file.location.replace(place)

    def _remove(self, key: str, path: str) -> None:
        """Removes a file of a unit, unless another unit has taken its path over."""
        if self._owners.get(path) != key:
            return
        del self._owners[path]
        location = self._folder.joinpath(*path.split("/"))
        location.unlink(missing_ok=True)
        remove_empty(location.parent, self._folder)
