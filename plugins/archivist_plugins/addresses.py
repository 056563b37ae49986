"""The web addresses of what one release writes beside one another."""

from __future__ import annotations

from collections.abc import Container
from pathlib import PurePosixPath

from archivist.hooks import ArchiveFacts, DisclosedPhotograph, Package, Piece
from archivist.names import slug, web_base


def paths_of(package: Package) -> frozenset[str]:
    """The paths of what exporters wrote before this one."""
    return frozenset(file.path for file in package.companions())


def picture_address(
    piece: Piece, photo: DisclosedPhotograph, archive: ArchiveFacts, there: Container[str]
) -> str:
    """Where the release holds the picture: with its words in it, or as an image; '' for nowhere."""
    stem = slug(PurePosixPath(photo.name).stem, longest=32)
    wanted = (
        f"iptc/{piece.slug}/{photo.name}",
        f"iiif/{piece.slug}/{stem}/full/max/0/default.jpg",
    )
    found = next((path for path in wanted if path in there), "")
    return f"{web_base(archive.base_uri, archive.id)}{found}" if found else ""
