"""What stands under a piece that is shown beside others: who holds its date, what marks say."""

from __future__ import annotations

from collections.abc import Iterator

from archivist.hooks import Piece
from archivist.model import Aspect, Certainty
from archivist.wording.caveats import doubt, party_name
from archivist.wording.dates import years_shown
from archivist.wording.facts import held
from archivist.wording.pieces import MARK_WORDS, RELATION_WORDS
from archivist.wording.plain import listed, quoted


def date_holder(piece: Piece, owner: str) -> str:
    """Who holds the date, since when and on what ground; '' where there is no date.

    Where the statement names nobody it is the `owner` of the archive, if that is known.
    """
    date = held(piece, Aspect.DATE) or held(piece, Aspect.PERIOD)
    who = (party_name(piece, date.who) or owner) if date else ""
    if date is None or not who:
        return ""
    since = f" ({date.said})" if date.said else ""
    return listed([f"held by {who}{since}", date.ground], ": ")


def marks_in_short(piece: Piece) -> Iterator[str]:
    """What each mark claims, and how it stands to the date."""
    for mark in piece.record.marks:
        if mark.certainty is Certainty.REJECTED:
            continue
        claim = mark.claim or (years_shown(mark.claims) if mark.claims else "")
        written = mark.characters.replace("\n", " / ") or mark.as_stated.strip()
        kind = MARK_WORDS.get(mark.kind, mark.kind.value)
        unclaimed = listed([kind, written and quoted(written)], " ")
        what = f"mark of {claim}" if claim else unclaimed
        relation = RELATION_WORDS.get(mark.relation, "")
        if claim or written or relation:
            yield listed([what, relation, doubt(piece, mark)], "; ")
