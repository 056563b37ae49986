"""Opinions: what is held, by whom and since when; and what others hold, or held once."""

from __future__ import annotations

from typing import Any

from archivist import wording
from archivist.hooks import Piece, Selection
from archivist.model import Aspect, Attribution, Certainty, Statement
from archivist.wording.facts import Heading, facts, held

HELD, OTHER, REJECTED = "held", "other opinion", "rejected"


def opinions(piece: Piece, selection: Selection) -> list[dict[str, Any]]:
    """For each aspect on which there is an opinion, all of them, the one that is held first."""
    found = []
    for aspect in Aspect:
        of_aspect = [a for a in piece.record.attributions if a.aspect is aspect]
        if of_aspect:
            of_aspect.sort(key=lambda a: [HELD, OTHER, REJECTED].index(standing(piece, a)))
            found.append(
                {
                    "aspect": aspect.value,
                    "opinions": [_opinion(piece, selection, a) for a in of_aspect],
                }
            )
    return found


def rejected_statements(piece: Piece) -> list[str]:
    """Whatever else was said of the piece and then rejected, which stays on record."""
    opinions_of = {f"{aspect.value}:" for aspect in Aspect}
    return [
        fact.text
        for fact in facts(piece)
        if fact.heading is Heading.REJECTED and not fact.text.startswith(tuple(opinions_of))
    ]


def standing(piece: Piece, attribution: Attribution) -> str:
    """Whether an opinion is the one that is held, another, or rejected."""
    if attribution is held(piece, attribution.aspect):
        return HELD
    return REJECTED if attribution.certainty is Certainty.REJECTED else OTHER


def holder(piece: Piece, selection: Selection, statement: Statement) -> str:
    """Who says so: a party, or the owner of the archive, whose own statements name nobody."""
    return wording.party_name(piece, statement.who) or selection.archive.owner


def _opinion(piece: Piece, selection: Selection, attribution: Attribution) -> dict[str, str]:
    if attribution.aspect is Aspect.DATE or attribution.date is not None:
        text = wording.date_shown(attribution.date, attribution.as_stated)
    else:
        text = wording.term_shown(attribution.term, attribution.as_stated)
    return {
        "text": text,
        "standing": standing(piece, attribution),
        "certainty": attribution.certainty.value,
        "who": holder(piece, selection, attribution),
        "since": attribution.said or "date not recorded",
        "ground": attribution.ground or "no ground recorded",
    }
