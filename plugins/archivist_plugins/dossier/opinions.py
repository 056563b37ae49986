"""Opinions: what is held, by whom and since when; and what others hold, or held once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from archivist import wording
from archivist.hooks import Piece, Selection
from archivist.model import (
    Aspect,
    Attribution,
    Feature,
    FeatureAspect,
    Standing,
    Statement,
    is_rejected,
    only_reported,
    standing_of,
)
from archivist.wording.facts import Heading, facts, held_date_shown

STANDINGS: dict[Standing, str] = {
    Standing.HELD: "held",
    Standing.AGREES: "agrees with it",
    Standing.OTHER: "other opinion",
    Standing.APART: "not of the making of the piece itself",
    Standing.REJECTED: "rejected",
}
"""How an opinion stands, in the order in which they are told."""

_ORDER = list(STANDINGS)

Opinion = dict[str, str]


def opinions(piece: Piece, selection: Selection) -> list[dict[str, Any]]:
    """For each aspect on which there is an opinion, all of them, the one that is held first.

    Of features only those on which opinions differ: what nobody doubts needs no list.
    """
    found = [
        {"aspect": aspect.value, "opinions": list(_attributed(piece, selection, aspect))}
        for aspect in Aspect
    ]
    found += [
        {"aspect": aspect.value, "opinions": list(_of_features(piece, selection, aspect))}
        for aspect in FeatureAspect
    ]
    return [one for one in found if one["opinions"]]


def _attributed(piece: Piece, selection: Selection, aspect: Aspect) -> Iterator[Opinion]:
    attributions = piece.record.attributions
    pairs = zip(attributions, standing_of(attributions), strict=True)
    mine = [(a, standing) for a, standing in pairs if a.aspect is aspect]
    for said, standing in sorted(mine, key=lambda pair: _ORDER.index(pair[1])):
        held = standing is Standing.HELD and aspect is Aspect.DATE
        text = held_date_shown(piece) if held else wording.attribution_shown(said)
        yield _opinion(piece, selection, said, text, standing)


def _of_features(piece: Piece, selection: Selection, aspect: FeatureAspect) -> Iterator[Opinion]:
    mine = [f for f in piece.record.features if f.aspect is aspect]
    standings = [_of_feature(feature, piece.record.features) for feature in mine]
    if set(standings) <= {Standing.HELD}:
        return
    pairs = sorted(zip(mine, standings, strict=True), key=lambda pair: _ORDER.index(pair[1]))
    for feature, standing in pairs:
        text = wording.term_shown(feature.term, feature.as_stated)
        text = f"{feature.part}: {text}" if feature.part else text
        yield _opinion(piece, selection, feature, text, standing)


def _of_feature(feature: Feature, among: Sequence[Feature]) -> Standing:
    if is_rejected(feature, among):
        return Standing.REJECTED
    if feature.part:
        return Standing.APART
    return Standing.OTHER if feature.who or only_reported(feature) else Standing.HELD


def rejected_statements(piece: Piece) -> list[str]:
    """Whatever else was said of the piece and then rejected, which stays on record."""
    told_above = tuple(f"{kind.value}:" for kinds in (Aspect, FeatureAspect) for kind in kinds)
    return [
        fact.text
        for fact in facts(piece)
        if fact.heading is Heading.REJECTED and not fact.text.startswith(told_above)
    ]


def standing(piece: Piece, attribution: Attribution) -> str:
    """How an opinion stands to what is held."""
    attributions = piece.record.attributions
    pairs = zip(attributions, standing_of(attributions), strict=True)
    return next(STANDINGS[found] for said, found in pairs if said is attribution)


def holder(piece: Piece, selection: Selection, statement: Statement) -> str:
    """Who says so: a party, or the owner of the archive, whose own statements name nobody."""
    return wording.party_name(piece, statement.who) or selection.archive.owner


def _opinion(
    piece: Piece, selection: Selection, said: Statement, text: str, standing: Standing
) -> Opinion:
    return {
        "text": text,
        "standing": STANDINGS[standing],
        "certainty": wording.listed([said.certainty.value, wording.how_said(said)], ", "),
        "who": holder(piece, selection, said),
        "since": said.said or "date not recorded",
        "ground": said.ground or "no ground recorded",
    }
