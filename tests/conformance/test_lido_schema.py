"""LIDO against its published schema and the Schematron rules within it, without a network."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree, isoschematron

from archivist.hooks import Piece
from archivist.model import Aspect, Certainty, Standing, standing_of
from archivist.testing import export, sample_piece, sample_selection
from archivist_plugins.lido import LIDO
from archivist_plugins.lido.exporter import document
from tests.conformance.any_piece import pieces, published, xml_schema

L = "{http://www.lido-schema.org}"
SCHEMATRON = "http://purl.oclc.org/dsdl/schematron"
FATAL_RULES = {
    "sch_MixedContent": "lido:measurementType | lido:measurementUnit | lido:extentMeasurements "
    "| lido:qualifierMeasurements | lido:attributionQualifierActor",
    "sch_rightsType": "lido:rightsType",
    "sch_collection": "lido:collection",
}
"""The abstract rules of the schema, and elements that it applies them to."""


@cache
def _schema() -> etree.XMLSchema:
    return xml_schema(published("xsd", "lido", "lido-v1.1.xsd"))


@cache
def _rules() -> isoschematron.Schematron:
    """The schema's own Schematron assertions, their tests as they stand there (XPath 1.0)."""
    whole = etree.parse(str(published("xsd", "lido", "lido-v1.1.xsd")))
    root = etree.Element(f"{{{SCHEMATRON}}}schema", nsmap={"sch": SCHEMATRON})
    for prefix, uri in (
        ("lido", "http://www.lido-schema.org"),
        ("skos", "http://www.w3.org/2004/02/skos/core#"),
    ):
        etree.SubElement(root, f"{{{SCHEMATRON}}}ns", {"prefix": prefix, "uri": uri})
    for name, context in FATAL_RULES.items():
        found = whole.find(f".//{{{SCHEMATRON}}}rule[@id='{name}']")
        assert found is not None, name
        pattern = etree.SubElement(root, f"{{{SCHEMATRON}}}pattern")
        rule = etree.SubElement(pattern, f"{{{SCHEMATRON}}}rule", {"context": context})
        asserted = found.find(f"{{{SCHEMATRON}}}assert")
        assert asserted is not None
        one = etree.SubElement(rule, f"{{{SCHEMATRON}}}assert", {"test": str(asserted.get("test"))})
        one.text = name
    return isoschematron.Schematron(root)


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Piece:
    """A piece whose pictures are made once; the records are many."""
    return sample_piece(tmp_path_factory.mktemp("pictures"))


def test_a_piece_and_the_collection_are_valid_by_the_schema_of_lido_1_1(
    sample: Piece, tmp_path: Path
) -> None:
    bare = replace(sample, slug="bare", photographs=())
    files = export(LIDO, sample_selection(tmp_path, [sample, bare]), tmp_path)
    assert sorted(files) == ["lido/bare.xml", "lido/collection.xml", f"lido/{sample.slug}.xml"]
    for file in files.values():
        made = etree.parse(file.location)
        assert _schema().validate(made), _schema().error_log
        assert _rules().validate(made), _rules().error_log


def test_the_rules_find_what_breaks_them() -> None:
    broken = etree.fromstring(
        f"<lido:collection xmlns:lido='{L[1:-1]}'><lido:object/></lido:collection>"
    )
    assert not _rules().validate(broken)


@settings(deadline=None, max_examples=25)
@given(data=st.data())
def test_any_piece_is_valid(data: st.DataObject, sample: Piece) -> None:
    piece = data.draw(pieces(sample))
    selection = sample_selection(sample.photographs[0].path.parent, [piece])
    root = etree.fromstring(document(piece, selection))
    assert _schema().validate(root), _schema().error_log
    assert _rules().validate(root), _rules().error_log


@settings(deadline=None, max_examples=25)
@given(data=st.data())
def test_the_years_of_making_are_of_opinions_that_stand_and_of_nothing_else(
    data: st.DataObject, sample: Piece
) -> None:
    piece = data.draw(pieces(sample))
    selection = sample_selection(sample.photographs[0].path.parent, [piece])
    root = etree.fromstring(document(piece, selection))
    made = [
        e.find(f"{L}eventDate/{L}date")
        for e in root.iter(f"{L}event")
        if e.findtext(f"{L}eventType/{L}term") == "Production"
    ]
    told = [tuple(int(y.text or "") for y in date) for date in made if date is not None]
    attributions = piece.record.attributions
    holding = piece.record.holding(Aspect.DATE)
    dates = [
        holding.date if holding and said is holding.leading else said.date
        for said, how in zip(attributions, standing_of(attributions), strict=True)
        if said.aspect is Aspect.DATE
        and how in (Standing.HELD, Standing.OTHER)
        and said.certainty is not Certainty.DOUBTFUL
    ]
    years = [(d.earliest, d.latest) for d in dates if d is not None]
    wanted = [tuple(y for y in ends if y is not None) for ends in years]
    assert sorted(told) == sorted(ends for ends in wanted if ends)
