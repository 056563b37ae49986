"""PREMIS against the schema of the Library of Congress and its vocabulary, without a network."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from edtf import parse_edtf
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from archivist.hooks import Piece
from archivist.testing import export, sample_piece, sample_selection
from archivist_plugins.premis import PREMIS
from archivist_plugins.premis import events as events_module
from archivist_plugins.premis.exporter import document
from tests.conformance.any_piece import pieces, published, xml_schema

P = "{http://www.loc.gov/premis/v3}"


@cache
def _schema() -> etree.XMLSchema:
    return xml_schema(published("xsd", "premis-v3-0.xsd"))


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Piece:
    """A piece whose pictures are made once; the records are many."""
    return sample_piece(tmp_path_factory.mktemp("pictures"))


def _copied(piece: Piece) -> Piece:
    """The piece as others than the owner have it: its files are copies."""
    photos = tuple(
        replace(p, original_sha256=f"{n:064x}", how="JPEG rebuilt segment by segment.")
        for n, p in enumerate(piece.photographs)
    )
    return replace(piece, photographs=photos)


@pytest.mark.parametrize("copies", [False, True])
@pytest.mark.parametrize("photographed", [False, True])
def test_a_piece_is_valid_by_the_schema_of_premis_3(
    copies: bool, photographed: bool, sample: Piece, tmp_path: Path
) -> None:
    piece = _copied(sample) if copies else sample
    piece = piece if photographed else replace(piece, photographs=())
    files = export(PREMIS, sample_selection(tmp_path, [piece]), tmp_path)
    made = etree.parse(files[f"premis/{piece.slug}.xml"].location)
    assert _schema().validate(made), _schema().error_log


def test_the_types_of_events_are_terms_of_the_published_vocabulary() -> None:
    terms = json.loads(published("vocab", "premis_eventType.json").read_text("utf-8"))["terms"]
    there = {(term["uri"], term["label"]) for term in terms}
    used = {
        (value.uri, value.label)
        for value in vars(events_module).values()
        if isinstance(value, events_module.EventType)
    }
    assert used
    assert used <= there


def test_the_moment_of_a_copy_is_an_interval_that_a_reader_of_edtf_takes(sample: Piece) -> None:
    piece = _copied(sample)
    selection = sample_selection(piece.photographs[0].path.parent, [piece])
    event = events_module.derivation(piece, piece.photographs[0], selection)
    assert str(parse_edtf(event.when)) == event.when


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_any_piece_is_valid_and_every_link_leads_to_something_in_the_file(
    data: st.DataObject, sample: Piece
) -> None:
    piece = data.draw(pieces(sample))
    selection = sample_selection(piece.photographs[0].path.parent, [piece])
    root = etree.fromstring(document(piece, selection))
    assert _schema().validate(root), _schema().error_log
    for what in ("object", "event", "agent", "rightsStatement"):
        name = f"{P}{what}Identifier"
        there = [(e[0].text, e[1].text) for e in root.iter(name)]
        big = what[0].upper() + what[1:]
        links = [(e[0].text, e[1].text) for e in root.iter(f"{P}linking{big}Identifier")]
        links += [(e[0].text, e[1].text) for e in root.iter(f"{P}related{big}Identifier")]
        assert set(links) <= set(there)
        own = [pair for pair in there if pair[0] in ("SHA-256", "URI")]
        assert len(own) == len(set(own)), "an identifier stands for two things"
