"""What a piece is: its kind, titles, marks, condition, sizes, materials, subjects, relations."""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from archivist import wording
from archivist.hooks import Piece
from archivist.model import (
    Basis,
    Dimension,
    Feature,
    FeatureAspect,
    Measurement,
    RelationKind,
    not_rejected,
)
from archivist.wording.facts import Heading, facts
from archivist_plugins.lido.events import events
from archivist_plugins.lido.writing import Writer, attributes, doubted
from archivist_plugins.titles import language_of_title
from archivist_plugins.xml_writing import XML_LANG

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
    Heading.PART,
    Heading.AGREES,
    Heading.TITLE,
    Heading.EXHIBITION,
    Heading.REJECTED,
    Heading.NOTE,
)
"""Headings whose lines become descriptions, each of its own kind: making apart from damage."""

RELATION_TERMS: dict[RelationKind, str] = {
    RelationKind.PART_OF: "part of",
    RelationKind.HAS_PART: "has part",
    RelationKind.AFTER: "copy of or made after",
}
"""How a relation is called, where its own word is not enough."""

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


def _features(piece: Piece, *aspects: FeatureAspect) -> list[Feature]:
    return [f for f in not_rejected(piece.record.features) if f.aspect in aspects and not f.part]


def _classification(writer: Writer, half: etree._Element, piece: Piece) -> None:
    wrap = writer.add(half, "objectClassificationWrap")
    kinds = writer.add(wrap, "objectWorkTypeWrap")
    forms = _features(piece, FeatureAspect.FORM)
    for form in forms:
        writer.term(kinds, "objectWorkType", form.term, form, piece)
    if not forms:
        writer.concept(kinds, "objectWorkType", KIND_NOT_STATED)
    wares = _features(piece, FeatureAspect.WARE)
    if wares:
        classes = writer.add(wrap, "classificationWrap")
        for ware in wares:
            writer.term(classes, "classification", ware.term, ware, piece, kind="ware")


def _titles(writer: Writer, parent: etree._Element, piece: Piece) -> None:
    record = piece.record
    wrap = writer.add(parent, "titleWrap")
    titles = [title for title in not_rejected(record.titles) if title.value]
    titles.sort(key=lambda title: title.value != record.title)
    for number, title in enumerate(titles):
        preference = "alternative" if number else "preferred"
        element = writer.add(wrap, "titleSet", attributes=attributes(pref=preference))
        tag = language_of_title(title, writer.language)
        tag = "" if tag == writer.language else tag
        writer.add(element, "appellationValue", title.value, {XML_LANG: tag})
        said = wording.caveats(piece, title)
        if said:
            writer.add(element, "sourceAppellation", said)
    if not titles:
        writer.named(wrap, "titleSet", record.name)


def _inscriptions(writer: Writer, parent: etree._Element, piece: Piece) -> None:
    marks = not_rejected(piece.record.marks)
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
    sizes = not_rejected(piece.record.measurements)
    if not sizes:
        return
    wrap = writer.add(parent, "objectMeasurementsWrap")
    for size in sizes:
        words = wording.with_caveats(piece, wording.measurement_shown(size), size)
        doubt = wording.doubt(piece, size)
        span = size.low != size.high
        _size(writer, wrap, size, size.low, words, "minimum" if span else "", doubt)
        if span:
            _size(writer, wrap, size, size.high, "", "maximum", doubt)


def _size(
    writer: Writer,
    wrap: etree._Element,
    size: Measurement,
    value: str,
    words: str,
    end: str,
    doubt: str,
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
    for qualifier in filter(None, (end, *_qualifiers(size), doubt)):
        writer.concept(measured, "qualifierMeasurements", qualifier)


def _qualifiers(size: Measurement) -> Iterator[str]:
    """How exact a size is, how it is known and what it takes in."""
    if size.approximate:
        yield "approximate"
    if size.basis is not Basis.UNSTATED:
        yield size.basis.value
    for other in size.includes:
        yield f"with {other}"


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
        writer.term(
            inner, "termMaterialsTech", feature.term, feature, piece, kind=feature.aspect.value
        )


def _relations(writer: Writer, half: etree._Element, piece: Piece) -> None:
    subjects = _features(piece, FeatureAspect.SUBJECT)
    related = not_rejected(piece.record.relations)
    cited = [fact for fact in facts(piece) if fact.heading is Heading.LITERATURE]
    if not (subjects or related or cited):
        return
    wrap = writer.add(half, "objectRelationWrap")
    if subjects:
        shown = writer.add(wrap, "subjectWrap")
        for subject in subjects:
            element = writer.add(shown, "subjectSet")
            words = wording.term_shown(subject.term, subject.as_stated)
            writer.add(element, "displaySubject", wording.with_caveats(piece, words, subject))
            inner = writer.add(element, "subject")
            writer.term(inner, "subjectConcept", subject.term, subject, piece)
    if not related and not cited:
        return
    works = writer.add(wrap, "relatedWorksWrap")
    for relation in related:
        words = wording.with_words(relation.kind.value, relation.as_stated)
        element = _related(writer, works, wording.with_caveats(piece, words, relation))
        other = writer.add(writer.add(element, "relatedWork"), "object")
        if relation.object:
            writer.identifier(other, "objectID", f"urn:uuid:{relation.object}", "URI")
        else:
            writer.add(other, "objectNote", doubted(piece, words, relation))
        kind = RELATION_TERMS.get(relation.kind, relation.kind.value)
        writer.concept(element, "relatedWorkRelType", doubted(piece, kind, relation))
    for fact in cited:
        element = _related(writer, works, fact.text)
        other = writer.add(writer.add(element, "relatedWork"), "object")
        writer.add(other, "objectNote", fact.text, attributes(type="bibliographic citation"))
        writer.concept(element, "relatedWorkRelType", "literature")


def _related(writer: Writer, works: etree._Element, words: str) -> etree._Element:
    element = writer.add(works, "relatedWorkSet")
    writer.add(element, "displayRelatedWork", words)
    return element
