"""From a piece and its photograph to the fields of the IPTC Photo Metadata Standard. Pure.

Names of fields as in XMP: `Iptc4xmpExt` (artwork or object), `dc`, `photoshop`, `xmpRights`.
"""

from __future__ import annotations

from dataclasses import dataclass

from archivist import wording
from archivist.hooks import DisclosedPhotograph, Piece, Selection
from archivist.model import View
from archivist.wording.facts import Fact, Heading, facts
from archivist_plugins.dates import held_date
from archivist_plugins.rights import rights_of

PHYSICAL = (
    Heading.FORM,
    Heading.WARE,
    Heading.MATERIAL,
    Heading.TECHNIQUE,
    Heading.GLAZE,
    Heading.COLOUR,
    Heading.COMPOSITION,
    Heading.SIZE,
    Heading.MARK,
    Heading.MAKING,
    Heading.WEAR,
    Heading.DAMAGE,
    Heading.REPAIR,
    Heading.ALTERATION,
    Heading.RESIDUE,
    Heading.OBSERVED,
)
"""What tells how the piece is made and how it is now, each line under its own heading."""

CONTENT = (Heading.SUBJECT, Heading.DECORATION, Heading.DESCRIPTION)
"""What tells what is to be seen on it."""

STYLE = (Heading.CULTURE, Heading.PERIOD)
"""In what tradition and period it was made, each with its doubt."""

MADE_AT = (Heading.PLACE, Heading.KILN)
"""Where it was made: no style and no period, and so told among the words of the piece."""

CUT = " […]"
"""Stands at the end of a text that had to be shortened."""


@dataclass(frozen=True)
class Artwork:
    """The piece as 'artwork or object in the image'. Empty fields are not written.

    `created` is a year, month or day (XMP Date) that is held certain; anything less is `circa`,
    in words.
    """

    title: str
    creators: tuple[str, ...] = ()
    created: str = ""
    circa: str = ""
    style: tuple[str, ...] = ()
    source: str = ""
    number: str = ""
    address: str = ""
    physical: str = ""
    content: str = ""


@dataclass(frozen=True)
class Fields:
    """All that one photograph carries."""

    artwork: Artwork
    caption: str
    headline: str
    photographer: str
    credit: str
    notice: str
    rights_uri: str
    terms: str


def fields(piece: Piece, photo: DisclosedPhotograph, selection: Selection) -> Fields:
    """What `photo` is to carry; a text keeps its whole length here."""
    rights = rights_of(piece, selection.archive)
    art = artwork(piece, selection)
    shows = "" if photo.label == View.UNKNOWN else photo.label
    who = wording.party_name(piece, photo.photograph.photographer)
    return Fields(
        artwork=art,
        caption=wording.listed([art.title, shows], ": "),
        headline=art.title,
        photographer=who,
        credit=rights.credit or selection.archive.owner,
        notice=f"Rights holder: {rights.holder}" if rights.holder else "",
        rights_uri=rights.uri,
        terms=rights.note,
    )


def artwork(piece: Piece, selection: Selection) -> Artwork:
    """The piece. What a mark claims is part of the physical description and never a date."""
    record = piece.record
    lines = facts(piece)
    created, circa = _date(piece)
    return Artwork(
        title=record.title or record.name,
        creators=tuple(fact.short for fact in lines if fact.heading is Heading.MAKER),
        created=created,
        circa=circa,
        style=tuple(fact.short for fact in lines if fact.heading in STYLE),
        source=selection.archive.owner,
        number=record.stock_number,
        address=piece.uri if selection.archive.base_uri else "",
        physical=_told(lines, (*MADE_AT, *PHYSICAL, Heading.PART)),
        content=_told(lines, CONTENT),
    )


def _told(lines: tuple[Fact, ...], headings: tuple[Heading, ...]) -> str:
    return "\n".join(fact.headed for fact in lines if fact.heading in headings)


def _date(piece: Piece) -> tuple[str, str]:
    """The date held: as a plain date where it is certain and one, else in words with its doubt."""
    date = held_date(piece)
    if date is not None and date.day:
        return date.day, ""
    return "", next((f.text for f in facts(piece) if f.heading is Heading.DATE), "")


def shortened(text: str, longest: int) -> str:
    """`text`, or its beginning up to a word's end with a sign that more was said.

    `longest` counts bytes of UTF-8, which is how both IPTC and a JPEG segment count.
    """
    data = text.encode("utf-8", "replace")
    if len(data) <= longest:
        return text
    room = max(0, longest - len(CUT.encode()))
    beginning = data[:room].decode("utf-8", "ignore")
    at_word = beginning.rsplit(None, 1)[0] if " " in beginning.strip() else beginning
    return (at_word if len(at_word) > len(beginning) // 2 else beginning) + CUT
