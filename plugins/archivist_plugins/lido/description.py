"""What a piece is: its kind, titles, marks, condition, sizes, materials, subjects, relations."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeVar

from lxml import etree

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Basis,
    Certainty,
    Dimension,
    Feature,
    FeatureAspect,
    Measurement,
    Statement,
)
from archivist.wording.facts import Heading, facts
from archivist_plugins.lido.events import events
from archivist_plugins.lido.writing import Writer, attributes
from archivist_plugins.xml_writing import XML_LANG

StatementType = TypeVar("StatementType", bound=Statement)

MATERIALS = (
    FeatureAspect.MATERIAL,
    FeatureAspect.TECHNIQUE,
    FeatureAspect.GLAZE,
    FeatureAspect.COLOUR,
    FeatureAspect.DECORATION,
)
"""Features that say of what and how a piece is made."""

NOTES = (
    Heading.DESCRIPTION,
    Heading.COMPOSITION,
    Heading.MAKING,
    Heading.WEAR,
    Heading.DAMAGE,
    Heading.REPAIR,
    Heading.ALTERATION,
    Heading.RESIDUE,
    Heading.OBSERVED,
    Heading.REJECTED,
    Heading.NOTE,
)
"""Headings whose lines become descriptions, each of its own kind: making apart from damage."""

KIND_NOT_STATED = "object"
"""LIDO asks for a kind of object; this is said where nobody stated one."""


def descriptive_metadata(writer: Writer, piece: Piece) -> None:
    """The descriptive half of the record, in the order of the schema."""
    half = writer.metadata("descriptiveMetadata")
    _classification(writer, half, piece)
    identification = writer.add(half, "objectIdentificationWrap")
    _titles(writer, identification, piece)
    _inscriptions(writer, identification, piece)
    _descriptions(writer, identification, piece)
    _measurements(writer, identification, piece)
    _materials(writer, identification, piece)
    events(writer, half, piece)
    _relations(writer, half, piece)


def standing(statements: Iterable[StatementType]) -> list[StatementType]:
    """Those that were not rejected."""
    return [s for s in statements if s.certainty is not Certainty.REJECTED]


def _features(piece: Piece, *aspects: FeatureAspect) -> list[Feature]:
    return [f for f in standing(piece.record.features) if f.aspect in aspects]


def _classification(writer: Writer, half: etree._Element, piece: Piece) -> None:
    wrap = writer.add(half, "objectClassificationWrap")
    kinds = writer.add(wrap, "objectWorkTypeWrap")
    forms = _features(piece, FeatureAspect.FORM)
    for form in forms:
        writer.term(kinds, "objectWorkType", form.term, form)
    if not forms:
        writer.concept(kinds, "objectWorkType", KIND_NOT_STATED)
    wares = _features(piece, FeatureAspect.WARE)
    if wares:
        classes = writer.add(wrap, "classificationWrap")
        for ware in wares:
            writer.term(classes, "classification", ware.term, ware, kind="ware")


def _titles(writer: Writer, parent: etree._Element, piece: Piece) -> None:
    record = piece.record
    wrap = writer.add(parent, "titleWrap")
    titles = [title for title in standing(record.titles) if title.value]
    titles.sort(key=lambda title: title.value != record.title)
    for number, title in enumerate(titles):
        preference = "alternative" if number else "preferred"
        element = writer.add(wrap, "titleSet", attributes=attributes(pref=preference))
        tag = wording.language_tag(title.language)
        writer.add(element, "appellationValue", title.value, {XML_LANG: tag})
        said = wording.caveats(piece, title)
        if said:
            writer.add(element, "sourceAppellation", said)
    if not titles:
        writer.named(wrap, "titleSet", record.name)


def _inscriptions(writer: Writer, parent: etree._Element, piece: Piece) -> None:
    marks = standing(piece.record.marks)
    if not marks:
        return
    wrap = writer.add(parent, "inscriptionsWrap")
    for mark in marks:
        kind = wording.MARK_WORDS.get(mark.kind, mark.kind.value)
        element = writer.add(wrap, "inscriptions", attributes=attributes(type=kind))
        if mark.characters:
            writer.add(element, "inscriptionTranscription", mark.characters)
        words = wording.with_caveats(piece, wording.mark_shown(piece, mark), mark)
        writer.note(element, "inscriptionDescription", words, "description")


def _descriptions(writer: Writer, parent: etree._Element, piece: Piece) -> None:
    lines = [fact for fact in facts(piece) if fact.heading in NOTES]
    if lines:
        wrap = writer.add(parent, "objectDescriptionWrap")
        for fact in lines:
            writer.note(wrap, "objectDescriptionSet", fact.text, fact.heading.value.lower())


def _measurements(writer: Writer, parent: etree._Element, piece: Piece) -> None:
    sizes = standing(piece.record.measurements)
    if not sizes:
        return
    wrap = writer.add(parent, "objectMeasurementsWrap")
    for size in sizes:
        words = wording.with_caveats(piece, wording.measurement_shown(size), size)
        _size(writer, wrap, size, size.low, words, "minimum" if size.low != size.high else "")
        if size.low != size.high:
            _size(writer, wrap, size, size.high, "", "maximum")


def _size(
    writer: Writer, wrap: etree._Element, size: Measurement, value: str, words: str, end: str
) -> None:
    """One value with its unit, the part it is of, and everything that qualifies it."""
    element = writer.add(wrap, "objectMeasurementsSet")
    if words:
        writer.add(element, "displayObjectMeasurements", words)
    measured = writer.add(element, "objectMeasurements")
    one = writer.add(measured, "measurementsSet")
    name = "size" if size.dimension is Dimension.UNSTATED else size.dimension.value
    writer.concept(one, "measurementType", name)
    writer.concept(one, "measurementUnit", size.unit.value)
    writer.add(one, "measurementValue", value)
    for part in filter(None, (size.part, size.which)):
        writer.concept(measured, "extentMeasurements", part)
    for qualifier in filter(None, (end, *_qualifiers(size))):
        writer.concept(measured, "qualifierMeasurements", qualifier)


def _qualifiers(size: Measurement) -> Iterator[str]:
    """How exact a size is, how it is known, what it takes in, and how sure that is."""
    if size.approximate:
        yield "approximate"
    if size.basis is not Basis.UNSTATED:
        yield size.basis.value
    for other in size.includes:
        yield f"with {other}"
    if size.certainty is not Certainty.CERTAIN:
        yield size.certainty.value


def _materials(writer: Writer, parent: etree._Element, piece: Piece) -> None:
    features = _features(piece, *MATERIALS)
    if not features:
        return
    wrap = writer.add(parent, "objectMaterialsTechWrap")
    for feature in features:
        element = writer.add(wrap, "objectMaterialsTechSet")
        words = wording.term_shown(feature.term, feature.as_stated)
        writer.add(element, "displayMaterialsTech", wording.with_caveats(piece, words, feature))
        inner = writer.add(element, "materialsTech")
        writer.term(inner, "termMaterialsTech", feature.term, feature, kind=feature.aspect.value)


def _relations(writer: Writer, half: etree._Element, piece: Piece) -> None:
    subjects = _features(piece, FeatureAspect.SUBJECT)
    related = standing(piece.record.relations)
    if not subjects and not related:
        return
    wrap = writer.add(half, "objectRelationWrap")
    if subjects:
        shown = writer.add(wrap, "subjectWrap")
        for subject in subjects:
            element = writer.add(shown, "subjectSet")
            words = wording.term_shown(subject.term, subject.as_stated)
            writer.add(element, "displaySubject", wording.with_caveats(piece, words, subject))
            inner = writer.add(element, "subject")
            writer.term(inner, "subjectConcept", subject.term, subject)
    if related:
        works = writer.add(wrap, "relatedWorksWrap")
        for relation in related:
            element = writer.add(works, "relatedWorkSet")
            words = wording.with_words(relation.kind.value, relation.as_stated)
            told = wording.with_caveats(piece, words, relation)
            writer.add(element, "displayRelatedWork", told)
            other = writer.add(writer.add(element, "relatedWork"), "object")
            writer.identifier(other, "objectID", f"urn:uuid:{relation.object}", "URI")
            writer.concept(element, "relatedWorkRelType", relation.kind.value)
