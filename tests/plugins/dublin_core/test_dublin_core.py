"""Dublin Core of a piece: what is held, with its doubt, and the rest kept in words."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace as with_changes
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from archivist.hooks import Piece
from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Mark,
    MarkKind,
    Measurement,
    Note,
    ObjectRecord,
    Relation,
    RelationKind,
    Rights,
    SaleFact,
    SaleStage,
    Title,
    Unit,
)
from archivist.testing import BOWL, FARMHOUSE, export, sample_selection
from archivist_plugins.dates import is_plain, with_doubt
from archivist_plugins.dublin_core import DUBLIN_CORE
from archivist_plugins.dublin_core.exporter import legal

DC = "{http://purl.org/dc/elements/1.1/}"
DCTERMS = "{http://purl.org/dc/terms/}"
TYPE = "{http://www.w3.org/2001/XMLSchema-instance}type"


def _piece(record: ObjectRecord = BOWL, **changes: Any) -> Piece:
    piece = Piece(
        record=record, photographs=(), parties=(FARMHOUSE,), slug="bowl", uri="https://x.test/1"
    )
    return with_changes(piece, **changes)


def _exported(folder: Path, piece: Piece, audience: str = "public") -> dict[str, etree._Element]:
    """The roots of the files written, by path."""
    selection = sample_selection(folder, [piece], audience=audience)
    files = export(DUBLIN_CORE, selection, folder)
    return {path: etree.parse(file.location).getroot() for path, file in files.items()}


def _values(root: etree._Element, name: str) -> list[str]:
    return [element.text or "" for element in root.iterchildren(name)]


def _dated(edtf: str, certainty: Certainty = Certainty.CERTAIN) -> Piece:
    date = Attribution(
        aspect=Aspect.DATE,
        date=Date(edtf=edtf, earliest=1700, latest=1700),
        certainty=certainty,
        as_stated="as stated",
    )
    return _piece(msgspec.structs.replace(BOWL, attributions=(date,)))


def test_each_piece_is_written_in_both_forms_and_the_collection_once(tmp_path: Path) -> None:
    assert list(_exported(tmp_path, _piece())) == [
        "dublin-core/bowl.xml",
        "dublin-core/bowl.dcterms.xml",
        "dublin-core/collection.xml",
    ]


def test_the_fifteen_elements_hold_what_is_held(tmp_path: Path) -> None:
    root = _exported(tmp_path, _piece())["dublin-core/bowl.xml"]
    assert _values(root, f"{DC}title") == ["Bowl with celadon glaze"]
    assert _values(root, f"{DC}date") == ["1775/1825?"]
    assert _values(root, f"{DC}type") == ["bowl", "PhysicalObject"]
    assert _values(root, f"{DC}coverage") == ["Korean"]
    assert _values(root, f"{DC}identifier") == [
        "T 0417",
        "https://x.test/1",
        "urn:uuid:0b9a4c1e-4a86-4d6c-9f62-5d6f4e0b7a01",
    ]
    assert "diameter 18.4 cm (7.2 in)" in _values(root, f"{DC}format")
    assert "Glaze pools & thins; <blue-green> towards the foot." in _values(
        root, f"{DC}description"
    )


def test_the_qualified_form_says_what_each_value_is(tmp_path: Path) -> None:
    root = _exported(tmp_path, _piece())["dublin-core/bowl.dcterms.xml"]
    assert _values(root, f"{DCTERMS}created") == ["1775/1825?"]
    assert _values(root, f"{DCTERMS}medium") == ["stoneware", "celadon"]
    assert _values(root, f"{DCTERMS}extent") == ["single piece", "diameter 18.4 cm (7.2 in)"]
    assert _values(root, f"{DCTERMS}provenance") == [
        "1987: sale, from private collection, Wales, stated as “from a farmhouse sale”"
    ]
    assert _values(root, f"{DCTERMS}rights")[0] == "http://rightsstatements.org/vocab/InC/1.0/"
    assert _values(root, f"{DCTERMS}rightsHolder") == ["Ines Tidewell"]


def test_a_contrary_opinion_stays_visible_and_is_no_date(tmp_path: Path) -> None:
    root = _exported(tmp_path, _piece())["dublin-core/bowl.xml"]
    assert "Other opinion: date: c. 1900 (1895–1905; possible)" in _values(root, f"{DC}description")
    assert not [date for date in _values(root, f"{DC}date") if "1900" in date]


def test_what_a_mark_claims_is_never_a_date_nor_a_period(tmp_path: Path) -> None:
    mark = Mark(
        kind=MarkKind.REIGN,
        claim="Chenghua",
        claims=Date(edtf="1465/1487", earliest=1465, latest=1487),
    )
    record = ObjectRecord(id=BOWL.id, marks=(mark,))
    for root in _exported(tmp_path, _piece(record)).values():
        for element in root.iterchildren():
            told = element.text or ""
            if "Chenghua" in told or "1465" in told:
                assert element.tag in (f"{DC}description", f"{DCTERMS}description")
                assert "claims Chenghua" in told
    assert not _values(
        _exported(tmp_path / "b", _piece(record))["dublin-core/bowl.xml"], f"{DC}date"
    )


@pytest.mark.parametrize(
    ("edtf", "certainty", "date"),
    [
        ("1700", Certainty.CERTAIN, "1700"),
        ("1700", Certainty.PROBABLE, "1700?"),
        ("1700~", Certainty.POSSIBLE, "1700%"),
        ("1775/1825", Certainty.DOUBTFUL, "1775?/1825?"),
        ("1775/..", Certainty.DOUBTFUL, "1775?/.."),
        ("1775/1825?", Certainty.POSSIBLE, "1775/1825?"),
        ("-0205", Certainty.CERTAIN, "-0205"),
    ],
)
def test_an_uncertain_date_is_never_given_as_a_certain_one(
    edtf: str, certainty: Certainty, date: str, tmp_path: Path
) -> None:
    root = _exported(tmp_path, _dated(edtf, certainty))["dublin-core/bowl.xml"]
    assert _values(root, f"{DC}date") == [date]


def test_a_rejected_date_is_no_date(tmp_path: Path) -> None:
    root = _exported(tmp_path, _dated("1700", Certainty.REJECTED))["dublin-core/bowl.xml"]
    assert _values(root, f"{DC}date") == []
    assert any(text.startswith("Rejected opinion") for text in _values(root, f"{DC}description"))


def test_a_date_of_which_no_year_is_known_is_told_in_words_only(tmp_path: Path) -> None:
    unknown = Attribution(aspect=Aspect.DATE, date=Date(edtf="XXXX"), as_stated="undated")
    piece = _piece(msgspec.structs.replace(BOWL, attributions=(unknown,)))
    root = _exported(tmp_path, piece)["dublin-core/bowl.xml"]
    assert _values(root, f"{DC}date") == []
    assert "Date: undated" in _values(root, f"{DC}description")


@pytest.mark.parametrize("edtf", ["1811", "1811-05", "1811-05-30"])
def test_a_plain_calendar_date_is_typed_as_such(edtf: str, tmp_path: Path) -> None:
    root = _exported(tmp_path, _dated(edtf))["dublin-core/bowl.dcterms.xml"]
    (created,) = root.iterchildren(f"{DCTERMS}created")
    assert created.get(TYPE) == "dcterms:W3CDTF"


@pytest.mark.parametrize(
    "edtf", ["1811?", "181X", "1811/1812", "-0205", "1811-13", "0000", "1811-21"]
)
def test_what_is_no_plain_calendar_date_is_not_typed_as_one(edtf: str) -> None:
    # Seasons (1811-21) are EDTF and no W3CDTF.
    assert not is_plain(edtf)


def test_sets_of_dates_are_left_as_they_are() -> None:
    assert with_doubt("[1811,1813]") == "[1811,1813]"


def test_what_is_recalled_or_doubted_is_said_with_the_size(tmp_path: Path) -> None:
    size = Measurement(low="12", high="12", unit=Unit.INCH, basis="recalled", certainty="possible")  # type: ignore[arg-type]
    record = msgspec.convert(
        msgspec.to_builtins(msgspec.structs.replace(BOWL, measurements=(size,))), ObjectRecord
    )
    root = _exported(tmp_path, _piece(record))["dublin-core/bowl.dcterms.xml"]
    assert "12 in (30 cm), as recalled (possible)" in _values(root, f"{DCTERMS}extent")


def test_prices_and_buyers_are_in_no_file(tmp_path: Path) -> None:
    sale = SaleFact(stage=SaleStage.SOLD, amount="4200", currency="GBP", as_stated="4200 to Orr")
    piece = _piece(msgspec.structs.replace(BOWL, sales=(sale,)))
    for root in _exported(tmp_path, piece, "owner").values():
        assert b"4200" not in etree.tostring(root)


def test_relations_name_the_other_record_by_its_uuid(tmp_path: Path) -> None:
    other = "22222222-2222-4222-8222-222222222222"
    piece = _piece(
        msgspec.structs.replace(
            BOWL,
            relations=(
                Relation(kind=RelationKind.PAIR_WITH, object=other),
                Relation(kind=RelationKind.PART_OF, object=other),
            ),
        )
    )
    root = _exported(tmp_path, piece)["dublin-core/bowl.dcterms.xml"]
    assert _values(root, f"{DCTERMS}relation") == [f"urn:uuid:{other}"]
    assert f"urn:uuid:{other}" in _values(root, f"{DCTERMS}isPartOf")


def test_rights_of_the_record_go_before_those_of_the_archive(tmp_path: Path) -> None:
    rights = Rights(uri="http://creativecommons.org/licenses/by/4.0/", holder="A. Orr")
    root = _exported(tmp_path, _piece(msgspec.structs.replace(BOWL, rights=rights)))[
        "dublin-core/bowl.dcterms.xml"
    ]
    assert _values(root, f"{DCTERMS}license") == ["http://creativecommons.org/licenses/by/4.0/"]
    assert _values(root, f"{DCTERMS}rightsHolder") == ["A. Orr"]


def test_titles_say_their_language(tmp_path: Path) -> None:
    titles = (Title(value="青磁鉢", language="ja", preferred=True), Title(value="Celadon bowl"))
    root = _exported(tmp_path, _piece(msgspec.structs.replace(BOWL, titles=titles)))[
        "dublin-core/bowl.dcterms.xml"
    ]
    (title,) = root.iterchildren(f"{DCTERMS}title")
    assert title.text == "青磁鉢"
    assert title.get("{http://www.w3.org/XML/1998/namespace}lang") == "ja"
    assert _values(root, f"{DCTERMS}alternative") == ["Celadon bowl"]


def test_the_collection_names_each_piece_and_no_moment(tmp_path: Path) -> None:
    root = _exported(tmp_path, _piece())["dublin-core/collection.xml"]
    assert _values(root, f"{DCTERMS}hasPart") == [
        "https://x.test/1",
        "T 0417, Bowl with celadon glaze",
    ]
    assert _values(root, f"{DCTERMS}type") == ["Collection"]
    assert b"2026" not in etree.tostring(root), "a release of what did not change stays the same"


def test_the_owner_is_told_nothing_of_what_is_left_out(tmp_path: Path) -> None:
    owner = _exported(tmp_path / "o", _piece(), "owner")["dublin-core/bowl.dcterms.xml"]
    public = _exported(tmp_path / "p", _piece(), "public")["dublin-core/bowl.dcterms.xml"]
    assert _values(owner, f"{DCTERMS}accessRights") == []
    assert _values(public, f"{DCTERMS}accessRights") == [
        "As shown to the audience 'public'; what is private is left out."
    ]


def test_characters_that_xml_forbids_are_replaced_by_what_can_be_seen_and_said(
    tmp_path: Path,
) -> None:
    note = Note(as_stated="bell\x07, escape\x1b, nothing\x00, \ufffe")
    piece = _piece(msgspec.structs.replace(BOWL, descriptions=(note,)))
    root = _exported(tmp_path, piece)["dublin-core/bowl.xml"]
    assert "bell␇, escape␛, nothing␀, \ufffd" in _values(root, f"{DC}description")
    (comment,) = root.iterchildren(tag=etree.Comment)
    assert "4 characters" in (comment.text or "")


def test_text_without_such_characters_has_no_remark(tmp_path: Path) -> None:
    root = _exported(tmp_path, _piece())["dublin-core/bowl.xml"]
    assert not list(root.iterchildren(tag=etree.Comment))


@settings(deadline=None)
@given(st.text(st.characters(exclude_categories=()), max_size=60))
def test_any_text_becomes_xml_that_reads_back_as_what_was_written(text: str) -> None:
    cleaned, replaced = legal(text)
    element = etree.Element("a")
    element.text = cleaned
    assert (etree.fromstring(etree.tostring(element, encoding="UTF-8")).text or "") == cleaned
    assert (cleaned == text) == (replaced == 0)
    assert len(cleaned) == len(text)


def test_the_description_loads_without_the_xml_library() -> None:
    program = "import sys, archivist_plugins.dublin_core; sys.exit('lxml' in sys.modules)"
    path = [folder for folder in sys.path if folder]
    ended = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path[:0] = {path!r}; {program}"], check=False
    )
    assert ended.returncode == 0
