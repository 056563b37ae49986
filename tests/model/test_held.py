"""What is held of a piece: never what is rejected, never what is of a part, the narrow date."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from archivist.model import (
    Aspect,
    Attribution,
    AttributionRole,
    Certainty,
    Date,
    Feature,
    FeatureAspect,
    ObjectRecord,
    Standing,
    Statement,
    Term,
    is_rejected,
    not_rejected,
    standing_of,
    stands,
)
from archivist.model.overlap import has_years, years_in_common
from tests.strategies import attributions, records

SOMEBODY = "5f0f4b57-6a53-4f6e-9f0c-0d0f9c7a1c11"


def dated(first: int, last: int, words: str = "", **more: Any) -> Attribution:
    date = Date(edtf=f"{first:04}/{last:04}", earliest=first, latest=last)
    return Attribution(aspect=Aspect.DATE, date=date, as_stated=words, **more)


def called(label: str, **more: Any) -> Attribution:
    return Attribution(aspect=Aspect.PERIOD, term=Term(label=label), as_stated=label, **more)


def record(*said: Attribution) -> ObjectRecord:
    return ObjectRecord(id="r", attributions=said)


def held_years(*said: Attribution) -> tuple[int | None, int | None] | None:
    date = record(*said).date
    return (date.earliest, date.latest) if date else None


EDO, CENTURY = dated(1603, 1868, "Edo"), dated(1700, 1799, "18th c.")


def test_a_century_within_a_period_is_held_and_both_are_its_ground() -> None:
    for said in ((called("Edo"), EDO, CENTURY), (CENTURY, called("Edo"), EDO)):
        held = record(*said).holding(Aspect.DATE)
        assert held is not None
        assert held.date == CENTURY.date
        assert held.leading is CENTURY
        assert set(held.ground) == {EDO, CENTURY}


def test_years_that_were_said_go_before_those_of_a_period_that_contradicts_them() -> None:
    ming = dated(1368, 1644, "Ming")
    assert held_years(called("Ming"), ming, dated(1740, 1760, "c. 1750")) == (1740, 1760)


def test_a_preferred_date_is_held_however_wide_it_is() -> None:
    assert held_years(dated(1603, 1868, preferred=True), CENTURY) == (1603, 1868)


def test_a_value_that_is_rejected_is_held_by_nobody() -> None:
    no = Certainty.REJECTED
    assert record(called("Ming", certainty=no, preferred=True)).preferred(Aspect.PERIOD) is None
    assert record(called("Ming", certainty=no), called("Ming")).preferred(Aspect.PERIOD) is None
    adopted = called("Ming", who=SOMEBODY, preferred=True)
    assert record(adopted, called("ming", certainty=no)).preferred(Aspect.PERIOD) is None
    assert held_years(dated(1700, 1799, certainty=no), CENTURY, EDO) == (1603, 1868)


def test_what_another_rejects_the_owner_may_hold() -> None:
    theirs = called("Ming", certainty=Certainty.REJECTED, who=SOMEBODY)
    held = record(theirs, called("Ming")).preferred(Aspect.PERIOD)
    assert held == called("Ming")


def test_the_opinion_of_another_is_held_only_where_it_is_adopted() -> None:
    assert held_years(dated(1500, 1599, who=SOMEBODY)) is None
    assert held_years(dated(1500, 1599, who=SOMEBODY), CENTURY) == (1700, 1799)
    assert held_years(dated(1500, 1599, who=SOMEBODY, preferred=True), CENTURY) == (1500, 1599)


def test_what_is_doubtful_is_held_where_nothing_better_stands() -> None:
    doubtful = dated(1740, 1749, certainty=Certainty.DOUBTFUL)
    possible = dated(1720, 1759, certainty=Certainty.POSSIBLE)
    probable = dated(1710, 1769, certainty=Certainty.PROBABLE)
    assert held_years(doubtful) == (1740, 1749)
    assert held_years(doubtful, possible) == (1720, 1759)
    assert held_years(doubtful, possible, CENTURY) == (1700, 1799)
    assert held_years(doubtful, possible, CENTURY, probable) == (1710, 1769)


def test_a_part_and_a_later_hand_say_nothing_of_the_piece() -> None:
    assert held_years(dated(1850, 1899, part="cover")) is None
    assert held_years(dated(1850, 1899, role=AttributionRole.DECORATED), CENTURY) == (1700, 1799)
    rejected = dated(1700, 1799, part="cover", certainty=Certainty.REJECTED)
    assert held_years(rejected, CENTURY) == (1700, 1799)


def test_a_reign_within_its_dynasty_agrees_and_alternatives_do_not() -> None:
    qing, reign = called("Qing"), called("Yongzheng")
    nested = (qing, dated(1644, 1911, "Qing"), reign, dated(1723, 1735, "Yongzheng"))
    held = record(*nested).holding(Aspect.PERIOD)
    assert held is not None
    assert (held.leading, held.ground) == (qing, (qing, reign))
    assert held_years(*nested) == (1723, 1735)
    words = {"as_stated": "Yuan or Ming"}
    yuan, ming = (replace(called(label), **words) for label in ("Yuan", "Ming"))
    either = record(yuan, ming, dated(1271, 1644, "Yuan or Ming")).holding(Aspect.PERIOD)
    assert either is not None
    assert either.ground == (yuan,)


def test_each_statement_has_a_standing() -> None:
    said = (
        EDO,
        CENTURY,
        dated(1900, 1925),
        dated(1950, 1960, certainty=Certainty.REJECTED),
        dated(1850, 1899, part="cover"),
        dated(1500, 1599, who=SOMEBODY),
    )
    assert standing_of(said) == (
        Standing.AGREES,
        Standing.HELD,
        Standing.OTHER,
        Standing.REJECTED,
        Standing.APART,
        Standing.OTHER,
    )


def test_a_feature_that_another_sees_or_the_owner_denies_does_not_stand() -> None:
    def feature(label: str, **more: Any) -> Feature:
        return Feature(aspect=FeatureAspect.GLAZE, term=Term(label=label), **more)

    denied = feature("salt glaze", certainty=Certainty.REJECTED)
    said = (feature("celadon"), feature("Salt glaze"), denied, feature("tea dust", who=SOMEBODY))
    assert [stands(s, said) for s in said] == [True, False, False, False]


@given(st.lists(attributions(), max_size=6))
def test_nothing_rejected_adopted_by_nobody_or_of_a_part_is_ever_held(
    said: list[Attribution],
) -> None:
    for aspect in Aspect:
        held = record(*said).holding(aspect)
        if held is None:
            continue
        for ground in held.ground:
            assert ground.certainty is not Certainty.REJECTED
            assert not is_rejected(ground, said)
            assert ground.of_the_piece
            assert ground.preferred or not ground.who
        assert any(held.leading is ground for ground in held.ground)


@given(st.lists(attributions(), max_size=6))
def test_the_years_held_are_in_common_with_all_their_ground(said: list[Attribution]) -> None:
    held = record(*said).holding(Aspect.DATE)
    if held is None or held.date is None or not has_years(held.date):
        return
    for ground in held.ground:
        assert ground.date is not None
        assert years_in_common(held.date, ground.date) is not None


@given(st.lists(attributions(), max_size=6))
def test_what_is_held_is_all_that_is_held_of_what_is_not_rejected(said: list[Attribution]) -> None:
    for aspect in Aspect:
        assert record(*said).holding(aspect) == record(*not_rejected(said)).holding(aspect)


@given(records())
def test_the_date_of_a_record_is_that_of_a_statement_or_narrower(whole: ObjectRecord) -> None:
    statements: tuple[Statement, ...] = not_rejected(whole.attributions)
    if whole.date is not None:
        assert any(isinstance(s, Attribution) and s.date is not None for s in statements)
