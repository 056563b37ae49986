"""What an owner is told of single files of a tree: what is no picture, and what is seen of it."""

from __future__ import annotations

from pathlib import PurePosixPath

from archivist.hooks import Trouble
from archivist.imaging.sidecar import SUFFIX
from archivist.intake.files import SurveyedFile

_NAMED_AS_PICTURES = frozenset(
    f".{name}"
    for name in ("jpg", "jpeg", "jpe", "png", "tif", "tiff", "gif", "webp", "bmp", "heic", "jp2")
)


def note_of(file: SurveyedFile, *, looked_at: bool) -> Trouble | None:
    """What is said of a file that is new, None where there is nothing to say.

    `looked_at` tells that its picture was seen, be it by a preview within it.
    """
    described, path = file.described, file.found.path
    if described is None:
        return None
    picture = described.media_type.startswith("image/")
    if described.undecodable and picture and looked_at:
        reason = "a raw file: it is kept, and looked at by the preview within it"
        return Trouble(place=path, reason=reason, harmless=True)
    if described.undecodable:
        if picture or PurePosixPath(path).suffix.lower() in _NAMED_AS_PICTURES:
            remedy = "Look for a better copy."
            if "it is kept as it is" not in described.undecodable:
                remedy = "It is kept as it is; look for a better copy."
            return Trouble(place=path, reason=described.undecodable, remedy=remedy)
        if described.format:
            return Trouble(place=path, reason=described.undecodable, harmless=True)
        if PurePosixPath(path).suffix.lower() not in (SUFFIX, ".txt"):
            reason = "neither a picture nor a sheet; it is kept as it is"
            return Trouble(place=path, reason=reason, harmless=True)
        return None
    if described.pages > 1:
        reason = f"it has {described.pages} pages or frames; the first is looked at, all are kept"
        return Trouble(place=path, reason=reason, harmless=True)
    return None
