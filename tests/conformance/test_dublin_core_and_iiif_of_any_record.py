"""Whatever words and values a record holds, what is written of it keeps the rules."""

from __future__ import annotations

import json
from typing import Any

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
    MarkRelation,
    Measurement,
    Note,
    ObjectRecord,
    Observation,
    ObservationKind,
    Party,
    Presence,
    ProvenanceEvent,
    Rights,
    Term,
    Title,
    Unit,
)
from archivist.release.package import FolderPackage
from archivist.testing import BOWL, FARMHOUSE, sample_piece, sample_selection
from archivist_plugins.dublin_core.exporter import QUALIFIED, SIMPLE, legal, write
from archivist_plugins.dublin_core.terms import piece_terms
from archivist_plugins.iiif.canvases import Addresses, shown
from archivist_plugins.iiif.exporter import as_json
from archivist_plugins.iiif.manifest import manifest
from tests.conformance import iiif_rules

WORDS = st.one_of(
    st.text(st.characters(codec="utf-8"), max_size=12),
    st.sampled_from(["<b>", "<p>a</p>", "", " ", "\x00\x1b", "年製", "'\"&", "a\nb"]),
)
SAID: dict[str, Any] = {
    "as_stated": WORDS,
    "certainty": st.sampled_from(Certainty),
    "who": st.sampled_from(["", FARMHOUSE.id, "somebody else"]),
    "ground": WORDS,
}


@st.composite
def dates(draw: st.DrawFn) -> Date:
    ends = sorted(draw(st.lists(st.integers(-3000, 2100), min_size=2, max_size=2)))
    edtf = draw(st.sampled_from(["", "1811", "1811?", "1775/1825", "-0205", "181X", "../1700"]))
    both, which = draw(st.tuples(st.booleans(), st.sampled_from([0, 1, 2])))
    if both:
        return Date(edtf=edtf, earliest=ends[0], latest=ends[1])
    return [Date(edtf=edtf), Date(edtf=edtf, earliest=ends[0]), Date(latest=ends[1])][which]


@st.composite
def measurements(draw: st.DrawFn) -> Measurement:
    low, high = sorted(draw(st.lists(st.decimals(0, 999, places=2), min_size=2, max_size=2)))
    said = {name: draw(strategy) for name, strategy in SAID.items()}
    unit = draw(st.sampled_from(Unit))
    return Measurement(low=str(low), high=str(high), unit=unit, part=draw(WORDS), **said)


def _few(values: st.SearchStrategy[Any]) -> st.SearchStrategy[tuple[Any, ...]]:
    return st.lists(values, max_size=2).map(tuple)


TERMS = st.builds(Term, label=WORDS)
RECORDS = st.builds(
    ObjectRecord,
    id=st.just(BOWL.id),
    stock_number=WORDS,
    titles=_few(st.builds(Title, value=WORDS, language=WORDS, preferred=st.booleans(), **SAID)),
    attributions=_few(
        st.one_of(
            st.builds(Attribution, aspect=st.just(Aspect.DATE), date=dates(), **SAID),
            st.builds(
                Attribution,
                aspect=st.sampled_from([a for a in Aspect if a is not Aspect.DATE]),
                term=st.one_of(st.none(), TERMS),
                **SAID,
            ),
        )
    ),
    measurements=_few(measurements()),
    marks=_few(
        st.builds(
            Mark,
            kind=st.sampled_from(MarkKind),
            characters=WORDS,
            claim=WORDS,
            claims=st.one_of(st.none(), dates()),
            relation=st.sampled_from(MarkRelation),
            **SAID,
        )
    ),
    observations=_few(
        st.builds(
            Observation,
            term=TERMS,
            kind=st.sampled_from(ObservationKind),
            part=WORDS,
            presence=st.sampled_from(Presence),
            **SAID,
        )
    ),
    provenance=_few(st.builds(ProvenanceEvent, giver=WORDS, date=dates(), place=WORDS, **SAID)),
    descriptions=_few(st.builds(Note, heading=WORDS, **SAID)),
    rights=st.one_of(st.none(), st.builds(Rights, uri=WORDS, holder=WORDS, note=WORDS)),
)


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Piece:
    """A piece whose pictures are made once; the records are many."""
    return sample_piece(tmp_path_factory.mktemp("pictures"))


def _piece(record: ObjectRecord, sample: Piece) -> Piece:
    parties = (Party(id=FARMHOUSE.id, name="<i>private</i>"),)
    return Piece(record, sample.photographs, parties, sample.slug, sample.uri)


@settings(deadline=None, max_examples=60)
@given(record=RECORDS)
def test_any_record_makes_a_manifest_that_keeps_the_rules(
    record: ObjectRecord, sample: Piece
) -> None:
    piece = _piece(record, sample)
    selection = sample_selection(piece.photographs[0].path.parent, [piece])
    made = manifest(piece, selection, shown(piece, 1024), Addresses("https://example.org/"))
    assert iiif_rules.manifest_problems(json.loads(as_json(made))) == []


@settings(deadline=None, max_examples=60)
@given(record=RECORDS)
def test_any_record_makes_dublin_core_that_reads_back_as_it_was_meant(
    record: ObjectRecord, sample: Piece, tmp_path_factory: pytest.TempPathFactory
) -> None:
    piece = _piece(record, sample)
    selection = sample_selection(piece.photographs[0].path.parent, [piece])
    terms = piece_terms(piece, selection)
    package = FolderPackage(tmp_path_factory.mktemp("dublin-core"))
    for form, name in ((SIMPLE, "simple.xml"), (QUALIFIED, "qualified.xml")):
        write(package, name, form, terms)
        root = etree.parse(package.written[-1].location).getroot()
        told = [element.text for element in root.iterchildren(tag=etree.Element)]
        meant = [
            legal(term.value)[0]
            for term in terms
            if term.value and (term.simple if form is SIMPLE else term.qualified)
        ]
        assert told == meant


@settings(deadline=None, max_examples=60)
@given(record=RECORDS)
def test_no_date_is_told_that_is_not_held_or_is_surer_than_it_is_held(
    record: ObjectRecord, sample: Piece
) -> None:
    piece = _piece(record, sample)
    selection = sample_selection(piece.photographs[0].path.parent, [piece])
    told = [t.value for t in piece_terms(piece, selection) if t.simple == "date"]
    opinions = [
        a
        for a in record.attributions
        if a.aspect is Aspect.DATE and a.certainty is not Certainty.REJECTED and a.date is not None
    ]
    assert len(told) <= 1
    for value in told:
        plain = value.translate(str.maketrans("", "", "?%~"))
        matching = [
            o
            for o in opinions
            if o.date is not None and plain == o.date.edtf.translate(str.maketrans("", "", "?%~"))
        ]
        assert matching
        if all(o.certainty is not Certainty.CERTAIN for o in matching):
            assert "?" in value or "%" in value
