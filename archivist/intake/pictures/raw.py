"""What a camera's raw file looks like, by the preview within it."""

from __future__ import annotations

from pathlib import Path

from archivist.intake.pictures.look import REDUCED, Look, measured


def look_at_preview(path: Path) -> Look | None:
    """The look of the largest preview, with its size in pixels; None where there is none."""
    from archivist.imaging.preview import open_preview

    found = open_preview(path, reduced_to=REDUCED)
    if found is None:
        return None
    picture, (width, height) = found
    return measured(picture, width, height)
