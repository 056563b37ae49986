"""Records, photographs and parties of any shape that the model allows, for hypothesis.

Made from the types themselves, so that a new field is drawn from the day it is there.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable
from decimal import Decimal
from enum import StrEnum
from functools import cache
from typing import Any

import msgspec
from hypothesis import strategies as st

from archivist.model import (
    Aspect,
    Attribution,
    Date,
    Measurement,
    ObjectRecord,
    Party,
    Photograph,
    Region,
    Unit,
    Value,
)

texts = st.text(st.characters(codec="utf-8"), max_size=12) | st.sampled_from(
    (
        "celadon bowl",
        "大明成化年製",
        "e\u0301 and é",
        "<b>&amp;",
        'say "so"',
        "line\none",
        "\u2028\x00\x1f\x7f",
        "=1+1",
        "😀",
    )
)
"""Words as people and files bring them: any script, controls, both normal forms."""

years = st.integers(-9999, 9999)
uuids = st.uuids(version=4).map(str)


def decimals() -> st.SearchStrategy[Decimal]:
    return st.decimals(0, 9999, places=1)


@st.composite
def dates(draw: st.DrawFn) -> Date:
    ends = sorted((draw(years), draw(years)))
    earliest, latest = (draw(st.just(end) | st.none()) for end in ends)
    return Date(edtf=draw(texts), earliest=earliest, latest=latest, convention=draw(texts))


@st.composite
def regions(draw: st.DrawFn) -> Region:
    wide, high = draw(st.integers(1, 9000)), draw(st.integers(1, 9000))
    x, y = draw(st.integers(0, wide - 1)), draw(st.integers(0, high - 1))
    return Region(
        x=x,
        y=y,
        width=draw(st.integers(1, wide - x)),
        height=draw(st.integers(1, high - y)),
        reference_width=wide,
        reference_height=high,
        page=draw(st.integers(0, 3)),
    )


@st.composite
def measurements(draw: st.DrawFn) -> Measurement:
    low, high = sorted((draw(decimals()), draw(decimals())))
    size = Measurement(low=str(low), high=str(high), unit=draw(st.sampled_from(Unit)))
    rest = _fields_of(Measurement, without=("low", "high", "unit"))
    return msgspec.structs.replace(size, **draw(st.fixed_dictionaries({}, optional=rest)))


@st.composite
def attributions(draw: st.DrawFn) -> Attribution:
    """A date where it is of a date, a term where it is of anything else."""
    aspect = draw(st.sampled_from(Aspect))
    other = "term" if aspect is Aspect.DATE else "date"
    fields = _fields_of(Attribution, without=("aspect", other))
    return Attribution(aspect=aspect, **draw(st.fixed_dictionaries({}, optional=fields)))


_OWN: dict[type, Callable[[], st.SearchStrategy[Any]]] = {
    Date: dates,
    Region: regions,
    Measurement: measurements,
    Attribution: attributions,
}
"""Types whose fields depend on one another."""


@cache
def values(type_: type[Value]) -> st.SearchStrategy[Any]:
    """Any value of a type of the model."""
    if type_ in _OWN:
        return _OWN[type_]()
    required = {f.name: f for f in msgspec.structs.fields(type_) if f.required}
    fields = _fields_of(type_)
    return st.fixed_dictionaries(
        {name: fields.pop(name) for name in required}, optional=fields
    ).map(lambda chosen: type_(**chosen))


def _fields_of(
    type_: type[Value], without: tuple[str, ...] = ()
) -> dict[str, st.SearchStrategy[Any]]:
    return {
        field.name: uuids if field.name == "id" else _of(field.type)
        for field in msgspec.structs.fields(type_)
        if field.name not in without
    }


def _of(kind: Any) -> st.SearchStrategy[Any]:
    """What a field of that type may hold."""
    origin = typing.get_origin(kind)
    if origin in (types.UnionType, typing.Union):
        return st.one_of([_of(one) for one in typing.get_args(kind)])
    if origin is tuple:
        return st.lists(_of(typing.get_args(kind)[0]), max_size=2).map(tuple)
    simple: dict[Any, st.SearchStrategy[Any]] = {
        str: texts,
        int: st.integers(0, 9999),
        bool: st.booleans(),
        type(None): st.none(),
    }
    if kind in simple:
        return simple[kind]
    if issubclass(kind, StrEnum):
        return st.sampled_from(kind)
    return st.deferred(lambda: values(kind))


def records() -> st.SearchStrategy[ObjectRecord]:
    return values(ObjectRecord)


def photographs() -> st.SearchStrategy[Photograph]:
    return values(Photograph)


def parties() -> st.SearchStrategy[Party]:
    return values(Party)
