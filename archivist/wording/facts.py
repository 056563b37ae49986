"""What may be told of a piece, as headed lines in a fixed order, for every format that people read.

The held opinion stands under its own heading; those that agree with it, the others, those of a
part and those that were rejected stand under headings that say so, so that none is lost and none
is mistaken for what is held.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import msgspec

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    CitationKind,
    Composition,
    FeatureAspect,
    ObservationKind,
    Standing,
    Statement,
    is_rejected,
    standing_of,
)


class Heading(StrEnum):
    """What a line is about, in the words that stand over it."""

    STOCK_NUMBER = "Stock number"
    OTHER_NUMBER = "Other number"
    TITLE = "Title"
    OTHER_TITLE = "Other title"
    DATE = "Date"
    PERIOD = "Period"
    PLACE = "Place"
    CULTURE = "Culture"
    KILN = "Kiln"
    MAKER = "Maker"
    AGREES = "Agrees with it"
    OTHER_OPINION = "Other opinion"
    REJECTED = "Rejected opinion"
    PART = "Of a part"
    COMPOSITION = "Composition"
    FORM = "Form"
    WARE = "Ware"
    MATERIAL = "Material"
    TECHNIQUE = "Technique"
    GLAZE = "Glaze"
    COLOUR = "Colour"
    DECORATION = "Decoration"
    SUBJECT = "Subject"
    SIZE = "Size"
    MARK = "Mark"
    MAKING = "Making"
    WEAR = "Wear"
    DAMAGE = "Damage"
    REPAIR = "Repair"
    ALTERATION = "Alteration"
    RESIDUE = "Residue"
    OBSERVED = "Observed"
    PROVENANCE = "Provenance"
    RELATED = "Related piece"
    LITERATURE = "Literature"
    EXHIBITION = "Exhibition"
    DESCRIPTION = "Description"
    NOTE = "Note"


ASPECT_HEADINGS: dict[Aspect, Heading] = {
    Aspect.DATE: Heading.DATE,
    Aspect.PERIOD: Heading.PERIOD,
    Aspect.PLACE: Heading.PLACE,
    Aspect.CULTURE: Heading.CULTURE,
    Aspect.KILN: Heading.KILN,
    Aspect.MAKER: Heading.MAKER,
}

FEATURE_HEADINGS: dict[FeatureAspect, Heading] = {
    FeatureAspect.FORM: Heading.FORM,
    FeatureAspect.WARE: Heading.WARE,
    FeatureAspect.MATERIAL: Heading.MATERIAL,
    FeatureAspect.TECHNIQUE: Heading.TECHNIQUE,
    FeatureAspect.GLAZE: Heading.GLAZE,
    FeatureAspect.COLOUR: Heading.COLOUR,
    FeatureAspect.DECORATION: Heading.DECORATION,
    FeatureAspect.SUBJECT: Heading.SUBJECT,
}

OBSERVATION_HEADINGS: dict[ObservationKind, Heading] = {
    ObservationKind.MAKING: Heading.MAKING,
    ObservationKind.WEAR: Heading.WEAR,
    ObservationKind.DAMAGE: Heading.DAMAGE,
    ObservationKind.REPAIR: Heading.REPAIR,
    ObservationKind.ALTERATION: Heading.ALTERATION,
    ObservationKind.RESIDUE: Heading.RESIDUE,
    ObservationKind.UNDETERMINED: Heading.OBSERVED,
}


CITATION_HEADINGS: dict[CitationKind, Heading] = {
    CitationKind.LITERATURE: Heading.LITERATURE,
    CitationKind.EXHIBITION: Heading.EXHIBITION,
}

REJECTED_WORDS = "not held to be"
"""What stands before a value that was rejected, so that nobody reads it as one that is held."""

NOT_FOLLOWED = "which is not held"
"""What stands after a value that somebody asserts and the owner rejects."""


@dataclass(frozen=True)
class Fact:
    """One line: its heading, the whole of it in words, and `short`, the bare value with its doubt.

    `short` is for places that take a value and no sentence ('Korean (probable)').
    """

    heading: Heading
    text: str
    short: str

    @property
    def headed(self) -> str:
        """The line with its heading before it."""
        return f"{self.heading.value}: {self.text}"


def held(piece: Piece, aspect: Aspect) -> Attribution | None:
    """The attribution that is held of `aspect`, None where nothing is.

    Where several dates agree it is the narrowest of them; the years they have in common are
    `piece.record.date`.
    """
    return piece.record.preferred(aspect)


def facts(piece: Piece) -> tuple[Fact, ...]:
    """All that may be told of `piece`, in the order of `Heading`; the title is not among it."""
    order = list(Heading)
    return tuple(sorted(_facts(piece), key=lambda fact: order.index(fact.heading)))


def _facts(piece: Piece) -> Iterator[Fact]:
    record = piece.record
    yield from _plain(Heading.STOCK_NUMBER, record.stock_number)
    for number in record.other_numbers:
        yield from _plain(Heading.OTHER_NUMBER, number)
    for title in record.titles:
        if title.value != record.title:
            yield from _stated(piece, Heading.OTHER_TITLE, title, title.value)
        elif wording.caveats(piece, title):
            yield from _stated(piece, Heading.TITLE, title, title.value)
    yield from _attributions(piece)
    if record.composition is not None:
        yield from _composition(piece, record.composition)
    for feature in record.features:
        text = wording.term_shown(feature.term, feature.as_stated)
        heading = FEATURE_HEADINGS[feature.aspect]
        if is_rejected(feature, record.features):
            yield from _rejected(piece, heading, feature, text)
        elif feature.part:
            about = f"{feature.part}: {feature.aspect.value}: {text}"
            yield from _stated(piece, Heading.PART, feature, about)
        elif feature.who:
            about = f"{feature.aspect.value}: {text}"
            yield from _stated(piece, Heading.OTHER_OPINION, feature, about)
        else:
            yield from _stated(piece, heading, feature, text, feature.term.label)
    for measurement in record.measurements:
        text = wording.measurement_shown(measurement)
        yield from _stated(piece, Heading.SIZE, measurement, text)
    for mark in record.marks:
        yield from _stated(piece, Heading.MARK, mark, wording.mark_shown(piece, mark))
    for observation in record.observations:
        text = wording.observation_shown(observation)
        yield from _stated(piece, OBSERVATION_HEADINGS[observation.kind], observation, text)
    for event in record.provenance:
        yield from _stated(piece, Heading.PROVENANCE, event, wording.event_shown(piece, event))
    for relation in record.relations:
        yield from _stated(
            piece, Heading.RELATED, relation, wording.relation_shown(piece, relation)
        )
    for citation in record.citations:
        text = wording.citation_shown(citation)
        yield from _stated(piece, CITATION_HEADINGS[citation.kind], citation, text)
    for note in record.descriptions:
        words = wording.listed([note.heading, note.as_stated.strip()], ": ")
        yield from _stated(piece, Heading.DESCRIPTION, note, words)
    for note in record.notes:
        words = wording.listed([note.heading, note.as_stated.strip()], ": ")
        yield from _stated(piece, Heading.NOTE, note, words)


def _composition(piece: Piece, composition: Composition) -> Iterator[Fact]:
    """The whole with the parts of which there is no doubt; each of the others by itself."""
    plain = [part for part in composition.parts if not wording.caveats(piece, part)]
    whole = msgspec.structs.replace(composition, parts=tuple(plain))
    yield from _plain(Heading.COMPOSITION, wording.composition_shown(whole))
    for part in composition.parts:
        if wording.caveats(piece, part):
            yield from _stated(piece, Heading.COMPOSITION, part, wording.part_shown(part))


def _attributions(piece: Piece) -> Iterator[Fact]:
    attributions = piece.record.attributions
    for attribution, standing in zip(attributions, standing_of(attributions), strict=True):
        text = wording.attribution_shown(attribution)
        short = attribution.term.label if attribution.term else text
        heading = ASPECT_HEADINGS[attribution.aspect]
        if standing is Standing.HELD:
            if attribution.aspect is Aspect.DATE:
                text = short = held_date_shown(piece)
            yield from _stated(piece, heading, attribution, text, short)
        elif standing is Standing.REJECTED:
            yield from _rejected(piece, heading, attribution, text)
        elif standing is Standing.APART:
            yield from _stated(piece, Heading.PART, attribution, text, short)
        else:
            about = f"{attribution.aspect.value}: {text}" if text else ""
            agrees = standing is Standing.AGREES
            other = Heading.AGREES if agrees else Heading.OTHER_OPINION
            yield from _stated(piece, other, attribution, about)


def held_date_shown(piece: Piece) -> str:
    """The date held in words; where it is narrower than all its ground, in the words of each."""
    held = piece.record.holding(Aspect.DATE)
    if held is None:
        return ""
    if held.date == held.leading.date:
        return wording.date_shown(held.date, held.leading.as_stated)
    words = dict.fromkeys(" ".join(a.as_stated.split()) for a in held.ground)
    return wording.date_shown(held.date, wording.listed(words, "; "))


def _plain(heading: Heading, text: str) -> Iterator[Fact]:
    if text:
        yield Fact(heading, text, text)


def _stated(
    piece: Piece, heading: Heading, statement: Statement, text: str, short: str = ""
) -> Iterator[Fact]:
    """The fact that `statement` makes, its doubts with it; what was rejected is set apart."""
    if not text:
        return
    if statement.certainty is Certainty.REJECTED:
        yield from _rejected(piece, heading, statement, text)
        return
    doubt = wording.doubt(piece, statement)
    bare = f"{short or text} ({doubt})" if doubt else short or text
    yield Fact(heading, wording.with_caveats(piece, text, statement), bare)


def _rejected(piece: Piece, heading: Heading, statement: Statement, text: str) -> Iterator[Fact]:
    """That something is not so; and what somebody says all the same, whom the owner does not
    follow: 'Ming (according to ...), which is not held'."""
    if not text:
        return
    about = heading.value.lower()
    if statement.certainty is Certainty.REJECTED:
        told = f"{about}: {REJECTED_WORDS} {text}"
        yield Fact(Heading.REJECTED, wording.with_caveats(piece, told, statement), told)
    else:
        told = f"{wording.with_caveats(piece, f'{about}: {text}', statement)}, {NOT_FOLLOWED}"
        yield Fact(Heading.REJECTED, told, told)
