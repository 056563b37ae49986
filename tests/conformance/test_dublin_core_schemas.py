"""Dublin Core against its published terms and XML schemas, without a network."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from msgspec.structs import replace

from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Composition,
    CompositionKind,
    Date,
    Feature,
    FeatureAspect,
    ObjectRecord,
    Relation,
    RelationKind,
    Rights,
    Term,
    Title,
)
from archivist.testing import BOWL, FARMHOUSE, export, sample_selection
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.dublin_core import terms as terms_module

XSD = Path(__file__).resolve().parents[3] / "shared" / "standards" / "xsd"

# DCMI Metadata Terms (2020-01-20), section 3: properties in the /elements/1.1/ namespace.
ELEMENT_NAMES = """
    contributor coverage creator date description format identifier language publisher relation
    rights source subject title type
"""
# The same, section 2: properties in the /terms/ namespace.
TERM_NAMES = """
    abstract accessRights accrualMethod accrualPeriodicity accrualPolicy alternative audience
    available bibliographicCitation conformsTo contributor coverage created creator date
    dateAccepted dateCopyrighted dateSubmitted description educationLevel extent format hasFormat
    hasPart hasVersion identifier instructionalMethod isFormatOf isPartOf isReferencedBy
    isReplacedBy isRequiredBy issued isVersionOf language license mediator medium modified
    provenance publisher references relation replaces requires rights rightsHolder source spatial
    subject tableOfContents temporal title type valid
"""
ELEMENTS, TERMS = set(ELEMENT_NAMES.split()), set(TERM_NAMES.split())
REFINES = {
    # The same, "Subproperty of".
    "alternative": "title", "created": "date", "extent": "format", "medium": "format",
    "hasPart": "relation", "isPartOf": "relation", "spatial": "coverage", "temporal": "coverage",
    "license": "rights", "accessRights": "rights",
}  # fmt: skip


class _Local(etree.Resolver):
    """Answers every schema location by the file of that name, and nothing from the network."""

    def resolve(self, system_url: str, public_id: str, context: Any) -> Any:  # type: ignore[override]
        return self.resolve_filename(  # type: ignore[attr-defined]
            str(XSD / Path(system_url).name), context
        )


@cache
def _schema(name: str) -> etree.XMLSchema:
    if not XSD.is_dir():
        pytest.skip("the published XML schemas do not lie beside the project (../shared/standards)")
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    return etree.XMLSchema(etree.parse(str(XSD / name), parser))


def _full_record() -> ObjectRecord:
    """A record that has something for every term."""
    return replace(
        BOWL,
        titles=(*BOWL.titles, Title(value="Mondschale", language="de")),
        composition=Composition(kind=CompositionKind.PAIR, count=2),
        attributions=(
            *BOWL.attributions,
            *(
                Attribution(aspect=aspect, term=Term(label=f"some {aspect.value}"))
                for aspect in Aspect
                if aspect is not Aspect.DATE
            ),
        ),
        features=tuple(
            Feature(aspect=aspect, term=Term(label=f"some {aspect.value}"))
            for aspect in FeatureAspect
        ),
        relations=tuple(Relation(kind=kind, object=FARMHOUSE.id) for kind in RelationKind),
        rights=Rights(uri="http://creativecommons.org/licenses/by/4.0/", note="a\x0bnote & <more>"),
    )


@pytest.fixture(params=["bowl", "full", "empty", "dated"])
def exported(request: pytest.FixtureRequest, tmp_path: Path) -> dict[str, Path]:
    dated = Attribution(aspect=Aspect.DATE, date=Date(edtf="1811-05", earliest=1811, latest=1811))
    records = {
        "bowl": BOWL,
        "full": _full_record(),
        "empty": ObjectRecord(id=BOWL.id),
        "dated": ObjectRecord(id=BOWL.id, attributions=(dated,)),
    }
    piece = Piece(
        record=records[request.param],
        photographs=(),
        parties=(FARMHOUSE,),
        slug="piece",
        uri="https://example.org/objects/1",
    )
    files = export(DUBLIN_CORE, sample_selection(tmp_path, [piece]), tmp_path)
    return {Path(path).name: file.location for path, file in files.items()}


def test_the_fifteen_elements_are_valid_by_the_oai_schema(exported: dict[str, Path]) -> None:
    _schema("oai_dc.xsd").assertValid(etree.parse(exported["piece.xml"]))


@pytest.mark.parametrize("name", ["piece.dcterms.xml", "collection.xml"])
def test_the_qualified_terms_are_valid_by_the_dcmi_schema(
    name: str, exported: dict[str, Path]
) -> None:
    _schema("qualifieddc.xsd").assertValid(etree.parse(exported[name]))


def test_the_schemas_find_what_is_wrong(tmp_path: Path) -> None:
    wrong = (
        '<qualifieddc xmlns:dcterms="http://purl.org/dc/terms/" '
        'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">'
        "<dcterms:created xsi:type='dcterms:W3CDTF'>c. 1800</dcterms:created></qualifieddc>"
    )
    assert not _schema("qualifieddc.xsd").validate(etree.fromstring(wrong))
    wrong = (
        '<oai_dc:dc xmlns:oai_dc="http://www.openarchives.org/OAI/2.0/oai_dc/" '
        'xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:extent>9 cm</dc:extent></oai_dc:dc>'
    )
    assert not _schema("oai_dc.xsd").validate(etree.fromstring(wrong))


def test_every_element_is_a_published_term_in_its_namespace(exported: dict[str, Path]) -> None:
    names = {"piece.xml": ELEMENTS, "piece.dcterms.xml": TERMS, "collection.xml": TERMS}
    # DCMI Metadata Terms, section 1: the two namespace URIs.
    spaces = {"piece.xml": "http://purl.org/dc/elements/1.1/"}
    for file, allowed in names.items():
        root = etree.parse(exported[file]).getroot()
        for element in root.iterchildren(tag=etree.Element):
            name = etree.QName(element)
            assert name.namespace == spaces.get(file, "http://purl.org/dc/terms/")
            assert name.localname in allowed


def test_both_forms_name_the_same_thing() -> None:
    pairs = {*terms_module.OWN_TERMS.values(), *terms_module.RELATIONS.values()}
    # A book about a piece is related to it; 'bibliographicCitation' refines 'identifier', which the
    # simple form would say of the piece itself.
    pairs.remove(("relation", "bibliographicCitation"))
    for simple, qualified in pairs:
        assert qualified == simple or REFINES[qualified] == simple


def test_the_files_are_utf_8_and_say_where_their_schemas_are(exported: dict[str, Path]) -> None:
    # OAI-PMH 2.0, 3.4 and 7; DCMI, XML schemas of 2008-02-11.
    locations = {
        "piece.xml": b"http://www.openarchives.org/OAI/2.0/oai_dc/ "
        b"http://www.openarchives.org/OAI/2.0/oai_dc.xsd",
        "piece.dcterms.xml": b"http://dublincore.org/schemas/xmls/qdc/2008/02/11/qualifieddc.xsd",
    }
    for name, location in locations.items():
        content = exported[name].read_bytes()
        assert location in content
        content.decode("utf-8")
        assert content.startswith(b"<?xml version='1.0' encoding='UTF-8'?>")
        assert b"\r" not in content
