"""What a record says already is not added again; holders, and yes and no, are kept apart."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given

from archivist.intake.said_already import gainsaid, said_already
from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Citation,
    CitationKind,
    Date,
    Relation,
    RelationKind,
)
from tests.strategies import attributions


def dated(first: int, last: int, **more: Any) -> Attribution:
    return Attribution(
        aspect=Aspect.DATE,
        date=Date(edtf=f"{first}/{last}", earliest=first, latest=last),
        **more,
    )


NO = Certainty.REJECTED


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (dated(1700, 1799), dated(1700, 1799), True),
        (dated(1700, 1799), dated(1603, 1868), False),
        (dated(1603, 1868), dated(1700, 1799), False),
        (dated(1700, 1799, certainty=NO), dated(1700, 1799), False),
        (dated(1700, 1799), dated(1700, 1799, certainty=NO), False),
        (dated(1700, 1799, certainty=NO), dated(1700, 1799, certainty=NO), True),
        (dated(1700, 1799, who="x"), dated(1700, 1799), False),
        (dated(1700, 1799), dated(1700, 1799, who="x"), False),
        (dated(1700, 1799, part="cover"), dated(1700, 1799), False),
        (dated(1700, 1799), dated(1700, 1799, role=AttributionRole.DECORATED), False),
    ],
)
def test_a_date_is_said_already_by_the_same_years_of_the_same_holder_and_part(
    old: Attribution, new: Attribution, said: bool
) -> None:
    assert said_already(new, [old]) is said


def test_only_what_is_asserted_by_the_same_holder_says_otherwise() -> None:
    new = dated(1900, 1925)
    assert gainsaid(new, [dated(1700, 1799)]) == dated(1700, 1799)
    for other in (
        dated(1700, 1799, certainty=NO),
        dated(1700, 1799, who="x"),
        dated(1700, 1799, part="cover"),
    ):
        assert gainsaid(new, [other]) is None
    assert gainsaid(dated(1900, 1925, certainty=NO), [dated(1700, 1799)]) is None


def test_pieces_and_books_without_a_record_are_told_apart_by_their_words() -> None:
    one = Relation(kind=RelationKind.COMPARE, as_stated="the jar at Tolling Hall")
    assert said_already(one, [one])
    assert not said_already(one, [Relation(kind=RelationKind.COMPARE, as_stated="another")])
    book = Citation(kind=CitationKind.LITERATURE, as_stated="Voss 1985")
    assert said_already(book, [book])
    assert not said_already(book, [Citation(kind=CitationKind.LITERATURE, as_stated="Marl 1990")])


@given(attributions(), attributions())
def test_a_rejected_value_swallows_no_asserted_one_and_is_swallowed_by_none(
    one: Attribution, other: Attribution
) -> None:
    rejected = one.certainty is NO, other.certainty is NO
    if rejected[0] is not rejected[1]:
        assert not said_already(one, [other])
        assert not said_already(other, [one])
