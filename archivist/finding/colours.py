"""The colours of a piece's glaze, put together from those photographs that can show them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec

from archivist.hooks import DisclosedPhotograph, Piece
from archivist.imaging.colour.values import GlazeColours
from archivist.model import View

WORTH_MEASURING: tuple[frozenset[View], ...] = (
    frozenset({View.OVERALL, View.SIDE}),
    frozenset({View.BACK, View.GROUP}),
    frozenset({View.DETAIL}),
)
"""Views that show the glaze; the next are measured only where none of those before could be.

The back of a dish is often of another glaze, or of none.
"""


class PieceColours(msgspec.Struct, frozen=True, omit_defaults=True):
    """What the photographs of a piece tell of its colours.

    `glaze` is None where none could be measured; `views` are those that were, `reasons` why others
    were not.
    """

    glaze: GlazeColours | None = None
    views: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()


def piece_colours(
    piece: Piece, small: Callable[[DisclosedPhotograph], Path | None] = lambda photograph: None
) -> PieceColours:
    """The colours of `piece`, of the photographs that its audience may see.

    `small` gives a picture that shows all of a photograph and is decoded more quickly, None where
    there is none. Where a card lies in a photograph, only such photographs count.
    """
    reasons: dict[str, None] = {}
    for views in WORTH_MEASURING:
        found: list[tuple[str, GlazeColours]] = []
        for photograph in piece.photographs:
            if photograph.depiction.view not in views or not _shows_one(photograph):
                continue
            told = photograph.colours(small(photograph))
            view = photograph.depiction.view.value
            if told.colours is None:
                reasons[f"{view}: {told.reason}"] = None
            else:
                found.append((view, told.colours))
        if found:
            return _together(found, tuple(reasons))
    return PieceColours(reasons=tuple(reasons))


def _shows_one(photograph: DisclosedPhotograph) -> bool:
    """Whether it is known which part of it is the piece: of several pieces, only by a crop."""
    if photograph.depiction.view is not View.GROUP:
        return True
    return photograph.region is not None or photograph.sha256 != photograph.original_sha256


def _together(found: list[tuple[str, GlazeColours]], reasons: tuple[str, ...]) -> PieceColours:
    from archivist.imaging.colour.palette import merged

    kept = [one for one in found if one[1].card] or found
    views = tuple(dict.fromkeys(view for view, _ in kept))
    if len(kept) == 1:
        return PieceColours(kept[0][1], views, reasons)
    glaze = GlazeColours(
        merged([glaze.colours for _, glaze in kept]),
        sum(glaze.pixels for _, glaze in kept),
        kept[0][1].card,
    )
    return PieceColours(glaze, views, reasons)
