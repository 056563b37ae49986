"""How large a piece is, to the precision and on the ground on which it was said."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from enum import StrEnum

from archivist.model.base import Statement


class Dimension(StrEnum):
    HEIGHT = "height"
    WIDTH = "width"
    DEPTH = "depth"
    LENGTH = "length"
    DIAMETER = "diameter"
    THICKNESS = "thickness"
    CIRCUMFERENCE = "circumference"
    CAPACITY = "capacity"
    WEIGHT = "weight"
    UNSTATED = "unstated"


class Unit(StrEnum):
    MILLIMETRE = "mm"
    CENTIMETRE = "cm"
    METRE = "m"
    INCH = "in"
    FOOT = "ft"
    GRAM = "g"
    KILOGRAM = "kg"
    OUNCE = "oz"
    POUND = "lb"
    MILLILITRE = "ml"
    LITRE = "l"


class Basis(StrEnum):
    """How a size is known. `UNSTATED` where nobody said, which is not the same as measured."""

    MEASURED = "measured"
    RECALLED = "recalled"
    SCALED = "scaled from a photograph"
    UNSTATED = "unstated"


MILLIMETRES = {
    Unit.MILLIMETRE: Decimal(1),
    Unit.CENTIMETRE: Decimal(10),
    Unit.METRE: Decimal(1000),
    Unit.INCH: Decimal("25.4"),
    Unit.FOOT: Decimal("304.8"),
}
"""Exact by definition (international yard and pound agreement of 1959; NIST SP 811, B.6)."""


class Measurement(Statement, frozen=True, kw_only=True):
    """One dimension of a piece or of a part of it.

    `low` and `high` are exact decimal strings in `unit`, as precise as stated and never sharpened
    by conversion; equal where one value was given. `approximate` is 'about'. `part` is what was
    measured ('mouth', 'foot'; empty: the whole). `which` is 'each' or 'the larger' of a pair.
    `includes` is what the size takes in besides the piece ('stand', 'cover').
    """

    dimension: Dimension = Dimension.UNSTATED
    low: str
    high: str
    unit: Unit
    part: str = ""
    which: str = ""
    approximate: bool = False
    basis: Basis = Basis.UNSTATED
    includes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        try:
            low, high = Decimal(self.low), Decimal(self.high)
        except InvalidOperation:
            raise ValueError(f"'{self.low}' to '{self.high}' is not a decimal number") from None
        if not (low.is_finite() and high.is_finite()) or low < 0 or high < low:
            raise ValueError(f"a size cannot run from {self.low} to {self.high}")


def in_millimetres(measurement: Measurement) -> tuple[Decimal, Decimal] | None:
    """The lowest and highest length in millimetres, or None where the unit is not a length."""
    factor = MILLIMETRES.get(measurement.unit)
    if factor is None:
        return None
    return Decimal(measurement.low) * factor, Decimal(measurement.high) * factor
