"""What stays with the owner is told apart from what was never recorded."""

from __future__ import annotations

from typing import Any

from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Note,
    ObjectRecord,
    Observation,
    ObservationKind,
    ProvenanceEvent,
    Term,
)
from archivist.release.disclosure import disclosures
from archivist.release.withholding import withheld_fields

RULES = disclosures()


def withheld(audience: str, **fields: Any) -> frozenset[str]:
    record = ObjectRecord(id="r", **fields)
    return withheld_fields(record, RULES[audience].filtered(record))


def crack(**more: Any) -> Observation:
    return Observation(term=Term(label="crack"), kind=ObservationKind.DAMAGE, **more)


def test_nothing_is_withheld_where_all_is_told_or_nothing_is_known() -> None:
    assert withheld("owner", observations=(crack(private=True),)) == frozenset()
    assert withheld("buyer", observations=(crack(),)) == frozenset()
    assert withheld("buyer") == frozenset()


def test_a_private_observation_is_withheld_and_a_second_one_does_not_hide_that() -> None:
    assert withheld("buyer", observations=(crack(), crack(part="rim", private=True))) == {
        "observations"
    }


def test_private_words_of_condition_count_as_observations() -> None:
    note = Note(heading="Condition", as_stated="cracked", private=True)
    assert withheld("buyer", notes=(note,)) == {"observations"}
    assert withheld("public", notes=(Note(heading="Shelf", as_stated="3"),)) == frozenset()


def test_an_event_of_which_only_its_kind_is_left_is_withheld() -> None:
    said = ProvenanceEvent(as_stated="from the Tollings")
    dated = ProvenanceEvent(as_stated="1921", date=Date(edtf="1921", earliest=1921, latest=1921))
    assert withheld("public", provenance=(said,)) == {"provenance"}
    assert withheld("public", provenance=(dated,)) == frozenset()


def test_that_something_is_rejected_is_not_hinted_at() -> None:
    no = Attribution(aspect=Aspect.PERIOD, term=Term(label="Ming"), certainty=Certainty.REJECTED)
    assert withheld("public", attributions=(no,)) == frozenset()
