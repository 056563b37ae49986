"""What values of the model refuse, and how dates are counted."""

from __future__ import annotations

from decimal import Decimal

import msgspec
import pytest
from hypothesis import given

from archivist.model import (
    Aspect,
    Attribution,
    Certainty,
    Date,
    Depiction,
    Measurement,
    ObjectRecord,
    Photograph,
    Region,
    Term,
    Title,
    Unit,
    astronomical_year,
    historical_year,
)
from archivist.model.dates import overlaps
from archivist.model.measurements import in_millimetres
from tests.strategies import dates, measurements, records, regions, years


@pytest.mark.parametrize(
    ("historical", "astronomical"),
    [
        # ISO 8601-1:2019, 4.3.2 counts 1 BCE as year 0000. The Han dynasty begins in 206 BCE.
        (-206, -205),
        (-1, 0),
        (1, 1),
        (1368, 1368),
    ],
)
def test_years_before_christ_are_counted_as_iso_8601_counts_them(
    historical: int, astronomical: int
) -> None:
    assert astronomical_year(historical) == astronomical
    assert historical_year(astronomical) == historical


def test_there_is_no_historical_year_0() -> None:
    with pytest.raises(ValueError, match="no year 0"):
        astronomical_year(0)


@given(years)
def test_counting_there_and_back_ends_at_the_same_year(year: int) -> None:
    assert astronomical_year(historical_year(year)) == year


def test_a_date_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot end in 1735 before it begins in 1796"):
        Date(earliest=1796, latest=1735)


@given(dates(), years, years)
def test_overlap_is_what_looking_at_each_year_would_tell(date: Date, one: int, other: int) -> None:
    earliest, latest = sorted((one, other))
    if date.earliest is None and date.latest is None:
        assert not overlaps(date, earliest, latest)
        return
    low = -10_000 if date.earliest is None else date.earliest
    high = 10_000 if date.latest is None else date.latest
    assert overlaps(date, earliest, latest) == bool(
        set(range(low, high + 1)) & set(range(earliest, latest + 1))
    )


@pytest.mark.parametrize(
    ("x", "y", "width", "height"),
    [(-1, 0, 5, 5), (0, -1, 5, 5), (0, 0, 0, 5), (0, 0, 5, 0), (6, 0, 5, 5), (0, 6, 5, 5)],
)
def test_a_region_outside_its_picture_is_refused(x: int, y: int, width: int, height: int) -> None:
    with pytest.raises(ValueError, match="does not lie within 10 by 10"):
        Region(x=x, y=y, width=width, height=height, reference_width=10, reference_height=10)


@given(regions())
def test_a_region_may_reach_to_the_edges(region: Region) -> None:
    whole = msgspec.structs.replace(
        region, x=0, y=0, width=region.reference_width, height=region.reference_height
    )
    assert (whole.width, whole.height) == (region.reference_width, region.reference_height)


@pytest.mark.parametrize(
    "words", ["", "abc", "1e3", "1_0", "-1", "NaN", "Infinity", "１２", " 3", "3."]
)
def test_a_size_is_a_plain_decimal_number(words: str) -> None:
    with pytest.raises(ValueError, match="is not a decimal number"):
        Measurement(low=words, high=words, unit=Unit.CENTIMETRE)


def test_a_size_that_ends_below_its_beginning_is_refused() -> None:
    with pytest.raises(ValueError, match=r"cannot run from 9 to 8\.5"):
        Measurement(low="9", high="8.5", unit=Unit.CENTIMETRE)


@given(measurements())
def test_a_size_keeps_its_digits_and_is_exact_in_millimetres(size: Measurement) -> None:
    lengths = in_millimetres(size)
    if size.unit is Unit.INCH:
        # NIST SP 811 (2008), B.8: 1 inch is exactly 25.4 mm.
        assert lengths == (
            Decimal(size.low) * Decimal("25.4"),
            Decimal(size.high) * Decimal("25.4"),
        )
    elif size.unit in (Unit.GRAM, Unit.LITRE):
        assert lengths is None


@pytest.mark.parametrize("aspect", [a for a in Aspect if a is not Aspect.DATE])
def test_an_attribution_holds_a_date_only_where_it_is_of_a_date(aspect: Aspect) -> None:
    with pytest.raises(ValueError, match="holds a term, not a date"):
        Attribution(aspect=aspect, date=Date(edtf="1750"))
    with pytest.raises(ValueError, match="holds a date, not a term"):
        Attribution(aspect=Aspect.DATE, term=Term(label="Qianlong"))


def test_what_is_not_allowed_is_not_read_either() -> None:
    with pytest.raises(msgspec.ValidationError, match="cannot end in"):
        msgspec.json.decode(b'{"earliest":2,"latest":1}', type=Date)


@given(records())
def test_a_record_is_called_by_its_number_else_its_title_else_its_identifier(
    record: ObjectRecord,
) -> None:
    assert record.name in (record.stock_number, record.title, record.id)
    assert record.name


def test_the_title_is_the_preferred_one_else_the_first() -> None:
    titles = (Title(value="Jar"), Title(value="Vase", preferred=True))
    assert ObjectRecord(id="a", titles=titles).title == "Vase"
    assert ObjectRecord(id="a", titles=titles[:1]).title == "Jar"
    assert ObjectRecord(id="a").title == ""


def test_a_rejected_depiction_shows_nothing() -> None:
    shown, rejected = Depiction(object="a"), Depiction(object="a", certainty=Certainty.REJECTED)
    photograph = Photograph(id="p", sha256="0" * 64, depictions=(rejected, shown))
    assert photograph.depictions_of("a") == (shown,)
