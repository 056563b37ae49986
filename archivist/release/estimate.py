"""How large a release will be, and whether there is room for it."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import msgspec

from archivist.catalogue.archive import Archive
from archivist.release.request import Request


@dataclass(frozen=True)
class Estimate:
    """What a release takes: pieces, photographs, bytes of pictures, bytes free at its place."""

    pieces: int
    photographs: int
    size: int
    free: int


def estimate(archive: Archive, request: Request) -> Estimate:
    """How large a release will be: about one copy of the originals of the pictures in it.

    How much of that an exporter writes is its own affair; one that writes words alone takes little.
    """
    connection = archive.catalogue.connection
    if request.whole_archive:
        (count, size) = connection.execute(
            "SELECT count(*), coalesce(sum(size), 0) FROM original"
        ).fetchone()
    else:
        wanted = msgspec.json.encode(request.objects).decode("utf-8")
        (count, size) = connection.execute(
            "SELECT count(*), coalesce(sum(size), 0) FROM original WHERE sha256 IN "
            "(SELECT key FROM current JOIN depiction ON depiction.photograph = current.entity "
            "WHERE depiction.object IN (SELECT value FROM json_each(?1) UNION SELECT entity "
            "FROM current WHERE merged_into IN (SELECT value FROM json_each(?1))))",
            (wanted,),
        ).fetchone()
    return Estimate(len(request.objects), count, size, _free(request.to))


def _free(place: Path) -> int:
    """Bytes free where `place` is or will be."""
    folder = place.resolve()
    while not folder.exists():
        folder = folder.parent
    return shutil.disk_usage(folder).free
