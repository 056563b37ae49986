"""Whether a record already says what other words say of the same piece, or says otherwise."""

from __future__ import annotations

import functools
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import msgspec

from archivist.model import (
    Attribution,
    Certainty,
    Citation,
    Feature,
    Mark,
    Measurement,
    Note,
    Observation,
    ProvenanceEvent,
    Relation,
    Statement,
    Title,
)
from archivist.model.dates import Date, overlaps
from archivist.model.measurements import Dimension, Unit, in_millimetres
from archivist.model.overlap import has_years
from archivist.reading.spelling import fold

_OF_THE_WORDS = frozenset(Statement.__struct_fields__)
"""What every statement carries besides what it says of the piece."""

_OF_THE_RECORD = frozenset({"preferred", "passage"})
"""What a statement is among the others of its record."""


def said_already(new: Statement, held: Iterable[Statement]) -> bool:
    """Whether one of `held` says what `new` says, or says it more closely.

    Dates are the same or both stay: which of them is held is weighed where all stand together. What
    is rejected and what is asserted never say the same, nor do two persons.
    """
    return any(_alike(old, new) and _says(old, new) for old in held)


def gainsaid(new: Statement, held: Iterable[Statement]) -> Statement | None:
    """The first of `held` that cannot be true together with `new`, if there is one."""
    if new.certainty is Certainty.REJECTED:
        return None
    return next((old for old in held if _alike(old, new) and _cannot_both_be(old, new)), None)


def _alike(old: Statement, new: Statement) -> bool:
    """Whether two statements can be compared: of one kind and holder, both asserted or neither,
    and, of attributions, of the same part in the same role."""
    if type(old) is not type(new) or old.who != new.who:
        return False
    if (old.certainty is Certainty.REJECTED) is not (new.certainty is Certainty.REJECTED):
        return False
    if isinstance(old, Attribution) and isinstance(new, Attribution):
        return (old.part, old.role) == (new.part, new.role)
    return True


def _says(old: Any, new: Any) -> bool:
    match new:
        case Title():
            return True
        case Attribution(date=Date() as date):
            return old.date is not None and _same_date(old.date, date)
        case Attribution():
            return old.aspect is new.aspect and _same_term(old, new)
        case Feature():
            return _same_term(old, new)
        case Measurement():
            return _same_dimension(old, new) and not _apart(old, new)
        case Observation():
            same_part = new.part in ("", old.part)
            return same_part and _same_term(old, new) and old.presence is new.presence
        case ProvenanceEvent():
            words, before = fold(new.as_stated), fold(old.as_stated)
            return (bool(words) and words in before) or _content(old) == _content(new)
        case Mark():
            said = _content(new)
            return all(getattr(old, name) == value for name, value in said.items())
        case Relation() | Citation() | Note():
            same_words = fold(old.as_stated) == fold(new.as_stated)
            return same_words and _content(old) == _content(new)
    return _content(old) == _content(new)


def _cannot_both_be(old: Any, new: Any) -> bool:
    match new:
        case Attribution(date=Date() as date):
            return has_years(old.date) and not overlaps(old.date, date.earliest, date.latest)
        case Measurement():
            return _same_dimension(old, new) and _apart(old, new)
        case Observation():
            same_part = not (new.part and old.part) or new.part == old.part
            return same_part and _same_term(old, new) and old.presence is not new.presence
    return False


def _content(statement: Statement) -> dict[str, Any]:
    """What a statement says beyond what all carry, as far as it says anything."""
    return {
        name: value
        for name, default in _fields(type(statement))
        if (value := getattr(statement, name)) != default
    }


@functools.lru_cache(maxsize=32)
def _fields(kind: type[Statement]) -> tuple[tuple[str, Any], ...]:
    """The fields of a kind of statement that are of its content, with their defaults."""
    return tuple(
        (field.name, field.default)
        for field in msgspec.structs.fields(kind)
        if field.name not in _OF_THE_WORDS and field.name not in _OF_THE_RECORD
    )


def _same_term(old: Any, new: Any) -> bool:
    if old.term is None or new.term is None:
        return False
    return fold(old.term.label) == fold(new.term.label)


def _same_date(held: Date, said: Date) -> bool:
    """Whether two dates are of the same years; where neither has any, written the same."""
    if has_years(held) or has_years(said):
        return (held.earliest, held.latest) == (said.earliest, said.latest)
    return held.edtf == said.edtf


def _same_dimension(old: Measurement, new: Measurement) -> bool:
    return (
        new.dimension in (old.dimension, Dimension.UNSTATED)
        and old.part == new.part
        and (old.which or new.which) == new.which
    )


def _apart(old: Measurement, new: Measurement) -> bool:
    """Whether two sizes differ by more than the coarser of them was stated to."""
    first, second = in_millimetres(old), in_millimetres(new)
    if first is None or second is None:
        return old.unit is not new.unit or (old.low, old.high) != (new.low, new.high)
    leeway = max(_last_place(old), _last_place(new))
    return first[0] > second[1] + leeway or second[0] > first[1] + leeway


def _last_place(size: Measurement) -> Decimal:
    """One unit in the last place stated, in millimetres: of '13.4 cm' a millimetre.

    Of inches it is a sixteenth at most: fractions are held as long decimals.
    """
    unit = msgspec.structs.replace(size, low="1", high="1")
    places = len(size.low.partition(".")[2])
    (one, _) = in_millimetres(unit) or (Decimal(0), Decimal(0))
    return max(one.scaleb(-places), one / 16 if size.unit is Unit.INCH else Decimal(0))
