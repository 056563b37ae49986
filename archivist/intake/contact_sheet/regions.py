"""A rectangle on a picture, by four numbers."""

from __future__ import annotations

from collections.abc import Sequence

from archivist.model import Photograph, Region


def region_on(photograph: Photograph, numbers: Sequence[int]) -> Region | None:
    """The region of x, y, width, height on a picture; None where it does not lie on it."""
    x, y, width, height = numbers
    try:
        return Region(
            x=x,
            y=y,
            width=width,
            height=height,
            reference_width=photograph.width,
            reference_height=photograph.height,
        )
    except ValueError:
        return None
