"""The places in which copies are kept, and what stands in them.

A place bears an identity in a file of its own. Where that is not to be seen, the place is not
there: a disk that is not mounted leaves an empty folder, and that is never filled by mistake.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import EventType, Outcome, record_event
from archivist.catalogue.holdings import note_damage, originals
from archivist.catalogue.originals import FOLDER, OriginalStore, write_whole
from archivist.copies.generation import (
    erasures,
    generations,
    known_actions,
    log_of,
    remove_old,
    unproven,
    write_generation,
)
from archivist.errors import ArchiveError, ArchivistError

IDENTITY = "archivist-copy.json"

Progress = Callable[[int], None]


class Identity(msgspec.Struct, frozen=True):
    """Which copy of which archive a place holds."""

    copy: str
    archive: str


@dataclass
class Standing:
    """How one copy stands. `there` says whether the place was to be seen at all."""

    place: Path
    there: bool = True
    problems: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    copied: int = 0


def identity_of(place: Path) -> Identity | None:
    """What a place says of itself, None where it is not there or says nothing."""
    try:
        return msgspec.json.decode((place / IDENTITY).read_bytes(), type=Identity)
    except (OSError, msgspec.MsgspecError):
        return None


def places(archive: Archive) -> tuple[tuple[str, Path], ...]:
    """The copies that are kept: identity and place."""
    rows = archive.catalogue.connection.execute("SELECT id, place FROM copy ORDER BY added, id")
    return tuple((row["id"], Path(row["place"])) for row in rows)


def add(archive: Archive, place: Path, progress: Progress = lambda size: None) -> Standing:
    """Keeps a copy in `place`, a new or empty folder, or brings the one there up to date.

    Raises:
        ArchiveError: where the place is within the archive, holds anything else, or a copy of
            another archive.
    """
    place = place.resolve()
    if place.is_relative_to(archive.folder.resolve()):
        raise ArchiveError(
            f"{place} lies within the archive itself.",
            "Nothing was copied. Name a folder on another disk.",
        )
    identity = identity_of(place)
    if identity is None:
        identity = _begun(archive, place)
    elif identity.archive != archive.settings.id:
        raise ArchiveError(
            f"{place} holds a copy of the archive {identity.archive}, which is another.",
            "Nothing was copied. Name a folder of its own for this one.",
        )
    with archive.catalogue.transaction():
        archive.catalogue.connection.execute(
            "INSERT INTO copy VALUES (?, ?, ?) "
            "ON CONFLICT (id) DO UPDATE SET place = excluded.place",
            (identity.copy, str(place), archive.catalogue.now()),
        )
    return brought(archive, place, progress)


def _begun(archive: Archive, place: Path) -> Identity:
    known = {path for _, path in places(archive)}
    if place.exists() and (place in known or not place.is_dir() or any(place.iterdir())):
        raise ArchiveError(
            f"{place} is no empty folder, or held a copy that is not to be seen there now.",
            "Nothing was copied. Is its disk mounted? Else name a new folder.",
        )
    place.mkdir(parents=True, exist_ok=True)
    identity = Identity(str(uuid.uuid4()), archive.settings.id)
    write_whole(place / IDENTITY, msgspec.json.encode(identity).decode("utf-8"))
    return identity


def brought(archive: Archive, place: Path, progress: Progress = lambda size: None) -> Standing:
    """Copies what the place lacks; what is damaged in the archive is left out and named.

    Nothing is written where the histories of the two have parted.
    """
    standing = Standing(place)
    if not _may_follow(archive, place, standing):
        return standing
    store = OriginalStore(place / FOLDER)
    store.folder.mkdir(exist_ok=True)
    store.sweep()
    for item in originals(archive.catalogue):
        target = store.place_of(item.sha256, item.extension)
        if target is None or target.exists():
            continue
        try:
            source = archive.original_path(item.sha256)
            store.take_in(source, item.extension, progress, item.sha256)
            standing.copied += 1
        except ArchivistError as problem:
            note_damage(archive.catalogue, item.sha256)
            standing.problems.append(f"{problem.message} It was not copied.")
    store.sync()
    if _same_disk(archive.folder, place):
        standing.remarks.append("it lies on the same disk as the archive, and goes with it")
    write_generation(archive, place)
    remove_old(place, erasures(archive.catalogue.connection))
    return standing


def _may_follow(archive: Archive, place: Path, standing: Standing) -> bool:
    """Whether the archive is where the copy was, or further on."""
    newest = next(iter(generations(place)), None)
    if newest is None:
        return True
    mine, theirs = known_actions(archive.catalogue.connection), frozenset(newest.listed.log)
    if theirs <= mine:
        return True
    if mine <= theirs:
        standing.problems.append(
            f"it is {len(theirs) - len(mine)} actions further on than the archive, whose catalogue "
            "seems to be an old one: 'archivist copies mend --from PLACE' puts the newer in its "
            "place"
        )
    else:
        standing.problems.append(
            "its history and the archive's have parted: both were changed. Nothing was written; "
            "'archivist history' of each tells where"
        )
    return False


def _same_disk(one: Path, other: Path) -> bool:
    return one.stat().st_dev == other.stat().st_dev


def check(archive: Archive, progress: Progress = lambda size: None) -> tuple[Standing, ...]:
    """Compares every copy, byte for byte, and says how it stands."""
    found = tuple(_checked(archive, id_, place, progress) for id_, place in places(archive))
    lines = [f"{s.place}: {words}" for s in found for words in s.problems]
    if archive.catalogue.writable and found:
        outcome = Outcome.FAIL if lines else Outcome.SUCCESS
        detail = f"{len(found)} copies, SHA-256"
        record_event(archive.catalogue, EventType.FIXITY_CHECK, detail, outcome, "\n".join(lines))
    return found


def _checked(archive: Archive, id_: str, place: Path, progress: Progress) -> Standing:
    standing = Standing(place)
    identity = identity_of(place)
    if identity is None or identity.copy != id_:
        standing.there = False
        standing.problems.append("it is not there: is its disk mounted?")
        return standing
    store = OriginalStore(place / FOLDER)
    for item in originals(archive.catalogue):
        path = store.place_of(item.sha256, item.extension)
        if path is None or not path.exists():
            standing.problems.append(f"{item.sha256}{item.extension} is not in it")
        elif not store.is_whole(item.sha256, item.extension):
            standing.problems.append(f"{item.sha256}{item.extension} is damaged in it")
        progress(item.size)
    standing.problems.extend(
        f"the generation {folder.name[:12]} is damaged" for folder in unproven(place)
    )
    newest = next(iter(generations(place)), None)
    if newest is None:
        standing.problems.append("it holds no whole catalogue")
    elif _may_follow(archive, place, standing):
        behind = len(log_of(archive.catalogue.connection)) - len(newest.listed.log)
        if behind:
            standing.problems.append(
                f"it is {behind} actions behind: 'archivist copies add \"{place}\"' brings it up "
                "to date"
            )
    return standing


def forget_in_copies(archive: Archive) -> tuple[str, ...]:
    """After an erasure: every copy that is there is given a generation without the name, and the
    older ones are removed from it. Gives the places that are not there and still hold the name."""
    owing: list[str] = []
    for id_, place in places(archive):
        identity = identity_of(place)
        if identity is None or identity.copy != id_:
            owing.append(str(place))
        else:
            problems = brought(archive, place).problems
            owing.extend(f"{place}: {words}" for words in problems)
    return tuple(owing)
