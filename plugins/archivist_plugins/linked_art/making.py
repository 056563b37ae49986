"""The making of a piece: what is held and certain is said of it, every other opinion is ascribed.

An opinion that is not certain, or is not the one that is held, becomes an attribute assignment:
what somebody says, how surely, and why, so that it is never taken for what is known. A date that
is held to be probable stands on the making itself all the same, its doubt in its name. What was
done later is a modification and never the making.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Feature,
    FeatureAspect,
    Standing,
    Statement,
    is_rejected,
    is_settled,
    standing_of,
    stands,
)
from archivist.wording.facts import Heading, facts, held
from archivist_plugins.dates import held_date
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
    for feature in _settled_features(piece):
        if feature.aspect in PROPERTIES:
            found[PROPERTIES[feature.aspect]].append(_feature(terms, feature))
    culture = held(piece, Aspect.CULTURE)
    if culture and _is_sure(culture) and culture.term and culture.term.label:
        found["classified_as"].append(_culture(terms, culture))
    return {key: _once(values) for key, values in found.items()}


def _settled_features(piece: Piece) -> list[Feature]:
    """What the owner says of the piece for certain; another's word is an opinion."""
    features = piece.record.features
    return [f for f in features if is_settled(f) and f.term.label and stands(f, features)]


def _once(resources: Iterable[Resource]) -> list[Resource]:
    return list({resource["id"]: resource for resource in resources}.values())


def production(terms: Vocabulary, piece: Piece) -> Resource:
    """The making as it is held; {} where nothing is said of it.

    The years are of the date that is held, where that is certain or probable.
    """
    standing = [found for aspect in Aspect if (found := held(piece, aspect)) is not None]
    told = [a for a in standing if _is_sure(a) and a.aspect is not Aspect.DATE]
    made = made_by(terms, piece, told)
    date = held_date(piece)
    if date is not None and date.certainty in (Certainty.CERTAIN, Certainty.PROBABLE):
        words = next((f.text for f in facts(piece) if f.heading is Heading.DATE), "")
        if span := time_span(terms, words, date.date):
            made["timespan"] = span
    techniques = [
        terms.term("technique", f.term)
        for f in _settled_features(piece)
        if f.aspect is FeatureAspect.TECHNIQUE
    ]
    if techniques:
        made["technique"] = _once(techniques)
    return {"type": "Production", **made} if made else {}


def modifications(terms: Vocabulary, piece: Piece) -> list[Resource]:
    """What was done to the piece later, as far as that is certain: decorated, mounted, altered."""
    later = [a for a in of_later_hands(piece) if not a.part and is_settled(a)]
    return [made for one in later if (made := modification(terms, piece, one))]


def of_later_hands(piece: Piece) -> list[Attribution]:
    """The attributions of a part or of a later hand that were not rejected."""
    attributions = piece.record.attributions
    standings = zip(attributions, standing_of(attributions), strict=True)
    return [a for a, standing in standings if standing is Standing.APART and _told(a)]


def modification(terms: Vocabulary, piece: Piece, said: Attribution) -> Resource:
    """One of them as an event of its own; {} where nothing can be told of it but words."""
    made = made_by(terms, piece, [said])
    if not made:
        return {}
    done = terms.own("role", said.role.value)
    return {"type": "Modification", "_label": _about(said), "classified_as": [done], **made}


def opinions(terms: Vocabulary, piece: Piece) -> list[Resource]:
    """Everything that is said but not certain, or not what is held; rejected opinions are not."""
    attributions = piece.record.attributions
    found = [
        opinion(terms, piece, said)
        for said, standing in zip(attributions, standing_of(attributions), strict=True)
        if _told(said) and _is_opinion(said, standing)
    ]
    for feature in piece.record.features:
        rejected = is_rejected(feature, piece.record.features)
        doubted = not (rejected or feature.part or is_settled(feature))
        if doubted and feature.aspect in PROPERTIES and feature.term.label:
            words = f"{feature.aspect.value}: {feature.term.label}"
            about = PROPERTIES[feature.aspect]
            value = _feature(terms, feature)
            found.append(_assignment(terms, piece, feature, words, about, [value]))
    return found


def _is_opinion(said: Attribution, standing: Standing) -> bool:
    """Whether it stands beside what is said of the piece itself."""
    if standing is Standing.REJECTED or said.part:
        return False
    settled = _is_sure(said) if standing is Standing.HELD else is_settled(said)
    return not (settled and standing in (Standing.HELD, Standing.APART))


def opinion(terms: Vocabulary, piece: Piece, said: Attribution) -> Resource:
    """What somebody holds of the making, or of what was done later."""
    assigned: list[Resource] = []
    if said.aspect is Aspect.CULTURE:
        assigned = [_culture(terms, said)] if said.term and said.term.label else []
        about = "classified_as"
    elif said.role is AttributionRole.MADE:
        partial = made_by(terms, piece, [said])
        assigned = [{"type": "Production", **partial}] if partial else []
        about = "produced_by"
    else:
        changed = modification(terms, piece, said)
        assigned = [changed] if changed else []
        about = "modified_by"
    return _assignment(terms, piece, said, _about(said), about, assigned)


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


def made_by(terms: Vocabulary, piece: Piece, attributions: Iterable[Attribution]) -> dict[str, Any]:
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


def _about(said: Attribution) -> str:
    """The aspect, with what was done and the value: 'date: 1740', 'date: decorated: 1760'."""
    return f"{said.aspect.value}: {wording.attribution_shown(said)}"


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
