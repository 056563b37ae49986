"""What the piece is, in the order of Object ID (ICOM and the Getty, 1997).

The eleven headings of the standard come first and stand even where nothing is given; after them
those of the categories that Object ID recommends besides for which the record has a place.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from archivist import wording
from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import Certainty, Note, View
from archivist.wording.facts import OBSERVATION_HEADINGS, Fact, Heading, facts
from archivist_plugins.dossier.condition import GROUPS, seen

NOT_RECORDED = "none recorded"
NOT_GIVEN = "not given here"
NO_PHOTOGRAPH = "none given here"
"""Whether there are photographs that this copy does not hold is told to nobody but the owner."""

ROWS: tuple[tuple[str, tuple[Heading, ...]], ...] = (
    ("Photographs", ()),
    ("Type of object", (Heading.FORM, Heading.COMPOSITION)),
    ("Measurements", (Heading.SIZE,)),
    (
        "Materials and techniques",
        (Heading.MATERIAL, Heading.WARE, Heading.TECHNIQUE, Heading.GLAZE, Heading.COLOUR),
    ),
    ("Inscriptions and markings", (Heading.MARK,)),
    ("Date or period", (Heading.DATE, Heading.PERIOD)),
    ("Maker", (Heading.MAKER, Heading.KILN, Heading.CULTURE)),
    ("Subject", (Heading.SUBJECT, Heading.DECORATION)),
    ("Title", (Heading.TITLE, Heading.OTHER_TITLE)),
    ("Distinguishing features", ()),
    ("Description", ()),
)
"""The headings of Object ID and what of a record answers them.

A maker may be a person, a workshop or a cultural group; distinguishing features are damage, repairs
and traces of making alike, since all of them tell one piece from another (Object ID checklist).
"""

FURTHER_ROWS: tuple[tuple[str, tuple[Heading, ...]], ...] = (
    ("Place of origin", (Heading.PLACE,)),
    ("Inventory number", (Heading.STOCK_NUMBER, Heading.OTHER_NUMBER)),
)
"""Of what Object ID recommends besides; related objects have a section of their own."""

FIELDS: dict[str, tuple[str, ...]] = {
    "Type of object": ("features",),
    "Measurements": ("measurements",),
    "Materials and techniques": ("features",),
    "Inscriptions and markings": ("marks",),
    "Date or period": ("attributions",),
    "Maker": ("attributions",),
    "Subject": ("features",),
    "Title": ("titles",),
    "Distinguishing features": ("observations",),
    "Description": ("descriptions",),
}
"""The fields of the record that a heading is answered from."""

LONGEST_HERE = 900
"""Characters of description that stand among the identification; longer ones follow it."""


VIEW_WORDS = {
    View.OVERALL: "the whole piece",
    View.DETAIL: "a detail",
    View.GROUP: "with other pieces",
    View.UNKNOWN: "view not recorded",
}
"""Views whose own word would say too little on a page."""

CUT_OUT = "the piece, out of a picture of several"


def identification(piece: Piece) -> list[dict[str, Any]]:
    """The rows: a `label`, and `lines` of a `word` (what the line is about, may be '') and `text`.

    `none` is true where nothing is given.
    """
    lines = facts(piece)
    own = {
        "Photographs": [_line(photographs_counted(piece))] if piece.photographs else [],
        "Title": [_line(piece.record.title)] if piece.record.title else [],
        "Distinguishing features": _features(piece),
        "Description": _description(piece),
    }
    return [
        _row(piece, label, [*own.get(label, ()), *_lines(lines, headings)])
        for label, headings in (*ROWS, *FURTHER_ROWS)
        if label in dict(ROWS) or _lines(lines, headings)
    ]


def descriptions(piece: Piece) -> list[dict[str, Any]]:
    """The descriptions in paragraphs, each with the heading it came with, may be ''."""
    return [
        {
            "heading": _heading(note),
            "paragraphs": paragraphs(wording.with_caveats(piece, text, note)),
        }
        for note in piece.record.descriptions
        if (text := note.as_stated.strip()) and note.certainty is not Certainty.REJECTED
    ]


def _heading(note: Note) -> str:
    """The heading a description came with, where that says more than the page does."""
    heading = " ".join(note.heading.split())
    return "" if heading.casefold() == "description" else heading


def are_long(found: Sequence[dict[str, Any]]) -> bool:
    """Whether descriptions need pages of their own."""
    return sum(len(line) for one in found for line in one["paragraphs"]) > LONGEST_HERE


def paragraphs(text: str) -> list[str]:
    """The lines of a text that hold anything, in order."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def photographs_counted(piece: Piece) -> str:
    """How many there are, and of what: '5 views: the whole piece, side, base (2), mark'."""
    views = Counter(map(view_shown, piece.photographs))
    named = ", ".join(f"{view} ({n})" if n > 1 else view for view, n in views.items())
    count = len(piece.photographs)
    return f"{count} view{'' if count == 1 else 's'}: {named}"


def view_shown(photo: DisclosedPhotograph) -> str:
    """What a view is called on the page.

    Of a picture of several pieces the page shows the part with this one, where that is known; and
    others than the owner are given no more than that part.
    """
    view = photo.depiction.view
    if view is View.GROUP and (photo.region is not None or photo.how):
        return CUT_OUT
    return VIEW_WORDS.get(view, view.value)


def _features(piece: Piece) -> list[dict[str, str]]:
    """What was seen on the piece, damage first; what was looked for and not seen tells nothing."""
    return [
        _line(
            wording.with_caveats(piece, wording.observation_shown(o), o),
            OBSERVATION_HEADINGS[kind].value.lower(),
        )
        for kind, _, _ in GROUPS
        for o in seen(piece)
        if o.kind is kind
    ]


def _description(piece: Piece) -> list[dict[str, str]]:
    found = descriptions(piece)
    if are_long(found):
        return [_line("in full on the pages under “Description”")]
    return [_line(line, one["heading"]) for one in found for line in one["paragraphs"]]


def _lines(lines: Sequence[Fact], headings: Sequence[Heading]) -> list[dict[str, str]]:
    """The lines under `headings`, in their order; a word says which, where there are several."""
    several = len(headings) > 1
    return [
        _line(fact.text, heading.value.lower() if several else "")
        for heading in headings
        for fact in lines
        if fact.heading is heading
    ]


def _row(piece: Piece, label: str, lines: list[dict[str, str]]) -> dict[str, Any]:
    if lines:
        return {"label": label, "lines": lines, "none": False}
    withheld = piece.withheld.intersection(FIELDS.get(label, ()))
    nothing = NO_PHOTOGRAPH if label == "Photographs" else NOT_RECORDED
    return {"label": label, "lines": [_line(NOT_GIVEN if withheld else nothing)], "none": True}


def _line(text: str, word: str = "") -> dict[str, str]:
    return {"word": word, "text": text}
