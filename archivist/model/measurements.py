"""How large a piece is, to the precision and on the ground on which it was said."""

from __future__ import annotations

import re
from decimal import Decimal
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

_DECIMAL = re.compile(r"[0-9]+(\.[0-9]+)?")
"""Stricter than `Decimal`, which also takes '1e3', '1_0', 'NaN' and digits of any script."""


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
        for number in (self.low, self.high):
            if not _DECIMAL.fullmatch(number):
                raise ValueError(f"'{number}' is not a decimal number such as 18.4")
        if Decimal(self.high) < Decimal(self.low):
            raise ValueError(f"a size cannot run from {self.low} to {self.high}")


def in_millimetres(measurement: Measurement) -> tuple[Decimal, Decimal] | None:
    """The lowest and highest length in millimetres, or None where the unit is not a length."""
    factor = MILLIMETRES.get(measurement.unit)
    if factor is None:
        return None
    return Decimal(measurement.low) * factor, Decimal(measurement.high) * factor
