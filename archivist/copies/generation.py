"""A generation: the catalogue as it was at one moment, with the plain files beside it.

Nothing in a copy is ever overwritten. Files lie under the digest of their bytes; the catalogue,
made by SQLite's own backup, in a folder that is named by a number and the digest of the list within
it. A generation counts once everything in the list proves, so that no store needs to rename in one
step.
"""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import msgspec

from archivist.catalogue.archive import CATALOGUE, Archive
from archivist.catalogue.settings import FILE_NAME
from archivist.digests import copy_stream, digest_file
from archivist.durable import sync, sync_folders

GENERATIONS = "generations"
FILES = "files"
LIST = "list.json"
KEPT = 3
"""Whole generations that are kept in each copy."""


class Listed(msgspec.Struct, frozen=True):
    """What a generation holds: digests by name, the log of actions, and how many were erased."""

    archive: str
    made: str
    catalogue: str
    files: dict[str, str]
    log: tuple[str, ...]
    erased: int


@dataclass(frozen=True)
class Generation:
    """One generation in a copy, proven whole."""

    folder: Path
    number: int
    listed: Listed

    @property
    def catalogue(self) -> Path:
        """Its catalogue; it is never written to."""
        return self.folder / CATALOGUE

    @contextmanager
    def opened(self) -> Iterator[sqlite3.Connection]:
        """Its catalogue, to read from."""
        uri = f"{self.catalogue.resolve().as_uri()}?immutable=1"
        with closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as connection:
            connection.row_factory = sqlite3.Row
            yield connection


def log_of(connection: sqlite3.Connection) -> tuple[str, ...]:
    """The actions of a catalogue, in their order: its place in the history."""
    return tuple(row["id"] for row in connection.execute("SELECT id FROM action ORDER BY number"))


def known_actions(connection: sqlite3.Connection) -> frozenset[str]:
    """The actions that a catalogue has, or had before it was damaged."""
    rows = connection.execute(
        "SELECT id FROM action UNION SELECT key FROM digest WHERE facts = 'action'"
    )
    return frozenset(row["id"] for row in rows)


def generations(copy: Path) -> tuple[Generation, ...]:
    """The whole generations in a copy, the newest first; what does not prove is none."""
    found = [g for folder in _folders(copy) if (g := _proven(copy, folder)) is not None]
    return tuple(sorted(found, key=lambda g: g.number, reverse=True))


def unproven(copy: Path) -> tuple[Path, ...]:
    """The folders of generations that do not prove: damaged, or never finished."""
    return tuple(folder for folder in _folders(copy) if _proven(copy, folder) is None)


def _folders(copy: Path) -> list[Path]:
    folder = copy / GENERATIONS
    return sorted(p for p in folder.iterdir() if p.is_dir()) if folder.is_dir() else []


def _proven(copy: Path, folder: Path) -> Generation | None:
    number, _, digest = folder.name.partition("-")
    try:
        data = (folder / LIST).read_bytes()
        if hashlib.sha256(data).hexdigest() != digest or not number.isdigit():
            return None
        listed = msgspec.json.decode(data, type=Listed)
        if digest_file(folder / CATALOGUE).sha256 != listed.catalogue:
            return None
        for sha256 in listed.files.values():
            if digest_file(copy / FILES / sha256).sha256 != sha256:
                return None
    except (OSError, msgspec.MsgspecError):
        return None
    return Generation(folder, int(number), listed)


def write_generation(archive: Archive, copy: Path) -> Generation | None:
    """Writes the catalogue and the plain files as they are; None where the newest has all of it."""
    newest = next(iter(generations(copy)), None)
    incoming = copy / GENERATIONS / f"incoming-{uuid.uuid4().hex}"
    incoming.mkdir(parents=True)
    try:
        with closing(sqlite3.connect(incoming / CATALOGUE)) as target:
            archive.catalogue.connection.backup(target)
        listed = Listed(
            archive=archive.settings.id,
            made=archive.catalogue.now(),
            catalogue=_synced(incoming / CATALOGUE),
            files=_write_files(archive, copy),
            log=log_of(archive.catalogue.connection),
            erased=erasures(archive.catalogue.connection),
        )
        if newest and (newest.listed.catalogue, newest.listed.files) == (
            listed.catalogue,
            listed.files,
        ):
            return None
        data = msgspec.json.encode(listed)
        (incoming / LIST).write_bytes(data)
        _synced(incoming / LIST)
        numbers = [int(f.name.split("-")[0]) for f in _folders(copy) if f.name[:1].isdigit()]
        number = max(numbers, default=0) + 1
        place = incoming.with_name(f"{number:08d}-{hashlib.sha256(data).hexdigest()}")
        sync_folders({incoming})
        incoming.rename(place)
        sync_folders({place.parent})
    finally:
        shutil.rmtree(incoming, ignore_errors=True)
    return _proven(copy, place)


def erasures(connection: sqlite3.Connection) -> int:
    """How many erasures there were: every one is an action of its own."""
    row = connection.execute("SELECT count(*) FROM action WHERE kind = 'erase'").fetchone()
    return int(row[0])


def remove_old(copy: Path, erased: int) -> None:
    """Removes generations but the newest whole ones, all that hold what was erased since, and
    files that no generation names."""
    whole = generations(copy)
    kept = [g for g in whole if g.listed.erased >= erased][:KEPT]
    if not kept:
        return
    for folder in _folders(copy):
        if folder not in [g.folder for g in kept]:
            shutil.rmtree(folder, ignore_errors=True)
    named = {sha256 for g in kept for sha256 in g.listed.files.values()}
    for file in (copy / FILES).iterdir():
        if file.name not in named:
            file.unlink(missing_ok=True)


def _write_files(archive: Archive, copy: Path) -> dict[str, str]:
    """The settings and the proposals under their digests; digests by their names."""
    (copy / FILES).mkdir(exist_ok=True)
    written: dict[str, str] = {}
    paths = [p for p in archive.proposals.rglob("*") if p.is_file()]
    for path in sorted([archive.folder / FILE_NAME, *paths]):
        data = path.read_bytes()
        sha256 = hashlib.sha256(data).hexdigest()
        place = copy / FILES / sha256
        if not place.exists() or digest_file(place).sha256 != sha256:
            beside = place.with_suffix(".part")
            beside.write_bytes(data)
            _synced(beside)
            beside.replace(place)
        written[path.relative_to(archive.folder).as_posix()] = sha256
    sync_folders({copy / FILES})
    return written


def _synced(path: Path) -> str:
    """The digest of a file as it is on the disk."""
    with path.open("rb+") as file:
        sync(file.fileno())
        return copy_stream(file, None, sha512=False).sha256
