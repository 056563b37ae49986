"""A photograph, what it shows of which pieces, and who may see it."""

from __future__ import annotations

from enum import StrEnum

from archivist.model.base import Certainty, Statement, Value
from archivist.model.dates import Date


class View(StrEnum):
    OVERALL = "overall"
    SIDE = "side"
    BACK = "back"
    BASE = "base"
    FOOT_RIM = "foot rim"
    MARK = "mark"
    MOUTH = "mouth"
    INTERIOR = "interior"
    DETAIL = "detail"
    DAMAGE = "damage"
    LABEL = "label"
    GROUP = "group"
    DOCUMENT = "document"
    UNKNOWN = "unknown"


VIEW_ORDER = tuple(View)
"""The order in which views are shown: the whole piece first, the closest looks after."""


class Region(Value, frozen=True, kw_only=True):
    """A rectangle in full-size pixels from the top left, after EXIF orientation is applied.

    `reference_width` and `reference_height` are the size of the picture it was drawn on, so that
    it can be carried over to a copy of another size; `page` counts pages or frames from 0.
    """

    x: int
    y: int
    width: int
    height: int
    reference_width: int
    reference_height: int
    page: int = 0

    def __post_init__(self) -> None:
        inside = (
            self.x >= 0
            and self.y >= 0
            and self.width > 0
            and self.height > 0
            and self.x + self.width <= self.reference_width
            and self.y + self.height <= self.reference_height
        )
        if not inside:
            raise ValueError(
                f"the region {self.x},{self.y},{self.width},{self.height} does not lie within "
                f"{self.reference_width} by {self.reference_height} pixels"
            )


class Depiction(Statement, frozen=True, kw_only=True):
    """That a photograph shows a view of a piece, in whole or in a region.

    `object` is the record's UUID; `sequence` orders the views of one piece (0: by view);
    `reviewed` says that a person confirmed the view, which what is private in pixels asks for;
    `released` names audiences who may see it beyond what its view allows.
    """

    object: str
    view: View = View.UNKNOWN
    region: Region | None = None
    sequence: int = 0
    caption: str = ""
    reviewed: bool = False
    released: tuple[str, ...] = ()


class TakenAt(Statement, frozen=True, kw_only=True):
    """When the photograph was taken, by one witness (camera clock, file name, owner)."""

    date: Date
    witness: str = ""
    preferred: bool = False


class Caption(Value, frozen=True, kw_only=True):
    """Words that came with the picture: `where` they stood (EXIF, IPTC, a .txt beside it)."""

    words: str
    where: str = ""


class Photograph(Value, frozen=True, kw_only=True):
    """An original that is an image. `id` is a UUID, `sha256` the digest of the original.

    `width` and `height` are after EXIF orientation, 0 where the file cannot be decoded, which
    `undecodable` then explains. `derived_from` is the SHA-256 of the picture it is a copy of.
    """

    id: str
    sha256: str
    extension: str = ""
    media_type: str = ""
    width: int = 0
    height: int = 0
    orientation: int = 1
    pages: int = 1
    taken: tuple[TakenAt, ...] = ()
    captions: tuple[Caption, ...] = ()
    depictions: tuple[Depiction, ...] = ()
    photographer: str = ""
    derived_from: str = ""
    undecodable: str = ""
    withdrawn: bool = False

    def depictions_of(self, object_id: str) -> tuple[Depiction, ...]:
        """What this photograph shows of the piece `object_id`, in the order it is recorded."""
        return tuple(
            d
            for d in self.depictions
            if d.object == object_id and d.certainty is not Certainty.REJECTED
        )
