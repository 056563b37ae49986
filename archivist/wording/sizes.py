"""Sizes in both systems, never sharper than they were stated."""

from __future__ import annotations

import math
import re
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from archivist.model import Basis, Dimension, Measurement, Unit
from archivist.wording.plain import listed, with_words

CONVERSIONS: dict[Unit, tuple[Unit, Decimal]] = {
    Unit.MILLIMETRE: (Unit.INCH, 1 / Decimal("25.4")),
    Unit.CENTIMETRE: (Unit.INCH, 1 / Decimal("2.54")),
    Unit.METRE: (Unit.INCH, 1 / Decimal("0.0254")),
    Unit.INCH: (Unit.CENTIMETRE, Decimal("2.54")),
    Unit.FOOT: (Unit.METRE, Decimal("0.3048")),
    Unit.GRAM: (Unit.OUNCE, 1 / Decimal("28.349523125")),
    Unit.KILOGRAM: (Unit.POUND, 1 / Decimal("0.45359237")),
    Unit.OUNCE: (Unit.GRAM, Decimal("28.349523125")),
    Unit.POUND: (Unit.KILOGRAM, Decimal("0.45359237")),
}
"""The unit of the other system, and what to multiply by.

Exact by the international yard and pound agreement of 1959 (avoirdupois ounce). Millilitres and
litres have no partner here: British and American pints differ, and nobody has said which is meant.
"""


_SPARE_DIGITS = 24
"""More digits than a factor has, so that a number of any length is converted exactly."""


def resolution(number: str, unit: Unit) -> Decimal:
    """The step to which `number` was stated: '18.4' to 0.1, '18' to 1, 7.25 inches to 0.25.

    Inches and feet are divided by halving, so what is a half, quarter, eighth or sixteenth of them
    is taken to be stated to that part and no closer.
    """
    value = Decimal(number)
    exponent = value.as_tuple().exponent
    step = Decimal(1).scaleb(min(exponent, 0)) if isinstance(exponent, int) else Decimal(1)
    if unit in (Unit.INCH, Unit.FOOT) and step < 1:
        with localcontext(prec=len(number) + _SPARE_DIGITS):
            for part in (2, 4, 8, 16):
                if value * part == (value * part).to_integral_value() and value % 1:
                    return Decimal(1) / part
    return step


def converted(number: str, unit: Unit, step: Decimal | None = None) -> tuple[str, Unit] | None:
    """`number` in the other system, neither sharper nor blunter than it was stated.

    It is rounded to the power of ten that lies nearest to the stated step, as NIST SP 811 (B.7.2,
    36 ft = 11.0 m) weighs it. None where the unit has no partner.
    """
    if unit not in CONVERSIONS:
        return None
    other, factor = CONVERSIONS[unit]
    step = resolution(number, unit) if step is None else step
    with localcontext(prec=len(number) + _SPARE_DIGITS):
        power = round(math.log10(step * factor))
        value = (Decimal(number) * factor).quantize(Decimal(1).scaleb(power), ROUND_HALF_EVEN)
    return format(value, "f"), other


def size_shown(measurement: Measurement) -> str:
    """The size in both systems: '18.4 cm (7.2 in)', 'about 30–32 cm (12–13 in)'."""
    low, high, unit = measurement.low, measurement.high, measurement.unit
    about = "about " if measurement.approximate else ""
    stated = f"{about}{_span(low, high)} {unit.value}"
    step = min(resolution(low, unit), resolution(high, unit))
    ends = converted(low, unit, step), converted(high, unit, step)
    if ends[0] is None or ends[1] is None:
        return stated
    return f"{stated} ({about}{_span(ends[0][0], ends[1][0])} {ends[0][1].value})"


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low}–{high}"


_LETTERED = re.compile(r"(?<![^\W\d_])(?![xX×])(?:[^\W\d_]{1,2}|[Dd]iam)\.?\s*\d")
"""A letter or two before a number name a dimension, though not always which: 'D 8 1/2 in.'."""


def measurement_shown(measurement: Measurement) -> str:
    """One dimension with its precision, its ground and what it takes in.

    'mouth diameter about 9 cm (about 4 in), as recalled, with stand'. Of a size that nobody named
    the numbers alone are told: 'size' stands over it.
    """
    name = "" if measurement.dimension is Dimension.UNSTATED else measurement.dimension.value
    basis = {Basis.RECALLED: "as recalled", Basis.UNSTATED: ""}
    told = listed(
        [
            listed([measurement.part, name, size_shown(measurement)], " "),
            measurement.which,
            f"with {' and '.join(measurement.includes)}" if measurement.includes else "",
            basis.get(measurement.basis, measurement.basis.value),
        ]
    )
    lettered = not name and _LETTERED.search(measurement.as_stated)
    return with_words(told, measurement.as_stated) if lettered else told
