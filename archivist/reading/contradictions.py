"""What on a record cannot all be true: a mark against the date, one height against another.

Statements that were rejected are left out. A contradiction is shown and never resolved here: which
of the two gives way is for a person to say.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import combinations

from archivist.model.base import Certainty, Statement, Value
from archivist.model.dates import Date, historical_year
from archivist.model.held import is_rejected
from archivist.model.marks import MarkRelation
from archivist.model.measurements import Dimension, Measurement, Unit, in_millimetres
from archivist.model.provenance import EventKind, SaleFact, SaleStage
from archivist.model.records import CompositionKind, ObjectRecord

_ABOUT = Decimal("0.1")
"""'About' a size is taken to be within a tenth of it (common practice, no source)."""

_VULGAR_STEP = Decimal(1) / 16
"""Inches are taken to be measured to a sixteenth either way (common practice, no source)."""


class Contradiction(Value, frozen=True, kw_only=True):
    """Two things on a record that cannot both be true.

    `code` is stable for scripts, `message` is for the owner, `where` names the statements
    ('marks[0]', 'attributions').
    """

    code: str
    message: str
    where: tuple[str, ...] = ()


def contradictions(record: ObjectRecord) -> tuple[Contradiction, ...]:
    """All contradictions on `record`, in the order of its fields."""
    return (
        *_held_and_rejected(record),
        *_sizes(record),
        *_marks(record),
        *_provenance(record),
        *_sales(record),
    )


def _stands(statement: Statement) -> bool:
    return statement.certainty is not Certainty.REJECTED


def _years(date: Date) -> str:
    first, last = (
        "open" if year is None else str(historical_year(year))
        for year in (date.earliest, date.latest)
    )
    return first if first == last else f"{first} to {last}"


def _wholly_before(one: Date | None, other: Date | None) -> bool:
    """Whether every year of `one` is before every year of `other`."""
    if one is None or other is None or one.latest is None or other.earliest is None:
        return False
    return one.latest < other.earliest


def _held_and_rejected(record: ObjectRecord) -> list[Contradiction]:
    """What the owner asserts in one place and rejects in another, and so does not hold."""
    found: list[Contradiction] = []
    for field in ("attributions", "features", "observations", "measurements"):
        statements: tuple[Statement, ...] = getattr(record, field)
        for index, statement in enumerate(statements):
            if statement.who or not _stands(statement) or not is_rejected(statement, statements):
                continue
            term = getattr(statement, "term", None)
            name = statement.as_stated or (term.label if term else "it")
            message = f"'{name}' is said in one place and rejected in another; it is not held."
            where = (f"{field}[{index}]", field)
            found.append(Contradiction(code="said-and-rejected", message=message, where=where))
    return found


def _marks(record: ObjectRecord) -> list[Contradiction]:
    held = record.date
    found: list[Contradiction] = []
    for index, mark in enumerate(record.marks):
        if held is None or mark.claims is None or not _stands(mark):
            continue
        where = (f"marks[{index}]", "attributions")
        name = mark.claim or mark.as_stated or "the mark"
        if mark.relation is MarkRelation.OF_THE_PERIOD and (
            _wholly_before(held, mark.claims) or _wholly_before(mark.claims, held)
        ):
            message = (
                f"The mark {name} is said to be of the period ({_years(mark.claims)}), "
                f"but the date held is {_years(held)}."
            )
            found.append(Contradiction(code="mark-outside-date", message=message, where=where))
        elif mark.relation is MarkRelation.LATER_THAN_IT_CLAIMS and _not_later(held, mark.claims):
            message = (
                f"The mark {name} is said to be later than it claims ({_years(mark.claims)}), "
                f"but the date held is {_years(held)}."
            )
            found.append(Contradiction(code="mark-not-later", message=message, where=where))
    return found


def _not_later(held: Date, claims: Date) -> bool:
    return held.latest is not None and claims.latest is not None and held.latest <= claims.latest


def _sizes(record: ObjectRecord) -> list[Contradiction]:
    several = record.composition is not None and record.composition.kind in (
        CompositionKind.PAIR,
        CompositionKind.SET,
    )
    sizes = [
        (index, size)
        for index, size in enumerate(record.measurements)
        if _stands(size) and size.dimension is not Dimension.UNSTATED and _bounds(size)
    ]
    found: list[Contradiction] = []
    for (first, one), (second, other) in combinations(sizes, 2):
        same = (one.dimension, one.part, one.which, one.includes) == (
            other.dimension,
            other.part,
            other.which,
            other.includes,
        )
        if not same or (several and not one.which) or not _apart(one, other):
            continue
        what = f"{one.dimension} of the {one.part}" if one.part else one.dimension.value
        found.append(
            Contradiction(
                code="sizes-differ",
                message=f"The {what} is {_size(one)} in one place and {_size(other)} in another.",
                where=(f"measurements[{first}]", f"measurements[{second}]"),
            )
        )
    return found


def _size(size: Measurement) -> str:
    span = size.low if size.low == size.high else f"{size.low} to {size.high}"
    return f"{'about ' if size.approximate else ''}{span} {size.unit}"


def _bounds(size: Measurement) -> tuple[Decimal, Decimal] | None:
    """The millimetres between which a size lies, given how finely it was stated."""
    length = in_millimetres(size)
    if length is None:
        return None
    low, high = length
    unit_high = Decimal(size.high)
    factor = high / unit_high if unit_high else Decimal(1)
    exponent = Decimal(size.low).as_tuple().exponent
    step = Decimal(1).scaleb(exponent) if isinstance(exponent, int) else Decimal(1)
    slack = factor * step / 2
    if size.unit in (Unit.INCH, Unit.FOOT):
        slack = factor * _VULGAR_STEP
    if size.approximate:
        slack = max(slack, high * _ABOUT)
    return low - slack, high + slack


def _apart(one: Measurement, other: Measurement) -> bool:
    first, second = _bounds(one), _bounds(other)
    if first is None or second is None:
        return False
    return first[1] < second[0] or second[1] < first[0]


def _provenance(record: ObjectRecord) -> list[Contradiction]:
    held = record.date
    found: list[Contradiction] = []
    last: tuple[int, Date] | None = None
    for index, event in enumerate(record.provenance):
        if not _stands(event):
            continue
        when = event.date or event.until
        if event.kind is not EventKind.COMMISSION and _wholly_before(event.until or when, held):
            assert when is not None
            assert held is not None
            found.append(
                Contradiction(
                    code="event-before-making",
                    message=(
                        f"A provenance event ({event.kind}, {_years(event.until or when)}) comes "
                        f"before the making, which is held to be {_years(held)}."
                    ),
                    where=(f"provenance[{index}]", "attributions"),
                )
            )
        if event.date is None:
            continue
        if last is not None and _wholly_before(event.date, last[1]):
            found.append(
                Contradiction(
                    code="events-out-of-order",
                    message=(
                        f"A provenance event of {_years(event.date)} stands after one of "
                        f"{_years(last[1])}."
                    ),
                    where=(f"provenance[{last[0]}]", f"provenance[{index}]"),
                )
            )
        last = (index, event.date)
    return found


def _sales(record: ObjectRecord) -> list[Contradiction]:
    bought = _first(record, SaleStage.BOUGHT)
    sold = _first(record, SaleStage.SOLD)
    if bought is None or sold is None or not _wholly_before(sold[1].date, bought[1].date):
        return []
    assert sold[1].date is not None
    assert bought[1].date is not None
    return [
        Contradiction(
            code="sale-before-acquisition",
            message=(
                f"The piece was sold ({_years(sold[1].date)}) before it was bought "
                f"({_years(bought[1].date)})."
            ),
            where=(f"sales[{bought[0]}]", f"sales[{sold[0]}]"),
        )
    ]


def _first(record: ObjectRecord, stage: SaleStage) -> tuple[int, SaleFact] | None:
    """The earliest dated fact of `stage`."""
    dated = [
        (index, fact)
        for index, fact in enumerate(record.sales)
        if fact.stage is stage and _stands(fact) and fact.date and fact.date.earliest is not None
    ]
    return min(dated, key=lambda pair: (pair[1].date or Date()).earliest or 0, default=None)
