"""What the library's index and cards know of one piece: kept beside its page."""

from __future__ import annotations

import msgspec

from archivist.finding.colours import PieceColours
from archivist.finding.entry import Entry, entry
from archivist.hooks import Piece
from archivist.model import View
from archivist.wording.compared import date_holder, marks_in_short
from archivist_plugins.reference_library.pictures import Picture

KIN = ("form", "ware", "culture", "place", "period")
"""Facets by which pieces are each other's like, the closest first."""

CARD_VIEWS: tuple[str, ...] = (
    View.OVERALL,
    View.SIDE,
    View.BACK,
    View.UNKNOWN,
    View.INTERIOR,
    View.MOUTH,
    View.BASE,
    View.FOOT_RIM,
    View.MARK,
    View.DETAIL,
    View.GROUP,
    View.DAMAGE,
    View.LABEL,
    View.DOCUMENT,
)
"""What a card shows of a piece, the best first."""

_CALL = "library.piece("
_END = ");\n"


class LibraryEntry(Entry, frozen=True, omit_defaults=True):
    """One piece in the index: `updated` is the moment at which its page was written.

    `holder` says who holds its date, `marks` what each mark claims and how that stands to the date.
    """

    pictures: tuple[Picture, ...] = ()
    colours: PieceColours = PieceColours()
    updated: str = ""
    holder: str = ""
    marks: tuple[str, ...] = ()

    @property
    def kin(self) -> tuple[str, str] | None:
        """What it is compared by: the first facet of `KIN` that it has, and its value."""
        return next(((name, self.facets[name][0]) for name in KIN if name in self.facets), None)

    @property
    def picture(self) -> Picture | None:
        """The picture on its card: what shows the piece best, alone before with others."""
        return min(
            self.pictures,
            key=lambda picture: (CARD_VIEWS.index(picture.view), picture.region is not None),
            default=None,
        )


def library_entry(
    piece: Piece,
    pictures: tuple[Picture, ...],
    updated: str,
    colours: PieceColours = PieceColours(),  # noqa: B008 - an immutable value
    owner: str = "",
) -> LibraryEntry:
    """The entry of `piece`, of what stands on its page and nothing else."""
    found = msgspec.structs.asdict(entry(piece))
    return LibraryEntry(
        **found,
        pictures=pictures,
        colours=colours,
        updated=updated,
        holder=date_holder(piece, owner),
        marks=tuple(marks_in_short(piece)),
    )


def as_script(made: LibraryEntry) -> bytes:
    """The entry as a classic script, which pages opened from a disk can load."""
    return b"".join((_CALL.encode(), msgspec.json.encode(made), _END.encode()))


def from_script(script: bytes) -> LibraryEntry:
    """The entry that `as_script` wrote."""
    return msgspec.json.decode(script[len(_CALL) : -len(_END)], type=LibraryEntry)
