"""Where released files go: into a new package, or into a publication that is kept up to date."""

from __future__ import annotations

import os
import shutil
import stat
import time
import uuid
from collections.abc import Callable, Set
from contextlib import ExitStack, suppress
from pathlib import Path
from types import TracebackType

from archivist.durable import sync_folders
from archivist.hooks import WrittenFile
from archivist.locking import abandoned, locked
from archivist.release.journal import Journal
from archivist.release.package import Settled, file_facts, remove_empty, settled_files
from archivist.release.running import Unit
from archivist.release.sealing import ZIP

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
        self._locked = ExitStack()
        self._above = [above for above in place.parents if not above.exists()]

    def __enter__(self) -> NewPackage:
        self._work.mkdir(parents=True)
        self._locked.enter_context(locked(self._work))
        for left in self._work.parent.glob(f"{_WORK}*"):
            with suppress(OSError):
                old = time.time() - left.stat().st_mtime > _LONGEST_RELEASE
                if left != self._work and (old or abandoned(left)):
                    shutil.rmtree(left, ignore_errors=True)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._locked.close()
        shutil.rmtree(self._work, ignore_errors=True)
        for folder in self._above:  # made for this package, and left only where it is in them
            with suppress(OSError):
                folder.rmdir()

    def settled(self, unit: Unit, *, trusted: bool = False) -> None:
        """Nothing is there before it is written."""
        return

    def workplace(self, unit: Unit) -> Path:
        return self._work / _PARTS / unit.exporter

    def settle(self, unit: Unit, files: tuple[WrittenFile, ...], note: str = "") -> Settled:
        return settled_files(self._work / _PARTS, files, note)

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
                sync_folders({place.parent})
            except OSError:
                if not place.exists():
                    raise
                continue  # another release took that name a moment ago
            return place


_PARTS = "parts"
_WHOLE = "whole"


def _holds_files(folder: Path) -> bool:
    return any(path.is_file() for path in folder.rglob("*"))


def _free(place: Path) -> Path:
    """`place`, or the first of 'place-2', 'place-3' ... that is not there yet, nor as a zip."""
    number, free = 1, place
    while free.exists() or free.with_name(f"{free.name}{ZIP}").exists():
        number += 1
        free = place.with_name(f"{place.name}-{number}")
    return free


class Publication:
    """A folder of files that are updated one by one, as the journal in it tells.

    Stopped at any moment, the next run finds in the journal which unit was being changed and does
    it again. Files that are in the journal and no longer wanted are removed; others are not
    touched.
    """

    def __init__(self, folder: Path, audience: str) -> None:
        self._folder = folder
        self._root = os.fspath(folder)
        self._journal = Journal(folder, audience)
        self._seen: set[str] = set()
        self._work = folder / f"{_WORK}{uuid.uuid4().hex[:8]}"

    def __enter__(self) -> Publication:
        self._folder.mkdir(parents=True, exist_ok=True)
        with ExitStack() as opened:
            opened.enter_context(locked(self._folder))
            self._journal.read()
            for left in self._folder.glob(f"{_WORK}*"):
                shutil.rmtree(left, ignore_errors=True)
            self._journal.open()
            self._opened = opened.pop_all()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with self._opened:
            shutil.rmtree(self._work, ignore_errors=True)
            self._journal.close()

    def settled(self, unit: Unit, *, trusted: bool = False) -> Settled | None:
        """The unit as it is there already, if nothing that it depends on changed.

        One that is `trusted` is not looked at, if all went well the last time.
        """
        self._seen.add(unit.key)
        line = self._journal.units.get(unit.key)
        if line is None or not line.done or line.fingerprint != unit.fingerprint:
            return None
        settled = line.settled(self._folder)
        if trusted and self._journal.sound:
            return settled
        return settled if all(self._is_whole(unit, *fact[:2]) for fact in settled.facts) else None

    def _is_whole(self, unit: Unit, path: str, size: int) -> bool:
        """Whether the unit's file is there and as long as it was; a look that costs little."""
        try:
            there = os.stat(f"{self._root}/{path}")  # noqa: PTH116 - a Path costs more than the look
        except OSError:
            return False
        regular = stat.S_ISREG(there.st_mode)
        return regular and there.st_size == size and self._journal.owner(path) == unit.key

    def workplace(self, unit: Unit) -> Path:
        return self._work / unit.exporter

    def settle(self, unit: Unit, files: tuple[WrittenFile, ...], note: str = "") -> Settled:
        self._journal.claim(unit.key, (file.path for file in files), self._seen)
        before = self._journal.units.get(unit.key)
        old = before.settled(self._folder).facts if before else ()
        facts = file_facts(files)
        # Both the old and the new files are named first, so that a run that is cut off here
        # leaves none that the next one does not know of.
        known = {fact[0]: fact for fact in (*old, *facts)}
        self._journal.note(unit.key, known.values())
        same = set(old) if before and before.done else set()
        moved = set() if old else self._move_folders(unit, files)
        for file, fact in zip(files, facts, strict=True):
            if file.path.split("/")[1] not in moved and not (fact in same and self._left(file)):
                self._place(file)
        wanted = {file.path for file in files}
        for path, *_ in old:
            if path not in wanted:
                self._remove(unit.key, path)
        line = self._journal.note(
            unit.key, facts, fingerprint=unit.fingerprint, done=True, note=note
        )
        return line.settled(self._folder)

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

    def finish(self, complete: Set[str], *, sound: bool = False) -> Path:
        """Removes units that were not asked for again; shortens the journal.

        Only of exporters that are `complete`: of one that could not begin nothing is removed.
        `sound` says that nothing failed, so that the next release may trust what is listed.
        """
        for key, line in list(self._journal.units.items()):
            if key.split("/")[0] in complete and key not in self._seen:
                for path, *_ in line.settled(self._folder).facts:
                    self._remove(key, path)
                del self._journal.units[key]
        self._journal.shorten(sound=sound)
        return self._folder

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
        if self._journal.owner(path) != key:
            return
        self._journal.let_go(path)
        location = self._folder.joinpath(*path.split("/"))
        location.unlink(missing_ok=True)
        remove_empty(location.parent, self._folder)
