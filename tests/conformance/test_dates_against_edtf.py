"""Every EDTF that is printed is valid, as the `edtf` library and the published cases judge it.

Sources: ISO 8601-2:2019 and the Library of Congress EDTF specification (levels 0 to 2), by way of
`../shared/standards/edtf/cases.json` where it is present; the `edtf` library 5.0.2.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from edtf import parse_edtf
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model import edtf as notation
from archivist.model.base import Certainty
from archivist.model.records import Attribution
from archivist.reading.dates import overall, read_date_cell
from archivist.reading.tables import load_tables

SHARED = Path(__file__).resolve().parents[3] / "shared" / "standards" / "edtf"
TABLES = load_tables()

BEGINNINGS = ("", "c. ", "possibly ", "probably c. ", "before ", "after ", "late ", "dated ")
MIDDLES = ("1780", "18th century", "1920s", "1736-95", "206 BC", "200-100 BC", "1964 or 1965")
MIDDLES += ("March 6, 1880", "Fall/Winter 1991", "Qianlong period", "AH 1065", "2nd century BC")
MIDDLES += ("17th/18th century", "3rd millennium BC", "12000 BC", "AD 9-23", "Reiwa", "1st century")
ENDINGS = ("", "?", " or later", " (?)", " or earlier", " circa")
PHRASES = st.tuples(*(st.sampled_from(p) for p in (BEGINNINGS, MIDDLES, ENDINGS))).map("".join)


def printed(text: str) -> list[str]:
    """All EDTF that reading a text gives."""
    understood = read_date_cell(text, TABLES)
    dates = [s.date for s in understood.statements if isinstance(s, Attribution) and s.date]
    dates += [d for d in (overall(understood),) if d is not None]
    return [date.edtf for date in dates]


@settings(max_examples=400, deadline=None)
@given(PHRASES)
def test_every_date_printed_is_read_again_by_the_edtf_library(text: str) -> None:
    strings = printed(text)
    assert strings
    for string in strings:
        if string or "12000" not in text:  # EDTF has no interval or doubt of a five-figure year
            assert str(parse_edtf(string)), string


@pytest.mark.parametrize(
    ("text", "edtf"),
    [
        # Forms that stand in the EDTF specification's own list of examples.
        ("1985-04-12", "1985-04-12"),
        ("April 1985", "1985-04"),
        ("1985", "1985"),
        ("1964-2008", "1964/2008"),
        ("Spring 2001", "2001-21"),
        ("1984?", "1984?"),
        ("2010s", "201X"),
        ("after 1985", "1985/.."),
        ("before 1985", "../1985"),
        ("1667 or 1668", "[1667,1668]"),
        ("circa 1984, possibly", "1984~"),
    ],
)
def test_words_become_the_form_that_the_specification_gives(text: str, edtf: str) -> None:
    assert printed(text)[0] == edtf


@pytest.mark.parametrize("year", [-12000, -9999, -206, -1, 0, 1, 999, 1880, 9999, 12000])
def test_years_are_printed_as_the_library_prints_them(year: int) -> None:
    assert parse_edtf(notation.year(year)).lower_strict().tm_year == year


def test_doubt_and_circa_have_the_signs_of_the_specification() -> None:
    """Level 1: `?` uncertain, `~` approximate, `%` both."""
    assert notation.qualifier(circa=False, certainty=Certainty.CERTAIN) == ""
    assert notation.qualifier(circa=True, certainty=Certainty.CERTAIN) == "~"
    assert notation.qualifier(circa=False, certainty=Certainty.POSSIBLE) == "?"
    assert notation.qualifier(circa=True, certainty=Certainty.DOUBTFUL) == "%"


@pytest.mark.skipif(
    not SHARED.is_dir(), reason="the published EDTF cases are not beside the project"
)
def test_plain_dates_among_the_published_cases_are_read_as_themselves() -> None:
    """Cases of level 0 that are a year, a month, a day or an interval of years."""
    cases = json.loads((SHARED / "cases.json").read_text(encoding="utf-8"))
    plain = [
        case["s"]
        for case in cases
        if case["level"] == "L0" and case["in_sources"] and "T" not in case["s"]
    ]
    tried = [s for s in plain if (len(s) in (4, 10) and "/" not in s) or s == "1964/2008"]
    assert len(tried) >= 3
    for string in tried:
        assert printed(string)[:1] == [string]


@pytest.mark.skipif(not SHARED.is_dir(), reason="the phrase baseline is not beside the project")
def test_trade_phrases_are_read_where_a_general_library_loses_them() -> None:
    """The phrases of phrase-baseline.json; what is right is common practice."""
    phrases = {p[0] for p in json.loads((SHARED / "phrase-baseline.json").read_text("utf-8"))}
    expected = {
        "late 18th or early 19th century": "1775/1825",
        "second half of the 18th century": "1750/1799",
        "circa 1880": "1880~",
        "1880s to 1900": "1880/1900",
        "mid-19th century": "1835/1865",
        "early to mid 19th century": "1800/1865",
        "19th century or later": "1800/..",
        "before 1912": "../1912",
        "after 1870": "1870/..",
        "first quarter of the 17th century": "1600/1624",
        "18th/19th century": "1700/1899",
        "1662-1722": "1662/1722",
        "1736-95": "1736/1795",
        "17th c.": "16XX",
        "possibly 18th century": "17XX?",
        "probably early 19th century": "1800?/1825?",
        "late 19th": "1875/1899",
        "turn of the century 1900": "1890/1910",
        "c. 1780-1800": "1780~/1800~",
        "Kangxi (1662-1722)": "1662/1722",
        "Meiji period": "1868/1912",
        "1 BC": "0000",
        "between 1750 and 1760": "1750/1760",
        "1750 or 1751": "[1750,1751]",
    }
    assert set(expected) <= phrases
    assert {text: printed(text)[0] for text in expected if printed(text)} == expected
    assert printed("undated") == []
