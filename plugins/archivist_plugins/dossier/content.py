"""Everything a dossier says, as plain dictionaries for the template. Pure: nothing is read here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from archivist import wording
from archivist.hooks import DisclosedPhotograph, Piece, Selection
from archivist.model import Aspect, Certainty, Note, ObjectRecord, View, not_rejected
from archivist.reading.contradictions import contradictions
from archivist.wording.facts import Heading, facts
from archivist.wording.note_topics import CONDITION, topic_of
from archivist_plugins.addresses import Companion, nothing_there
from archivist_plugins.dates import held_date
from archivist_plugins.dossier import checking, opinions
from archivist_plugins.dossier.cautions import Said
from archivist_plugins.dossier.citations import citations, related
from archivist_plugins.dossier.condition import condition
from archivist_plugins.dossier.identification import (
    are_long,
    descriptions,
    identification,
    view_shown,
)
from archivist_plugins.dossier.marks import marks
from archivist_plugins.dossier.pictures import MANY, PagePicture
from archivist_plugins.dossier.provenance import provenance
from archivist_plugins.rights import rights_of

BEST_VIEWS = (
    View.OVERALL,
    View.SIDE,
    View.BACK,
    View.INTERIOR,
    View.MOUTH,
    View.DETAIL,
    View.UNKNOWN,
)
"""Views that may stand on the cover, the best first; where there is none, the first picture."""

LONGEST_LARGE_TITLE = 90
"""Characters of a title beyond which it is set smaller."""

LONGEST_FOOT = 70
"""Characters of a title at the foot of a page."""

SMALLEST_DENSITY = 110
"""Pixels to the inch below which a picture is not enlarged any further."""


def content(
    piece: Piece,
    selection: Selection,
    pictures: Sequence[PagePicture],
    cautions: Sequence[Said],
    paper: str,
    companion: Companion = nothing_there,
) -> dict[str, Any]:
    """What the template is given; `pictures` are those of `piece.photographs`, in their order.

    `companion` finds what the release holds besides.
    """
    record = piece.record
    described = descriptions(piece)
    views = [_view(piece, p, m) for p, m in zip(piece.photographs, pictures, strict=True)]
    return {
        "paper": paper,
        "lang": _language(selection.archive.language),
        "title": title_shown(record),
        "title-long": len(record.title) > LONGEST_LARGE_TITLE,
        "foot": {
            "number": _shortened(record.stock_number, LONGEST_FOOT // 2),
            "title": _shortened(record.title if record.stock_number else record.name),
        },
        "number": record.stock_number,
        "summary": summary(piece),
        "cover": cover_number(piece, pictures),
        "release": {
            "owner": selection.archive.owner,
            "archive": selection.archive.name,
            "audience": selection.audience,
            "made": selection.made[:10],
            "rights": rights(piece, selection),
            "program": selection.archive.program,
        },
        "identification": identification(piece),
        "views": views,
        "many": len(views) > MANY,
        "marks": marks(piece),
        "condition": condition(piece),
        "opinions": opinions.opinions(piece, selection),
        "rejected": opinions.rejected_statements(piece),
        "provenance": provenance(piece, selection),
        "citations": citations(piece),
        "related": related(piece, compared=False),
        "comparable": related(piece, compared=True),
        "contradictions": [found.message for found in contradictions(record)],
        "descriptions": described if are_long(described) else [],
        "notes": [
            _note(piece, note) for note in not_rejected(record.notes) if topic_of(note) != CONDITION
        ],
        "cautions": [
            {
                "heading": c.heading,
                "text": c.text,
                "lines": c.lines,
                "source": c.source,
                "as_at": c.as_at,
            }
            for c in cautions
        ],
        "record": checking.record_facts(piece),
        "signature": checking.signature_facts(selection),
        "attachments": [
            {"name": name, "what": checking.ATTACHED[name]} for name in checking.attachments(piece)
        ],
        "digests": checking.photograph_digests(piece, companion),
        "done-to-all": checking.done_to_all(piece),
    }


def _note(piece: Piece, note: Note) -> str:
    words = wording.listed([note.heading, " ".join(note.as_stated.split())], ": ")
    return wording.with_caveats(piece, words, note)


def title_shown(record: ObjectRecord) -> str:
    """What the dossier is called: never nothing that can be seen, since a PDF/UA has a title."""
    return next(words for words in (record.title, record.name, record.id) if words.split())


def summary(piece: Piece) -> list[str]:
    """What the cover says below the title: what it is held to be, with its doubts, and its size."""
    held_to_be = [
        fact.short
        for heading in (Heading.CULTURE, Heading.PERIOD, Heading.KILN, Heading.PLACE)
        for fact in facts(piece)
        if fact.heading is heading
    ]
    date = held_date(piece)
    if date is not None:
        leading = piece.record.preferred(Aspect.DATE)
        words = " ".join(leading.as_stated.split()) if leading else ""
        whole = leading is not None and leading.date == date.date and bool(words)
        doubt = "" if date.certainty is Certainty.CERTAIN else f" ({date.certainty.value})"
        held_to_be.append(f"{words if whole else wording.years_shown(date.date)}{doubt}")
    sizes = [fact.text for fact in facts(piece) if fact.heading is Heading.SIZE]
    lines = (wording.listed(held_to_be), wording.listed(sizes[:3], "; "))
    return [line for line in lines if line]


def cover_number(piece: Piece, pictures: Sequence[PagePicture]) -> int:
    """The number of the photograph for the cover, -1 where none can be shown."""
    can_be_shown = [n for n, picture in enumerate(pictures) if picture.file]
    for view in BEST_VIEWS:
        for number in can_be_shown:
            if piece.photographs[number].depiction.view is view:
                return number
    return can_be_shown[0] if can_be_shown else -1


def rights(piece: Piece, selection: Selection) -> list[str]:
    """Who holds the rights in words and photographs, and on what terms."""
    own = rights_of(piece, selection.archive)
    found = [
        f"Words and photographs: {own.holder}" if own.holder else "",
        f"Credit: {own.credit}" if own.credit and own.credit != own.holder else "",
        own.uri,
        own.note,
    ]
    return [line for line in found if line]


def _view(piece: Piece, photo: DisclosedPhotograph, picture: PagePicture) -> dict[str, Any]:
    view = view_shown(photo)
    taken = wording.taken_shown(photo)
    plain = photo.label.casefold() == photo.depiction.view.value
    caption = "" if plain else photo.label
    return {
        "file": picture.file,
        "trouble": picture.trouble,
        "width": picture.width,
        "height": picture.height,
        "widest": round(picture.width * 25.4 / SMALLEST_DENSITY),
        "view": view,
        "caption": caption,
        "taken": f"photographed {taken}" if taken else "",
        "name": photo.name,
        "alt": wording.listed(
            [f"{piece.record.title or piece.record.name}, {view}", caption], ": "
        ),
    }


def _shortened(text: str, longest: int = LONGEST_FOOT) -> str:
    """Words for the foot of a page, cut between two of them where there are too many."""
    words = " ".join(text.split())
    if len(words) <= longest:
        return words
    return f"{words[:longest].rpartition(' ')[0] or words[:longest]} …"


def _language(tag: str) -> str:
    """The language of the words on the record, as the template takes it; '' where not said."""
    primary = wording.language_tag(tag).partition("-")[0].lower()
    return primary if len(primary) in (2, 3) else ""
