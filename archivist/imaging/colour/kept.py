"""A photograph's colours, measured once and kept: they are a derivative like a thumbnail."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from archivist.content import ByteSource
from archivist.errors import FixityError, SourceError
from archivist.imaging.colour.values import Reading
from archivist.kept import kept_bytes, read_kept
from archivist.model import Region

if TYPE_CHECKING:
    from PIL.Image import Image

FORM = 1
"""Raised when the same picture would tell other colours, so that all are measured again."""

_ENOUGH = 400
"""Pixels of the longest side of what is decoded to be measured."""


def reading(
    source: Callable[[], ByteSource],
    *,
    region: Region | None = None,
    filled: bool = False,
    kept: Path | None = None,
) -> Reading:
    """What the picture that `source` gives tells of the colours of the piece in `region` of it.

    With `filled` the piece fills the picture, and its middle half is taken. What was measured
    before is read from the file `kept`, and what is measured now is written there, where that can
    be done; nothing is kept of a picture that cannot be decoded.
    """
    known = read_kept(kept, kept.stem, Reading) if kept is not None else None
    if known is not None:
        return known
    from archivist.imaging.colour.measure import read
    from archivist.imaging.pixels import crop, open_upright

    wanted, page = _ENOUGH, 0
    if region is not None:
        whole = max(region.reference_width, region.reference_height)
        wanted = _ENOUGH * whole // max(1, region.width, region.height)
        page = region.page
    try:
        image = open_upright(source(), page=page, reduced_to=wanted)
    except (SourceError, FixityError):
        return Reading(reason="the photograph cannot be decoded")
    if region is not None:
        image = crop(image, region)
    found = read(_middle(image) if filled else image, filled=filled)
    _write(kept, found)
    return found


def _middle(image: Image) -> Image:
    width, height = image.size
    return image.crop((width // 4, height // 4, max(3 * width // 4, 1), max(3 * height // 4, 1)))


def _write(kept: Path | None, found: Reading) -> None:
    with suppress(OSError):
        if kept is not None:
            kept.parent.mkdir(parents=True, exist_ok=True)
            part = kept.with_suffix(".part")
            part.write_bytes(kept_bytes(kept.stem, found))
            part.replace(kept)
