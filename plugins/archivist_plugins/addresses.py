"""The web addresses of what one release writes beside one another, and the digests of those files.

A digest stands beside the file that it is of: whoever fetches the file compares the two, and any
other digest would tell of tampering where there was none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import PurePosixPath

from archivist.hooks import ArchiveFacts, DisclosedPhotograph, Piece, WrittenFile
from archivist.names import slug, web_base

Companion = Callable[[str], WrittenFile | None]
"""Finds what another exporter wrote by its path in the release (`Package.companion`)."""


def nothing_there(path: str) -> WrittenFile | None:
    """What is found where no other exporter wrote anything."""
    return None


@dataclass(frozen=True)
class PictureFile:
    """A file that shows a photograph: where it is to be had ('' for beside the record, in no known
    place), its digest and its media type."""

    address: str
    sha256: str
    media_type: str


def picture_file(
    piece: Piece, photo: DisclosedPhotograph, archive: ArchiveFacts, companion: Companion
) -> PictureFile:
    """The picture where the release holds it, with its words in it or as an image; else the file
    that is handed on."""
    stem = slug(PurePosixPath(photo.name).stem, longest=32)
    for path, media_type in (
        (f"iptc/{piece.slug}/{photo.name}", photo.media_type),
        (f"iiif/{piece.slug}/{stem}/full/max/0/default.jpg", "image/jpeg"),
    ):
        file = companion(path)
        if file is not None:
            address = f"{web_base(archive.base_uri, archive.id)}{path}"
            return PictureFile(address, file.sha256, media_type)
    return PictureFile("", photo.sha256, photo.media_type)
