"""One picture on the sheet, and what stands under it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from archivist.errors import SourceError
from archivist.finding.entry import Entry, entry, short_date
from archivist.finding.extents import Box, scale
from archivist.hooks import DisclosedPhotograph, Piece, Selection
from archivist.imaging.derivatives import fit, save_jpeg
from archivist.imaging.pixels import crop, open_upright
from archivist.model import View
from archivist.wording.compared import date_holder, marks_in_short
from archivist_plugins.comparison.layout import Extent

QUALITY = 86


@dataclass(frozen=True)
class Figure:
    """A picture: where it lies ('' with `trouble` where there is none), and its words.

    `order` is the entry of its piece, by which it finds its place; `scaled_by` are the words of
    the size that gives its scale.
    """

    order: Entry
    file: str
    extent: Extent
    number: str
    title: str
    date: str
    holder: str
    marks: tuple[str, ...]
    scaled_by: str = ""
    trouble: str = ""


def figures(
    piece: Piece, selection: Selection, view: View, folder: Path, pixels: int
) -> Iterator[Figure]:
    """The pictures of `view`, written into `folder` no larger than `pixels`, with their words."""
    shown = [p for p in piece.photographs if p.depiction.view is view]
    if not shown:
        return
    known = entry(piece)
    for place, photograph in enumerate(shown, start=1):
        file = folder / f"{known.id}-{place}.jpg"
        many = f" ({place} of {len(shown)})" if len(shown) > 1 else ""
        trouble, extent, scaled_by = "", Extent((4, 3)), ""
        try:
            extent, scaled_by = _picture(piece, photograph, file, pixels)
        except SourceError:
            trouble = "This photograph cannot be shown: its file is damaged."
        yield Figure(
            order=known,
            file="" if trouble else file.name,
            extent=extent,
            number=f"{known.number or known.id[:8]}{many}",
            title=known.title if known.title != known.number else "",
            date=short_date(piece) or "no date",
            holder=date_holder(piece, selection.archive.owner),
            marks=tuple(marks_in_short(piece)),
            scaled_by=scaled_by,
            trouble=trouble,
        )


def _picture(
    piece: Piece, photograph: DisclosedPhotograph, file: Path, pixels: int
) -> tuple[Extent, str]:
    """Writes the picture, cropped to the piece; its size in pixels and, if known, in life.

    Raises:
        SourceError: where it cannot be decoded.
        FixityError: where its file is not what was recorded.
    """
    region = photograph.region
    page = region.page if region else 0
    reduced = pixels if region is None else None
    whole = open_upright(photograph.content(), page=page, reduced_to=reduced)
    image = fit(whole if region is None else crop(whole, region), pixels)
    save_jpeg(image, file, quality=QUALITY)
    box: Box | None = None
    size = (photograph.width, photograph.height)
    if region is not None:
        size = (region.reference_width, region.reference_height)
        box = (region.x, region.y, region.width, region.height)
    found = scale(piece.record, photograph.depiction.view.value, size, box, file)
    if found is None:
        return Extent(image.size), ""
    wide, high = box[2:] if box else size
    return Extent(image.size, (wide * found.millimetres, high * found.millimetres)), found.by
