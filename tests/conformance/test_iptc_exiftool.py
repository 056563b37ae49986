"""Delivery copies read back by ExifTool, and their fields held against the published structure."""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from msgspec.structs import replace as changed
from PIL import Image

from archivist.hooks import Piece
from archivist.model import Aspect, Attribution, Date, Rights, Term, Title
from archivist.testing import BOWL, export, sample_piece, sample_selection, with_picture
from archivist_plugins.iptc import IPTC
from archivist_plugins.iptc.fields import artwork, fields
from archivist_plugins.iptc.packet import IPTC_EXT, RDF, packet
from tests.conformance.any_piece import pieces, published

EXIFTOOL = shutil.which("exiftool")
needs_exiftool = pytest.mark.skipif(EXIFTOOL is None, reason="ExifTool is not installed")


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Piece:
    """A piece whose pictures are made once; the records are many."""
    return sample_piece(tmp_path_factory.mktemp("pictures"))


def _read(path: Path) -> dict[str, Any]:
    """What ExifTool reads of a file, structures kept, with its own warnings and errors."""
    done = subprocess.run(
        [str(EXIFTOOL), "-j", "-G1", "-struct", "-validate", "-warning", "-error", "-all", path],
        capture_output=True,
        check=True,
    )
    return dict(json.loads(done.stdout)[0])


def _full(sample: Piece) -> Piece:
    record = changed(
        BOWL,
        titles=(Title(value="Schale, 青瓷 – “small”"),),
        attributions=(
            Attribution(
                aspect=Aspect.DATE,
                as_stated="1811",
                date=Date(edtf="1811", earliest=1811, latest=1811),
            ),
            Attribution(aspect=Aspect.CULTURE, term=Term(label="Korean")),
            Attribution(aspect=Aspect.MAKER, term=Term(label="the potter Aldous Wren")),
        ),
        rights=Rights(uri="http://rightsstatements.org/vocab/InC/1.0/", note="Ask before use."),
    )
    return replace(sample, record=record)


@needs_exiftool
def test_a_jpeg_is_read_by_exiftool_as_it_was_meant(sample: Piece, tmp_path: Path) -> None:
    piece = _full(sample)
    files = export(IPTC, sample_selection(tmp_path, [piece]), tmp_path)
    read = _read(files[f"iptc/{piece.slug}/{piece.photographs[1].name}"].location)
    assert read["ExifTool:Validate"] == "OK"
    assert "ExifTool:Warning" not in read
    [art] = read["XMP-iptcExt:ArtworkOrObject"]
    meant = artwork(piece, sample_selection(tmp_path, [piece]))
    assert art == {
        "AOTitle": "Schale, 青瓷 – “small”",
        "AOCreator": ["the potter Aldous Wren"],
        "AODateCreated": 1811,
        "AOStylePeriod": ["Korean"],
        "AOSource": "Ines Tidewell",
        "AOSourceInvNo": "T 0417",
        "AOPhysicalDescription": meant.physical,
        "AOContentDescription": meant.content,
    }
    assert read["XMP-photoshop:Credit"] == "Ines Tidewell, Marrowgate"
    assert read["XMP-dc:Rights"] == "Rights holder: Ines Tidewell"
    assert read["XMP-xmpRights:WebStatement"] == "http://rightsstatements.org/vocab/InC/1.0/"
    assert read["XMP-xmpRights:UsageTerms"] == "Ask before use."
    assert read["XMP-dc:Description"] == "Schale, 青瓷 – “small”: mark"
    assert read["IPTC:Caption-Abstract"] == "Schale, 青瓷 – “small”: mark"
    assert read["IPTC:Credit"] == "Ines Tidewell, Marrowgate"
    assert read["IPTC:CopyrightNotice"] == "Rights holder: Ines Tidewell"
    assert read["Photoshop:IPTCDigest"] == read["File:CurrentIPTCDigest"]


@needs_exiftool
def test_a_png_is_read_by_exiftool_as_it_was_meant(sample: Piece, tmp_path: Path) -> None:
    path = tmp_path / "overall-01.png"
    Image.radial_gradient("L").convert("RGB").save(path)
    photo = with_picture(sample.photographs[0], path, name=path.name, media_type="image/png")
    piece = replace(_full(sample), photographs=(photo,))
    files = export(IPTC, sample_selection(tmp_path, [piece]), tmp_path / "out")
    read = _read(files[f"iptc/{piece.slug}/overall-01.png"].location)
    assert read["ExifTool:Validate"] == "OK"
    assert read["XMP-iptcExt:ArtworkOrObject"][0]["AOSourceInvNo"] == "T 0417"


def test_the_fields_are_those_of_the_published_structure_in_their_published_forms(
    sample: Piece,
) -> None:
    """Text fields but one: IPTC 2019.1 made AOStylePeriod a bag, as ExifTool's table has it."""
    told = json.loads(published("vocab", "iptc_artwork_or_object.json").read_text("utf-8"))
    assert told["ns"] == IPTC_EXT
    forms = {"LangAlt": "Alt", "Seq": "Seq"}
    piece = _full(sample)
    selection = sample_selection(sample.photographs[0].path.parent, [piece])
    archive = replace(selection.archive, base_uri="https://x.test/")
    made = fields(piece, piece.photographs[0], replace(selection, archive=archive))
    item = etree.fromstring(packet(made)).find(f".//{{{IPTC_EXT}}}ArtworkOrObject/*/*")
    assert item is not None
    names = set()
    for element in item:
        name = etree.QName(element).localname
        names.add(name)
        form = etree.QName(element[0]).localname if len(element) else "text"
        if name == "AOStylePeriod":
            assert form == "Bag"
        else:
            assert form == forms.get(told["fields"][name], "text")
    assert {"AOTitle", "AOCreator", "AODateCreated", "AOSourceInvURL"} <= names


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_any_piece_makes_a_packet_that_is_xml_and_holds_no_date_that_is_not_certain(
    data: st.DataObject, sample: Piece
) -> None:
    piece = data.draw(pieces(sample))
    selection = sample_selection(sample.photographs[0].path.parent, [piece])
    for photo in piece.photographs:
        root = etree.fromstring(packet(fields(piece, photo, selection)))
        assert root.find(f".//{{{RDF}}}Description") is not None
        created = root.find(f".//{{{IPTC_EXT}}}AODateCreated")
        if created is not None:
            assert any(
                a.aspect is Aspect.DATE
                and a.certainty == "certain"
                and a.date is not None
                and a.date.edtf == created.text
                for a in piece.record.attributions
            )
