"""Where the files of a piece lie in a release, and the copies of them that other exporters made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from archivist.hooks import DisclosedPhotograph, Piece, Selection, WrittenFile
from archivist_plugins.addresses import Companion
from archivist_plugins.bagit.exporter import NAME as BAG
from archivist_plugins.bagit.exporter import picture_path


@dataclass(frozen=True)
class Location:
    """A path, and what it is a path in."""

    kind: str
    path: str


@dataclass(frozen=True)
class CarryingCopy:
    """A copy of `photo` that carries words within it: another file, with digests of its own."""

    photo: DisclosedPhotograph
    file: WrittenFile
    location: Location


IN_BAG, IN_RELEASE = "path in the bag", "path in the release"


def locations(
    piece: Piece, photo: DisclosedPhotograph, selection: Selection, companion: Companion
) -> Iterator[Location]:
    """Every place of this release known to hold just this file; none where there is none."""
    if BAG in selection.exporters:
        yield Location(IN_BAG, f"data/{picture_path(photo, piece, selection.audience)}")
    delivered = _delivered(piece, photo, companion)
    if delivered is not None and delivered.sha256 == photo.sha256:
        yield _located(delivered, selection)


def carrying_copy(
    piece: Piece, photo: DisclosedPhotograph, selection: Selection, companion: Companion
) -> CarryingCopy | None:
    """The copy with its words within it, where this release makes one that is another file."""
    delivered = _delivered(piece, photo, companion)
    if delivered is None or delivered.sha256 == photo.sha256:
        return None
    return CarryingCopy(photo, delivered, _located(delivered, selection))


def _delivered(
    piece: Piece, photo: DisclosedPhotograph, companion: Companion
) -> WrittenFile | None:
    return companion(f"iptc/{piece.slug}/{photo.name}")


def _located(file: WrittenFile, selection: Selection) -> Location:
    """A bag takes in what others wrote, below its payload."""
    if BAG in selection.exporters:
        return Location(IN_BAG, f"data/{file.path}")
    return Location(IN_RELEASE, file.path)
