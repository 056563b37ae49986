"""Only what is a date is written as one, in every format that has a field for it."""

from __future__ import annotations

import json
import re
from datetime import date as day_of_the_calendar
from pathlib import Path

import pytest
from edtf import parse_edtf
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from msgspec.structs import replace

from archivist.hooks import ExporterDescription
from archivist.model import Aspect, Attribution, Date, ObjectRecord
from archivist.plugins import load_plugins
from archivist.testing import BOWL, export, sample_piece, sample_selection
from archivist_plugins.dates import calendar_date, notation, with_doubt

NO_DATES = ("2019-02-29", "1900-02-29", "1925-22", "1925-13", "1925-00", "1925-04-31", "2019-02-30")
"""Each looks like a month or a day and is none; the fourth is EDTF's summer of 1925."""


def of_year(edtf: str) -> Date:
    year = int(edtf[:4])
    return Date(edtf=edtf, earliest=year, latest=year)


@pytest.mark.parametrize("edtf", NO_DATES)
def test_what_the_calendar_does_not_have_is_no_date(edtf: str) -> None:
    assert calendar_date(of_year(edtf)) == ""
    assert notation(of_year(edtf)) == ("1925" if edtf == "1925-22" else "")


@given(st.dates(min_value=day_of_the_calendar(1, 1, 1)))
def test_every_day_of_the_calendar_is_a_date(day: day_of_the_calendar) -> None:
    text = day.isoformat()
    for edtf in (text, text[:7], text[:4]):
        assert calendar_date(of_year(edtf)) == edtf
        assert notation(of_year(edtf)) == edtf
    assert calendar_date(of_year(f"{text}T23:59:60Z")) == text


@given(st.from_regex(r"\A\d{4}-\d\d-\d\d\Z"))
def test_a_day_is_a_date_just_where_the_calendar_of_python_has_it(edtf: str) -> None:
    try:
        there = bool(day_of_the_calendar.fromisoformat(edtf))
    except ValueError:
        there = False
    assert (calendar_date(of_year(edtf)) != "") is there


@settings(deadline=None)
@given(
    st.from_regex(
        r"\A-?[0-9]{4}(-(0[1-9]|1[0-3]|2[0-4]))?[?~%]?"
        r"(/(\.\.|[0-9]{4}(-(0[0-9]|1[0-3]))?[?~%]?))?\Z|"
        r"\A([0-9]{3}X|[0-9]{2}XX|[0-9]{4}-XX)\Z|"
        r"\A[0-9]{4}-[01][0-9]-[0-3][0-9](T[0-2][0-9]:[0-5][0-9]:[0-5][0-9]Z?)?\Z"
    )
)
def test_what_is_given_out_as_edtf_is_read_by_an_independent_parser(edtf: str) -> None:
    """Forms of levels 0 and 1, which that parser knows; of level 2 it knows only some."""
    told = notation(Date(edtf=edtf))
    if told:
        parse_edtf(told)


def test_a_date_of_another_year_than_it_stands_for_is_none() -> None:
    assert calendar_date(Date(edtf="1925-04", earliest=1922, latest=1925)) == ""
    assert calendar_date(Date(edtf="1925", earliest=None, latest=1925)) == ""


def test_doubt_is_a_sign_at_every_end() -> None:
    assert [with_doubt(e) for e in ("1850", "1850~", "1850/1900", "../1900", "[1850,1900]")] == [
        "1850?",
        "1850%",
        "1850?/1900?",
        "../1900?",
        "[1850,1900]",
    ]


EXPORTERS = tuple(
    d
    for d in load_plugins().of("exporter", ExporterDescription)
    if d.name
    in ("dublin-core", "iiif", "lido", "linked-art", "ro-crate", "iptc", "reference-library")
)

_FIELD = re.compile(
    r'"(?:navDate|dateCreated|begin_of_the_begin|end_of_the_end)":\s*"([^"]*)"'
    r"|<(?:dc:date|dcterms:created|lido:earliestDate|lido:latestDate|Iptc4xmpExt:AODateCreated)"
    r"[^>]*>([^<]*)<"
)
"""Every field of these formats that programs take for a date."""


def record_of(edtf: str) -> ObjectRecord:
    made = Attribution(aspect=Aspect.DATE, as_stated="then", date=of_year(edtf), preferred=True)
    return replace(BOWL, attributions=(made,), provenance=())


@pytest.mark.parametrize("edtf", ["1925-04-30", *NO_DATES])
def test_no_field_for_a_date_holds_what_is_none(edtf: str, tmp_path: Path) -> None:
    piece = sample_piece(tmp_path / "in", record_of(edtf))
    files = export(EXPORTERS, sample_selection(tmp_path, [piece]), tmp_path / "out")
    told: dict[str, set[str]] = {}
    for path, file in files.items():
        found = _FIELD.findall(file.location.read_bytes().decode("utf-8", "replace"))
        values = {one or other for one, other in found}
        if values:
            told.setdefault(path.split("/")[0], set()).update(values)
    for exporter, values in told.items():
        for value in values:
            day_of_the_calendar.fromisoformat((value.partition("T")[0] + "-01-01")[:10])
            assert edtf in NO_DATES or value[:4] == "1925", exporter
    if edtf not in NO_DATES:
        assert set(told) == {description.name for description in EXPORTERS}


def test_the_fields_are_found_where_they_are() -> None:
    """The pattern above finds a date in JSON and in XML."""
    assert _FIELD.findall(json.dumps({"navDate": "1925"})) == [("1925", "")]
    xml = etree.tostring(etree.fromstring('<d xmlns:dc="u"><dc:date a="b">1925</dc:date></d>'))
    assert _FIELD.findall(xml.decode()) == [("", "1925")]
