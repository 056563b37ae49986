"""LIDO of a piece: what is held first, what others hold beside it, and doubt wherever there is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from msgspec.structs import replace as changed

from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Basis,
    Certainty,
    Date,
    Dimension,
    EventKind,
    Measurement,
    Passage,
    ProvenanceEvent,
    Rights,
    Term,
    Title,
    Unit,
)
from archivist.testing import BOWL, FARMHOUSE, export, sample_piece, sample_selection
from archivist_plugins.iptc import IPTC
from archivist_plugins.lido import LIDO
from archivist_plugins.lido.exporter import document
from archivist_plugins.lido.writing import year

N = {"l": "http://www.lido-schema.org"}


def _made(record: Any = BOWL, **changes: Any) -> etree._Element:
    piece = Piece(record, (), (FARMHOUSE,), "bowl", "https://x.test/1")
    piece = replace(piece, **changes)
    return etree.fromstring(document(piece, sample_selection(Path(), [piece])))


def _texts(root: etree._Element, path: str) -> list[str]:
    found = root.xpath(path, namespaces=N)
    assert isinstance(found, list)
    return [e.text or "" if isinstance(e, etree._Element) else str(e) for e in found]


def test_the_making_that_is_held_comes_first_and_every_other_opinion_beside_it() -> None:
    root = _made()
    shown = _texts(root, "//l:eventSet[l:event/l:eventType/l:term='Production']/l:displayEvent")
    assert shown == [
        "date: late 18th or early 19th century (1775–1825; probable); culture: Korean",
        "date: c. 1900 (1895–1905; possible)",
    ]
    assert _texts(root, "//l:eventSet/@l:sortorder") == ["1", "2", "3"]
    assert _texts(root, "//l:earliestDate") == ["1775", "1895", "1987"]
    assert _texts(root, "//l:eventDescriptionSet/@l:type") == ["other opinion"]


def test_a_rejected_opinion_is_no_event_but_is_told() -> None:
    wrong = Attribution(
        aspect=Aspect.DATE,
        as_stated="Ming",
        certainty=Certainty.REJECTED,
        date=Date(edtf="1368/1644", earliest=1368, latest=1644),
        ground="the foot is wrong",
    )
    root = _made(changed(BOWL, attributions=(wrong,)))
    assert "1368" not in _texts(root, "//l:earliestDate")
    [told] = _texts(root, "//l:objectDescriptionSet[@l:type='rejected opinion']/*")
    assert "Ming" in told
    assert "the foot is wrong" in told


def test_a_mark_is_an_inscription_and_what_it_claims_is_no_date() -> None:
    root = _made()
    assert _texts(root, "//l:inscriptions/@l:type") == ["reign mark"]
    assert _texts(root, "//l:inscriptionTranscription") == ["大明\n成化\n年製"]
    [words] = _texts(root, "//l:inscriptionDescription/l:descriptiveNoteValue")
    assert "held to be later than it claims" in words
    assert not [t for t in _texts(root, "//l:eventWrap//*") if "Chenghua" in t]


def test_making_and_damage_are_descriptions_of_different_kinds() -> None:
    kinds = _texts(_made(), "//l:objectDescriptionSet/@l:type")
    assert kinds == ["composition", "making", "damage", "description"]


def test_a_recalled_size_is_said_to_be_recalled_and_its_ends_are_two_values() -> None:
    size = Measurement(
        dimension=Dimension.HEIGHT,
        low="30",
        high="32",
        unit=Unit.CENTIMETRE,
        basis=Basis.RECALLED,
        approximate=True,
        part="cover",
        includes=("stand",),
        certainty=Certainty.POSSIBLE,
    )
    root = _made(changed(BOWL, measurements=(size,)))
    assert _texts(root, "//l:measurementValue") == ["30", "32"]
    assert _texts(root, "//l:extentMeasurements/l:term") == ["cover", "cover"]
    qualifiers = _texts(root, "//l:qualifierMeasurements/l:term")
    assert qualifiers[:5] == ["minimum", "approximate", "recalled", "with stand", "possible"]
    assert qualifiers[5] == "maximum"
    [words] = _texts(root, "//l:displayObjectMeasurements")
    assert "as recalled" in words


def test_a_term_that_is_doubted_says_so_and_loses_its_uri() -> None:
    def culture(certainty: Certainty) -> etree._Element:
        term = Term(label="Korean", uri="http://example.org/korean")
        said = Attribution(aspect=Aspect.CULTURE, term=term, certainty=certainty)
        return _made(changed(BOWL, attributions=(said,)))

    assert _texts(culture(Certainty.CERTAIN), "//l:culture/*") == [
        "http://example.org/korean",
        "Korean",
    ]
    assert _texts(culture(Certainty.DOUBTFUL), "//l:culture/*") == ["Korean (doubtful)"]


def test_a_doubted_maker_is_qualified() -> None:
    said = Attribution(
        aspect=Aspect.MAKER, term=Term(label="Aldous Wren"), certainty=Certainty.POSSIBLE
    )
    root = _made(changed(BOWL, attributions=(said,), provenance=()))
    assert _texts(root, "//l:nameActorSet/l:appellationValue") == ["Aldous Wren"]
    assert _texts(root, "//l:attributionQualifierActor/l:term") == ["possible"]


def test_provenance_keeps_its_order_parties_and_gaps() -> None:
    events = (
        ProvenanceEvent(kind=EventKind.SALE, giver=FARMHOUSE.id, receiver="somebody"),
        ProvenanceEvent(
            kind=EventKind.STAY,
            passage=Passage.GAP,
            date=Date(edtf="1990", earliest=1990, latest=1990),
            until=Date(edtf="1995", earliest=1995, latest=1996),
        ),
    )
    root = _made(changed(BOWL, attributions=(), provenance=events))
    assert _texts(root, "//l:eventType/l:term") == ["Acquisition", "Provenance"]
    assert _texts(root, "//l:eventMethod/l:term") == ["sale", "stay"]
    assert _texts(root, "//l:nameActorSet/l:appellationValue") == [
        "private collection, Wales",
        "a party not named here",
    ]
    assert _texts(root, "//l:eventDescriptionSet/@l:type") == ["gap"]
    assert _texts(root, "//l:date/*") == ["1990", "1996"]


@pytest.mark.parametrize(
    ("astronomical", "written"), [(1811, "1811"), (960, "0960"), (0, "0000"), (-205, "-0205")]
)
def test_years_are_written_as_iso_8601_does(astronomical: int, written: str) -> None:
    assert year(astronomical) == written


def test_a_day_that_is_known_is_written_as_a_day() -> None:
    sold = ProvenanceEvent(
        kind=EventKind.SALE, date=Date(edtf="1987-05-02", earliest=1987, latest=1987)
    )
    root = _made(changed(BOWL, attributions=(), provenance=(sold,)))
    assert _texts(root, "//l:date/*") == ["1987-05-02", "1987-05-02"]


def test_titles_keep_their_language_and_their_doubt() -> None:
    titles = (
        Title(value="Schale", language="de", certainty=Certainty.POSSIBLE),
        Title(value="Bowl", preferred=True),
        Title(value="Vase", certainty=Certainty.REJECTED),
    )
    root = _made(changed(BOWL, titles=titles))
    assert _texts(root, "//l:titleSet/l:appellationValue") == ["Bowl", "Schale"]
    assert _texts(root, "//l:titleSet/@l:pref") == ["preferred", "alternative"]
    assert _texts(root, "//l:titleSet/l:sourceAppellation") == ["possible"]


def test_what_nobody_stated_is_not_made_up() -> None:
    root = _made(changed(BOWL, titles=(), features=(), attributions=(), provenance=()))
    assert _texts(root, "//l:objectWorkType/l:term") == ["object"]
    assert _texts(root, "//l:titleSet/l:appellationValue") == ["T 0417"]
    assert _texts(root, "//l:event") == []


def test_a_photograph_has_an_address_only_where_the_release_holds_it(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path / "pictures")
    selection = sample_selection(tmp_path, [piece])
    alone = export(LIDO, selection, tmp_path / "alone")
    root = etree.parse(alone[f"lido/{piece.slug}.xml"].location).getroot()
    assert _texts(root, "//l:linkResource") == []
    assert len(_texts(root, "//l:resourceSet")) == 2
    both = export((LIDO, IPTC), selection, tmp_path / "both")
    root = etree.parse(both[f"lido/{piece.slug}.xml"].location).getroot()
    assert [link.split(".invalid/")[1] for link in _texts(root, "//l:linkResource")] == [
        f"iptc/{piece.slug}/{photo.name}" for photo in piece.photographs
    ]


def test_the_rights_of_a_piece_go_before_those_of_the_archive() -> None:
    rights = Rights(uri="https://creativecommons.org/licenses/by/4.0/", note="Ask first.")
    root = _made(changed(BOWL, rights=rights))
    assert _texts(root, "//l:rightsType/*") == [rights.uri, "Ask first."]
    assert _texts(root, "//l:creditLine") == ["Ines Tidewell, Marrowgate"]


def test_what_xml_forbids_is_replaced_and_that_is_remarked() -> None:
    root = _made(changed(BOWL, titles=(Title(value="a\x00b"),)))
    assert _texts(root, "//l:titleSet/l:appellationValue") == ["a␀b"]
    assert isinstance(root[0], etree._Comment)
