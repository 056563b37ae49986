"""Contradictions on a record are found, and agreement is left alone."""

from __future__ import annotations

import msgspec

from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Composition,
    CompositionKind,
    Date,
    Dimension,
    EventKind,
    Mark,
    MarkRelation,
    Measurement,
    ObjectRecord,
    ProvenanceEvent,
    SaleFact,
    SaleStage,
    Unit,
)
from archivist.reading.contradictions import contradictions


def years(first: int, last: int | None = None) -> Date:
    return Date(earliest=first, latest=first if last is None else last)


def held(first: int, last: int) -> tuple[Attribution, ...]:
    return (Attribution(aspect=Aspect.DATE, date=years(first, last)),)


def codes(record: ObjectRecord) -> list[str]:
    return [found.code for found in contradictions(record)]


def height(value: str, unit: Unit = Unit.CENTIMETRE, **more: object) -> Measurement:
    return Measurement(
        dimension=Dimension.HEIGHT,
        low=value,
        high=value,
        unit=unit,
        **more,  # type: ignore[arg-type]
    )


def test_a_mark_of_the_period_outside_the_date_held_is_a_contradiction() -> None:
    mark = Mark(claim="Qianlong", claims=years(1736, 1795), relation=MarkRelation.OF_THE_PERIOD)
    record = ObjectRecord(id="a", attributions=held(1875, 1908), marks=(mark,))
    (found,) = contradictions(record)
    assert found.code == "mark-outside-date"
    assert "Qianlong" in found.message
    assert "1736 to 1795" in found.message
    assert found.where == ("marks[0]", "attributions")


def test_a_mark_of_the_period_that_overlaps_the_date_is_none() -> None:
    mark = Mark(claims=years(1736, 1795), relation=MarkRelation.OF_THE_PERIOD)
    assert codes(ObjectRecord(id="a", attributions=held(1790, 1810), marks=(mark,))) == []


def test_a_mark_that_says_nothing_of_its_period_contradicts_no_date() -> None:
    mark = Mark(claims=years(1465, 1487))
    assert codes(ObjectRecord(id="a", attributions=held(1662, 1722), marks=(mark,))) == []


def test_a_mark_called_later_on_a_piece_held_to_be_of_its_time_is_a_contradiction() -> None:
    mark = Mark(claims=years(1465, 1487), relation=MarkRelation.LATER_THAN_IT_CLAIMS)
    record = ObjectRecord(id="a", attributions=held(1465, 1487), marks=(mark,))
    assert codes(record) == ["mark-not-later"]
    later = ObjectRecord(id="a", attributions=held(1662, 1722), marks=(mark,))
    assert codes(later) == []


def test_two_heights_that_differ_are_a_contradiction() -> None:
    record = ObjectRecord(id="a", measurements=(height("20"), height("25.5")))
    (found,) = contradictions(record)
    assert found.code == "sizes-differ"
    assert found.where == ("measurements[0]", "measurements[1]")


def test_a_height_in_two_units_that_agree_is_none() -> None:
    record = ObjectRecord(id="a", measurements=(height("13.5", Unit.INCH), height("34.3")))
    assert codes(record) == []


def test_about_a_size_contradicts_only_what_is_well_away_from_it() -> None:
    about = height("20", approximate=True)
    assert codes(ObjectRecord(id="a", measurements=(about, height("21.5")))) == []
    assert codes(ObjectRecord(id="a", measurements=(about, height("26")))) == ["sizes-differ"]


def test_sizes_of_different_parts_and_of_a_pair_do_not_contradict() -> None:
    with_part = (height("20"), height("5", part="foot"))
    assert codes(ObjectRecord(id="a", measurements=with_part)) == []
    pair = Composition(kind=CompositionKind.PAIR, count=2)
    record = ObjectRecord(id="a", composition=pair, measurements=(height("20"), height("21.5")))
    assert codes(record) == []


def test_a_provenance_event_before_the_making_is_a_contradiction() -> None:
    sold = ProvenanceEvent(kind=EventKind.SALE, date=years(1800))
    record = ObjectRecord(id="a", attributions=held(1875, 1908), provenance=(sold,))
    assert codes(record) == ["event-before-making"]


def test_a_commission_may_come_before_the_making() -> None:
    ordered = ProvenanceEvent(kind=EventKind.COMMISSION, date=years(1874))
    record = ObjectRecord(id="a", attributions=held(1875, 1908), provenance=(ordered,))
    assert codes(record) == []


def test_an_owner_by_a_year_after_the_making_is_none() -> None:
    owner = ProvenanceEvent(date=Date(latest=1932))
    record = ObjectRecord(id="a", attributions=held(1875, 1908), provenance=(owner,))
    assert codes(record) == []


def test_events_that_run_backwards_are_a_contradiction() -> None:
    events = (ProvenanceEvent(date=years(1950)), ProvenanceEvent(date=years(1932)))
    assert codes(ObjectRecord(id="a", provenance=events)) == ["events-out-of-order"]


def test_a_sale_before_the_acquisition_is_a_contradiction() -> None:
    facts = (
        SaleFact(stage=SaleStage.BOUGHT, date=years(1988)),
        SaleFact(stage=SaleStage.SOLD, date=years(1979)),
    )
    assert codes(ObjectRecord(id="a", sales=facts)) == ["sale-before-acquisition"]
    in_order = (
        SaleFact(stage=SaleStage.BOUGHT, date=years(1979)),
        SaleFact(stage=SaleStage.SOLD, date=years(1988)),
    )
    assert codes(ObjectRecord(id="a", sales=in_order)) == []


def test_what_was_rejected_contradicts_nothing() -> None:
    wrong = height("25", certainty=Certainty.REJECTED)
    assert codes(ObjectRecord(id="a", measurements=(height("20"), wrong))) == []


def test_what_is_asserted_in_one_place_and_rejected_in_another_is_told() -> None:
    (asserted,) = held(1368, 1644)
    rejected = msgspec.structs.replace(asserted, certainty=Certainty.REJECTED)
    assert codes(ObjectRecord(id="a", attributions=(asserted, rejected))) == ["said-and-rejected"]
    theirs = msgspec.structs.replace(asserted, who="p")
    assert codes(ObjectRecord(id="a", attributions=(theirs, rejected))) == []
