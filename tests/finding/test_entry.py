"""What a piece is found by is what is held of it, and nothing that is rejected or another's."""

from __future__ import annotations

from hypothesis import given

from archivist.catalogue.entities import lookup
from archivist.finding.entry import Entry, entry
from archivist.hooks import Piece
from archivist.model import Aspect, ObjectRecord, is_rejected
from archivist.testing import DISPUTED, FARMHOUSE
from tests.strategies import records


def found_by(record: ObjectRecord) -> Entry:
    return entry(Piece(record=record, photographs=(), parties=(FARMHOUSE,), slug="p", uri="u"))


def test_a_disputed_piece_is_found_by_what_its_owner_holds() -> None:
    found = found_by(DISPUTED)
    assert (found.earliest, found.latest) == (1700, 1799)
    assert found.facets["period"] == ("Edo period",)
    assert "glaze" not in found.facets
    assert "seaholme" not in found.words
    assert "salt" not in found.words
    assert "vase" in found.words
    known = lookup(DISPUTED)
    assert (known.earliest, known.latest) == (1700, 1799)
    assert "Seaholme" not in known.words


@given(records())
def test_no_index_holds_years_or_terms_that_are_not_held(record: ObjectRecord) -> None:
    found, known, date = found_by(record), lookup(record), record.date
    years = (date.earliest, date.latest) if date else (None, None)
    assert (found.earliest, found.latest) == years
    assert (known.earliest, known.latest) == years
    for aspect in (Aspect.PERIOD, Aspect.PLACE, Aspect.CULTURE):
        held = {
            a.term.label if a.term else a.as_stated
            for a in record.attributions
            if a.aspect is aspect and a.of_the_piece and not is_rejected(a, record.attributions)
            if a.preferred or not a.who
        }
        assert set(found.facets.get(aspect.value, ())) <= held
    for feature in record.features:
        if feature.who or is_rejected(feature, record.features):
            others = {
                f.term.label
                for f in record.features
                if f.aspect is feature.aspect and not f.who and not is_rejected(f, record.features)
            }
            told = set(found.facets.get(feature.aspect.value, ()))
            assert feature.term.label in others or feature.term.label not in told
