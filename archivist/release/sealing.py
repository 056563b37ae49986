"""What is done to a package once it is whole: signing it, zipping it, and taking its digests."""

from __future__ import annotations

import shutil
import zipfile
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

from archivist.digests import digest_file
from archivist.signing import SIGNED_FILE, Signer

ZIP = ".zip"
_READABLE = 0o100644 << 16
"""A plain file that everybody may read, in the upper half of a zip's external attributes."""

_UNIX = 3
_FIRST_YEAR = 1980
"""The first year that the zip format can tell (APPNOTE 4.4.6)."""


def sealed_folders(place: Path) -> tuple[Path, ...]:
    """The packages at `place`: itself, else whatever below it is sealed; not what those hold."""
    if (place / SIGNED_FILE).is_file():
        return (place,)
    if not place.is_dir():
        return ()
    inside = (sealed_folders(path) for path in sorted(place.iterdir()) if path.is_dir())
    return tuple(found for some in inside for found in some)


def sign(place: Path, signer: Signer) -> int:
    """Signs every package at `place`; how many."""
    return sum(signer.seal(folder) for folder in sealed_folders(place))


def zip_packages(
    place: Path, made: str, compare: Callable[[Path], None] = lambda path: None
) -> tuple[Path, ...]:
    """Beside every package at `place` the same as a zip that unpacks into one folder.

    `compare` is given each zip before it has its name, and raises where it is not what it should
    be.
    """
    zips = []
    for folder in sealed_folders(place):
        target = folder.with_name(f"{folder.name}{ZIP}")
        zip_folder(folder, target, made, compare)
        zips.append(target)
    return tuple(zips)


def zip_folder(
    folder: Path, target: Path, made: str, compare: Callable[[Path], None] = lambda path: None
) -> None:
    """Writes the files of `folder` into the zip `target`, which appears whole or not at all.

    The same files give the same bytes anywhere: in the order of their paths, with `made` (RFC
    3339) as their date, and stored as they are, since compressed bytes depend on the compressor
    and photographs are compressed already.

    Raises:
        OSError: where it cannot be written.
    """
    at = datetime.fromisoformat(made)
    date = (max(at.year, _FIRST_YEAR), at.month, at.day, at.hour, at.minute, at.second)
    unfinished = target.with_name(f".{target.name}.part")
    try:
        with zipfile.ZipFile(unfinished, "w", zipfile.ZIP_STORED) as archive:
            for path in sorted(p for p in folder.rglob("*") if p.is_file()):
                name = f"{folder.name}/{path.relative_to(folder).as_posix()}"
                member = zipfile.ZipInfo(name, date)
                member.create_system = _UNIX
                member.external_attr = _READABLE
                member.file_size = path.stat().st_size
                with path.open("rb") as source, archive.open(member, "w") as copy:
                    shutil.copyfileobj(source, copy, 1 << 20)
        compare(unfinished)
        unfinished.replace(target)
    finally:
        unfinished.unlink(missing_ok=True)


def digests_of(place: Path, documents: Iterable[str]) -> tuple[str, ...]:
    """The SHA-256 by which what lies at `place` is known again, should it be seen years later.

    Of every package that of its seal; of every document (`documents` are the folders in which they
    stand, named after their exporters) that of its file, since it may be handed on alone.
    """
    seals = [folder / SIGNED_FILE for folder in sealed_folders(place)]
    files = [
        path
        for name in documents
        for folder in (place, *place.rglob(name))
        if folder.name == name or not seals
        for path in sorted(folder.glob("*"))
        if path.is_file()
    ]
    found = (digest_file(path).sha256 for path in (*seals, *files))
    return tuple(dict.fromkeys(found))
