"""Marks: what is written, how it is read, and what it is held to be; three things kept apart."""

from __future__ import annotations

from typing import Any

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Legibility, Mark, MarkKind, MarkRelation, Script, View, not_rejected
from archivist_plugins.typesetting.glyphs import columns_of

HELD_TO_BE = {
    MarkRelation.OF_THE_PERIOD: "of the period it names",
    MarkRelation.LATER_THAN_IT_CLAIMS: "later than it claims",
    MarkRelation.IN_THE_STYLE: "in the style of the period it names",
    MarkRelation.UNDETERMINED: "not determined: of the period it names, or later",
    MarkRelation.UNSTATED: "not recorded",
}
"""What a mark is held to be, after the words 'It is held to be'."""

NAMES_A_PERIOD = (MarkKind.REIGN, MarkKind.DATE, MarkKind.CYCLICAL, MarkKind.SEAL)
"""Kinds of which it is said, too, that nobody has said what they are held to be."""

VIEWS_OF_MARKS = (View.MARK, View.LABEL)


def marks(piece: Piece) -> dict[str, Any]:
    """The `marks`, and the numbers of the photographs that show marks.

    The record does not say which photograph shows which mark; where there is more than one mark,
    the pages say that.
    """
    shown = [
        number
        for number, photo in enumerate(piece.photographs)
        if photo.depiction.view in VIEWS_OF_MARKS
    ]
    return {
        "marks": [_mark(piece, mark) for mark in not_rejected(piece.record.marks)],
        "pictures": shown,
    }


def _mark(piece: Piece, mark: Mark) -> dict[str, Any]:
    writer = wording.party_name(piece, mark.written_by)
    rows = [
        ("As written", mark.characters.replace("\n", " / ")),
        ("Read", mark.romanised),
        ("Meaning", mark.translation),
        ("Kind", wording.MARK_WORDS.get(mark.kind, mark.kind.value)),
        ("Where", mark.place),
        (
            "How",
            wording.listed(
                [
                    "" if mark.script is Script.UNSTATED else f"{mark.script.value} script",
                    mark.technique,
                    mark.colour,
                    f"{mark.count} characters" if mark.count else "",
                    f"in {mark.columns} columns" if mark.columns else "",
                ]
            ),
        ),
        ("Legibility", "" if mark.legibility is Legibility.UNSTATED else mark.legibility.value),
        ("Written by", writer),
        ("How sure", wording.doubt(piece, mark)),
        ("As recorded", "" if mark.as_stated == mark.characters else mark.as_stated),
    ]
    asked = mark.relation is not MarkRelation.UNSTATED or mark.kind in NAMES_A_PERIOD
    return {
        "columns": _drawn(mark),
        "rows": [{"label": label, "text": text} for label, text in rows if text],
        "claims": wording.date_shown(mark.claims, mark.claim),
        "held": wording.with_caveats(piece, HELD_TO_BE[mark.relation], mark) if asked else "",
    }


def _drawn(mark: Mark) -> list[list[str]] | None:
    """The columns to draw; None where the record does not say how the characters stand.

    Characters written in one line may stand in two columns on the piece: drawn as one they would
    say what nobody said.
    """
    columns = columns_of(mark.characters)
    if columns is None or mark.columns not in (0, len(columns)):
        return None
    said = mark.columns == len(columns) or len(columns) > 1 or len(columns[0]) == 1
    return columns if said else None
