"""Photographs made ready for the page: upright, in sRGB, no larger than print asks for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from archivist.errors import SourceError
from archivist.hooks import DisclosedPhotograph
from archivist.imaging.derivatives import fit, save_jpeg
from archivist.imaging.pixels import crop, open_upright

LARGEST = 1900
"""Pixels of the longer side: 290 to the inch over the width of the text on A4."""

MANY = 60
"""Photographs beyond which each is reduced further, so that the file can still be sent."""

LARGEST_OF_MANY = 1100

QUALITY = 84


@dataclass(frozen=True)
class PagePicture:
    """A picture for the page; `trouble` says why there is none."""

    file: str = ""
    width: int = 0
    height: int = 0
    trouble: str = ""


def page_picture(photo: DisclosedPhotograph, folder: Path, number: int, many: bool) -> PagePicture:
    """Writes the picture into `folder`, without any metadata; what cannot be decoded is said.

    Raises:
        FixityError: where its file is not what was recorded.
    """
    side = LARGEST_OF_MANY if many else LARGEST
    page = photo.region.page if photo.region else 0
    content = photo.content()
    try:
        if photo.region is None:
            image = fit(open_upright(content, page=page, reduced_to=side), side)
        else:
            image = fit(crop(open_upright(content, page=page), photo.region), side)
    except SourceError:
        return PagePicture(trouble="This photograph cannot be shown: its file is damaged.")
    name = f"picture-{number:03d}.jpg"
    save_jpeg(image, folder / name, quality=QUALITY)
    return PagePicture(name, image.width, image.height)
