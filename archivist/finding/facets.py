"""What pieces can be sorted out by: one table, each line a question and where its answers stand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    FeatureAspect,
    MarkRelation,
    Observation,
    Presence,
    Statement,
    stands,
)

StatementType = TypeVar("StatementType", bound=Statement)

Values = Callable[[Piece], Iterable[str]]


@dataclass(frozen=True)
class Facet:
    """A question: its `name` in addresses, its `label` for readers, the answers of a piece."""

    name: str
    label: str
    values: Values


def _stand(statements: Sequence[StatementType]) -> Iterator[StatementType]:
    """Those of `statements` that are held."""
    return (s for s in statements if stands(s, statements))


def _feature(aspect: FeatureAspect) -> Values:
    return lambda piece: (
        feature.term.label for feature in _stand(piece.record.features) if feature.aspect is aspect
    )


def _attribution(aspect: Aspect) -> Values:
    """The opinion that is held and what agrees with it; what others think is found by words."""

    def values(piece: Piece) -> Iterator[str]:
        held = piece.record.holding(aspect)
        for attribution in (held.leading, *held.ground) if held else ():
            yield attribution.term.label if attribution.term else attribution.as_stated

    return values


def _seen(told: Callable[[Observation], str]) -> Values:
    """What was seen; what was looked for and is not there does not count."""
    return lambda piece: (
        told(observation)
        for observation in _stand(piece.record.observations)
        if observation.presence is not Presence.ABSENT
    )


def _claims(piece: Piece) -> Iterator[str]:
    for mark in _stand(piece.record.marks):
        yield mark.claim or (wording.years_shown(mark.claims) if mark.claims else "")


def _relations(piece: Piece) -> Iterator[str]:
    for mark in _stand(piece.record.marks):
        if mark.relation is not MarkRelation.UNSTATED:
            yield mark.relation.value


def _views(piece: Piece) -> Iterator[str]:
    return (photograph.depiction.view.value for photograph in piece.photographs)


FACETS: tuple[Facet, ...] = (
    Facet("form", "Form", _feature(FeatureAspect.FORM)),
    Facet("ware", "Ware", _feature(FeatureAspect.WARE)),
    Facet("glaze", "Glaze", _feature(FeatureAspect.GLAZE)),
    Facet("colour", "Colour", _feature(FeatureAspect.COLOUR)),
    Facet("technique", "Technique", _feature(FeatureAspect.TECHNIQUE)),
    Facet("decoration", "Decoration", _feature(FeatureAspect.DECORATION)),
    Facet("culture", "Culture", _attribution(Aspect.CULTURE)),
    Facet("place", "Place", _attribution(Aspect.PLACE)),
    Facet("period", "Period", _attribution(Aspect.PERIOD)),
    Facet("mark", "What a mark claims", _claims),
    Facet("relation", "How a mark stands to the date", _relations),
    Facet("view", "Photographed view", _views),
    Facet("kind", "Kind of thing seen", _seen(lambda o: o.kind.value)),
    Facet("seen", "Seen on the piece", _seen(lambda o: o.term.label)),
    Facet("part", "On which part", _seen(lambda o: o.part)),
)
"""In the order in which they are shown."""


def answers(piece: Piece) -> dict[str, tuple[str, ...]]:
    """The values of every facet that has any for `piece`."""
    found = {
        facet.name: tuple(dict.fromkeys(filter(None, facet.values(piece)))) for facet in FACETS
    }
    return {name: values for name, values in found.items() if values}
