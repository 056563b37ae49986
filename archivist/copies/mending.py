"""An archive mended from its copies, and the copies from it.

Good bytes are those that fit a digest which an undamaged record states; majorities do not count.
What is damaged in a copy is kept there under another name.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from archivist.catalogue.archive import CATALOGUE, Archive
from archivist.catalogue.database import migrations
from archivist.catalogue.holdings import note_sound, originals, write_inventory
from archivist.catalogue.originals import FOLDER, OriginalStore
from archivist.catalogue.settings import FILE_NAME
from archivist.copies.generation import (
    FILES,
    Generation,
    erasures,
    generations,
    known_actions,
)
from archivist.copies.places import Standing, brought, identity_of, places
from archivist.digests import digest_file
from archivist.durable import replace
from archivist.errors import ArchiveError, ArchivistError
from archivist.release.mending import mend_facts_from

DAMAGED = "damaged"
"""Where in a copy the damaged files are kept that others took the place of."""


@dataclass
class Mended:
    """What was mended in the archive and in its copies, and what could not be."""

    originals: int = 0
    facts: int = 0
    in_copies: int = 0
    problems: list[str] = field(default_factory=list)


def mend(archive: Archive) -> Mended:
    """Mends what is damaged in the archive from whichever copy has it whole, then the copies."""
    done = Mended()
    there = list(_there(archive, done))
    for place in there:
        done.facts += _mend_facts(archive, place, done)
    for item in originals(archive.catalogue):
        if not archive.store.is_whole(item.sha256, item.extension):
            done.originals += _mend_original(archive, item.sha256, item.extension, there, done)
    archive.store.sync()
    for place in there:
        done.in_copies += _mend_copy(archive, place)
        standing: Standing = brought(archive, place)
        done.in_copies += standing.copied
        done.problems += [f"{place}: {words}" for words in standing.problems]
    write_inventory(archive.catalogue, archive.store)
    return done


def _there(archive: Archive, done: Mended) -> Iterator[Path]:
    for id_, place in places(archive):
        identity = identity_of(place)
        if identity is not None and identity.copy == id_:
            yield place
        else:
            done.problems.append(f"{place} is not there: is its disk mounted?")


def _mend_facts(archive: Archive, place: Path, done: Mended) -> int:
    """The facts from the newest generation of the same history that holds nothing erased since."""
    mine = known_actions(archive.catalogue.connection)
    erased = erasures(archive.catalogue.connection)
    for generation in generations(place):
        theirs = frozenset(generation.listed.log)
        if not (theirs <= mine or mine <= theirs) or generation.listed.erased < erased:
            continue
        with generation.opened() as connection:
            (schema,) = connection.execute("PRAGMA user_version").fetchone()
            if schema != len(migrations()):
                continue
            mended, sealed = mend_facts_from(archive, connection)
        if sealed:
            done.problems.append(f"{sealed} facts had lost their digests and stay as they lie")
        return mended
    return 0


def _mend_original(
    archive: Archive, sha256: str, extension: str, there: list[Path], done: Mended
) -> bool:
    for place in there:
        store = OriginalStore(place / FOLDER)
        source = store.place_of(sha256, extension)
        if source is None or not source.is_file():
            continue
        try:
            archive.store.take_in(source, extension, expected_sha256=sha256)
        except ArchivistError:
            continue  # it is damaged in that copy too
        note_sound(archive.catalogue, sha256)
        return True
    done.problems.append(f"the original {sha256}{extension} is whole in no copy")
    return False


def _mend_copy(archive: Archive, place: Path) -> int:
    """Puts whole files in the place of damaged ones, which are kept aside."""
    store, mended = OriginalStore(place / FOLDER), 0
    for item in originals(archive.catalogue):
        path = store.place_of(item.sha256, item.extension)
        if path is None or not path.exists() or store.is_whole(item.sha256, item.extension):
            continue
        if archive.store.is_whole(item.sha256, item.extension):
            found = digest_file(path).sha256 if path.is_file() else "folder"
            aside = place / DAMAGED / f"{path.stem}-{found[:16]}{path.suffix}"
            aside.parent.mkdir(exist_ok=True)
            path.replace(aside)
            source = archive.store.path_of(item.sha256, item.extension)
            store.take_in(source, item.extension, expected_sha256=item.sha256)
            mended += 1
    store.sync()
    return mended


def put_back_catalogue(folder: Path, place: Path) -> Generation:
    """Puts the newest whole catalogue of a copy in the place of one that cannot be used, which is
    kept beside it; with it the settings, where these are gone.

    Raises:
        ArchiveError: where the place holds no whole copy, or a copy of another archive.
    """
    newest = next(iter(generations(place)), None)
    if identity_of(place) is None or newest is None:
        raise ArchiveError(
            f"{place} holds no whole copy of an archive.",
            "Nothing was changed. Is its disk mounted? Else try another copy.",
        )
    settings = folder / FILE_NAME
    if settings.is_file() and newest.listed.archive not in settings.read_text("utf-8", "replace"):
        raise ArchiveError(
            f"{place} is a copy of the archive {newest.listed.archive}; {folder} is another.",
            "Nothing was changed.",
        )
    if not settings.is_file():
        shutil.copyfile(place / FILES / newest.listed.files[FILE_NAME], settings)
    current = folder / CATALOGUE
    if current.exists():
        number = 1
        while (aside := folder / f"{CATALOGUE}.damaged-{number}").exists():
            number += 1
        current.replace(aside)
    (folder / f"{CATALOGUE}-journal").unlink(missing_ok=True)
    beside = current.with_name(f"{CATALOGUE}.new")
    shutil.copyfile(newest.catalogue, beside)
    replace(beside, current)
    return newest
