"""Sizes in both systems, no sharper and no blunter than they were stated."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist import wording
from archivist.model import (
    Basis,
    Dimension,
    Measurement,
    Unit,
)


@pytest.mark.parametrize(
    ("number", "unit", "other", "source"),
    [
        ("36", Unit.FOOT, ("11.0", Unit.METRE), "NIST SP 811 (2008), B.7.2: 36 ft = 11.0 m"),
        ("18.4", Unit.CENTIMETRE, ("7.2", Unit.INCH), "arithmetic: 7.244 in, to a tenth"),
        ("18", Unit.CENTIMETRE, ("7", Unit.INCH), "arithmetic: 7.087 in, to a whole"),
        ("300", Unit.MILLIMETRE, ("11.8", Unit.INCH), "arithmetic: 11.811 in, to a tenth"),
        ("12", Unit.INCH, ("30", Unit.CENTIMETRE), "arithmetic: 30.48 cm, to a whole"),
        ("7.25", Unit.INCH, ("18", Unit.CENTIMETRE), "a quarter inch is 0.6 cm"),
        ("7.0625", Unit.INCH, ("17.9", Unit.CENTIMETRE), "a sixteenth is 0.16 cm"),
        ("2.5", Unit.KILOGRAM, ("5.5", Unit.POUND), "arithmetic: 5.512 lb"),
        ("0", Unit.CENTIMETRE, ("0", Unit.INCH), "nothing is nothing"),
    ],
)
def test_a_size_is_converted_to_the_precision_it_was_stated_with(
    number: str, unit: Unit, other: tuple[str, Unit], source: str
) -> None:
    assert wording.converted(number, unit) == other, source


def test_litres_have_no_partner_because_pints_differ() -> None:
    assert wording.converted("1", Unit.LITRE) is None


@settings(deadline=None)
@given(
    st.decimals(min_value=0, max_value=9999, places=2),
    st.sampled_from(sorted(wording.CONVERSIONS)),
)
def test_a_converted_size_is_rounded_to_the_power_of_ten_nearest_to_the_stated_step(
    number: Decimal, unit: Unit
) -> None:
    found = wording.converted(str(number), unit)
    assert found is not None
    factor = wording.CONVERSIONS[unit][1]
    exponent = Decimal(found[0]).as_tuple().exponent
    assert isinstance(exponent, int)
    digit = Decimal(1).scaleb(exponent)
    assert abs(Decimal(found[0]) - number * factor) <= digit / 2
    ratio = digit / (wording.resolution(str(number), unit) * factor)
    assert Decimal("0.316") < ratio < Decimal("3.163")  # the square root of ten, either way


def _size(**changes: object) -> Measurement:
    facts = {"dimension": Dimension.HEIGHT, "low": "30", "high": "30", "unit": Unit.CENTIMETRE}
    return Measurement(**{**facts, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({}, "height 30 cm (12 in)"),
        ({"high": "32"}, "height 30–32 cm (12–13 in)"),
        ({"approximate": True}, "height about 30 cm (about 12 in)"),
        ({"basis": Basis.RECALLED}, "height 30 cm (12 in), as recalled"),
        ({"basis": Basis.MEASURED}, "height 30 cm (12 in), measured"),
        ({"basis": Basis.SCALED}, "height 30 cm (12 in), scaled from a photograph"),
        ({"includes": ("stand", "cover")}, "height 30 cm (12 in), with stand and cover"),
        ({"part": "mouth", "which": "each"}, "mouth height 30 cm (12 in), each"),
        ({"dimension": Dimension.UNSTATED}, "30 cm (12 in)"),
        ({"unit": Unit.LITRE, "dimension": Dimension.CAPACITY}, "capacity 30 l"),
    ],
)
def test_a_measurement_says_how_it_is_known_and_what_it_takes_in(
    changes: dict[str, object], shown: str
) -> None:
    assert wording.measurement_shown(_size(**changes)) == shown


def test_a_size_of_any_number_of_digits_can_be_told() -> None:
    long = "1" * 40 + ".5"
    told = wording.converted(long, Unit.INCH)
    assert told is not None
    assert told[0].startswith("28222222")
