"""The making of a piece: what is held and certain is said of it, every other opinion is ascribed.

An opinion that is not certain, or is not the one that is held, becomes an attribute assignment:
what somebody says, how surely, and why, so that it is never taken for what is known. The date that
is held stands on the making itself all the same, its doubt in its name.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from archivist import wording
from archivist.hooks import Piece
from archivist.model import Aspect, Attribution, Certainty, Feature, FeatureAspect, Statement
from archivist.wording.facts import held
from archivist_plugins.linked_art import vocabulary as v
from archivist_plugins.linked_art.parts import (
    Resource,
    certainty,
    parties,
    statement,
    time_span,
    without_empty,
)
from archivist_plugins.linked_art.vocabulary import Vocabulary

PROPERTIES: dict[FeatureAspect, str] = {
    FeatureAspect.FORM: "classified_as",
    FeatureAspect.WARE: "classified_as",
    FeatureAspect.MATERIAL: "made_of",
}
"""Where a feature that is certain stands on the piece; a technique stands on its making, and the
others are told in words."""


def said_of_the_piece(terms: Vocabulary, piece: Piece) -> dict[str, list[Resource]]:
    """`classified_as` and `made_of`: kind, ware, culture and material that are certain."""
    found: dict[str, list[Resource]] = {"classified_as": [terms.of(v.ARTWORK)], "made_of": []}
    for feature in piece.record.features:
        if feature.aspect in PROPERTIES and _is_sure(feature) and feature.term.label:
            found[PROPERTIES[feature.aspect]].append(_feature(terms, feature))
    culture = held(piece, Aspect.CULTURE)
    if culture and _is_sure(culture) and culture.term and culture.term.label:
        found["classified_as"].append(_culture(terms, culture))
    return {key: _once(values) for key, values in found.items()}


def _once(resources: Iterable[Resource]) -> list[Resource]:
    return list({resource["id"]: resource for resource in resources}.values())


def production(terms: Vocabulary, piece: Piece) -> Resource:
    """The making as it is held; {} where nothing is said of it."""
    standing = [found for aspect in Aspect if (found := held(piece, aspect)) is not None]
    told = [a for a in standing if _is_sure(a) or a.aspect is Aspect.DATE]
    techniques = [
        terms.term("technique", f.term)
        for f in piece.record.features
        if f.aspect is FeatureAspect.TECHNIQUE and _is_sure(f) and f.term.label
    ]
    made = _production(terms, piece, told)
    if techniques:
        made["technique"] = _once(techniques)
    return {"type": "Production", **made} if made else {}


def opinions(terms: Vocabulary, piece: Piece) -> list[Resource]:
    """Everything that is said but not certain, or not what is held; rejected opinions are not."""
    found = []
    for attribution in piece.record.attributions:
        rejected = attribution.certainty is Certainty.REJECTED
        settled = attribution is held(piece, attribution.aspect) and _is_sure(attribution)
        if rejected or settled or not _told(attribution):
            continue
        if attribution.aspect is Aspect.CULTURE:
            term = attribution.term
            assigned = [_culture(terms, attribution)] if term and term.label else []
            about = "classified_as"
        else:
            partial = _production(terms, piece, [attribution])
            assigned = [{"type": "Production", **partial}] if partial else []
            about = "produced_by"
        words = f"{attribution.aspect.value}: {_told(attribution)}"
        found.append(_assignment(terms, piece, attribution, words, about, assigned))
    for feature in piece.record.features:
        doubted = feature.certainty is not Certainty.REJECTED and not _is_sure(feature)
        if doubted and feature.aspect in PROPERTIES and feature.term.label:
            words = f"{feature.aspect.value}: {feature.term.label}"
            about = PROPERTIES[feature.aspect]
            value = _feature(terms, feature)
            found.append(_assignment(terms, piece, feature, words, about, [value]))
    return found


def _assignment(
    terms: Vocabulary,
    piece: Piece,
    said: Statement,
    words: str,
    about: str,
    assigned: list[Resource],
) -> Resource:
    """That somebody holds something of the piece, how surely, on what ground and since when."""
    text = wording.with_caveats(piece, words, said)
    return without_empty(
        {
            "type": "AttributeAssignment",
            "_label": text,
            "classified_as": certainty(terms, said.certainty),
            "referred_to_by": [statement(terms, text, v.NOTE, "Opinion")],
            "carried_out_by": parties(terms, piece, [said.who]),
            "assigned_property": about if assigned else "",
            "assigned": assigned,
        }
    )


def _production(
    terms: Vocabulary, piece: Piece, attributions: Iterable[Attribution]
) -> dict[str, Any]:
    """What these attributions say of the making."""
    made: dict[str, Any] = {}
    for said in attributions:
        label = said.term.label if said.term else ""
        if said.aspect is Aspect.DATE:
            words = _told(said)
            words = wording.with_caveats(piece, words, said) if words else ""
            span = time_span(terms, words, said.date)
            if span:
                made["timespan"] = span
        elif not said.term or not label:
            continue
        elif said.aspect is Aspect.MAKER:
            made["carried_out_by"] = [terms.term("maker", said.term, "Group")]
        elif said.aspect is Aspect.PERIOD:
            made["during"] = [terms.term("period", said.term, "Period")]
        elif said.aspect in (Aspect.PLACE, Aspect.KILN):
            place = terms.term(said.aspect.value, said.term, "Place")
            made.setdefault("took_place_at", []).append(place)
    return made


def _told(said: Attribution) -> str:
    if said.aspect is Aspect.DATE:
        return wording.date_shown(said.date, said.as_stated)
    return wording.term_shown(said.term, said.as_stated)


def _is_sure(said: Statement) -> bool:
    return said.certainty is Certainty.CERTAIN


def _culture(terms: Vocabulary, said: Attribution) -> Resource:
    assert said.term is not None
    return terms.term("culture", said.term, classified_as=[terms.own("term", "culture")])


def _feature(terms: Vocabulary, feature: Feature) -> Resource:
    if feature.aspect is FeatureAspect.MATERIAL:
        return terms.term("material", feature.term, "Material")
    meta = terms.of(v.WORK_TYPE) if feature.aspect is FeatureAspect.FORM else terms.of(v.STYLE)
    return terms.term(feature.aspect.value, feature.term, classified_as=[meta])
