"""Captions of photographs are read for the piece, and not for the picture.

The phrases are invented, of the manner in which people write on photographs.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model import Attribution, Feature, Measurement, Observation, Title
from archivist.reading.picture_captions import (
    ASKS_OF_YEAR,
    read_picture_caption,
    read_picture_name,
)
from archivist.reading.result import Understood
from archivist.reading.tables import load_tables

TABLES = load_tables()


def dates(understood: Understood) -> list[str]:
    return [
        s.date.edtf
        for s in understood.statements
        if isinstance(s, Attribution) and s.date is not None
    ]


def test_a_caption_is_taken_apart_like_a_title() -> None:
    read = read_picture_caption(
        "Celadon vase, Korea, 12th century, H. 21 cm, hairline to rim", TABLES
    )
    kinds = [type(s) for s in read.statements]
    assert kinds == [
        Title, Feature, Feature, Attribution, Attribution, Measurement, Observation,
    ]  # fmt: skip
    assert dates(read) == ["11XX"]


@pytest.mark.parametrize(
    "text",
    [
        "Vase, photographed 1998",
        "Celadon vase, 12 March 2009",
        "Celadon bowl (photo 1985)",
        "© Tidewell 2004. Celadon bowl",
        "Scan of a colour slide from 1974, celadon bowl",
        "Celadon Schale, Dia von 1985",
        "photo by J. Marr, 1998",
    ],
)
def test_when_the_picture_was_made_is_no_date_of_the_piece(text: str) -> None:
    read = read_picture_caption(text, TABLES)
    assert dates(read) == []
    assert read.questions == ()


@pytest.mark.parametrize("text", ["Vase, 1998", "Figure 1931", "Bowl 1998-2001"])
def test_a_recent_year_by_itself_is_asked_about(text: str) -> None:
    read = read_picture_caption(text, TABLES)
    assert dates(read) == []
    assert [q.asks for q in read.questions] == [ASKS_OF_YEAR]


@pytest.mark.parametrize(
    ("text", "date"),
    [
        ("Vase, c. 1960", "1960~"),
        ("Bowl dated 1965", "1965"),
        ("Plate 1871", "1871"),
        ("Art Deco style clock, 1920-30", "1920/1930"),
        ("Kangxi vase", "1662/1722"),
    ],
)
def test_a_year_that_is_of_the_making_is_read(text: str, date: str) -> None:
    assert date in dates(read_picture_caption(text, TABLES))


@pytest.mark.parametrize("text", ["scale 10 cm", "Base, scale bar 5 cm", "with ruler: 15 cm"])
def test_a_scale_is_no_size_of_the_piece(text: str) -> None:
    read = read_picture_caption(text, TABLES)
    assert not any(isinstance(s, Measurement) for s in read.statements)


def test_a_size_that_may_be_of_the_damage_is_not_given_to_the_piece() -> None:
    read = read_picture_caption("Hairline from rim, about 9 cm, stained", TABLES)
    assert not any(isinstance(s, Measurement) for s in read.statements)
    whole = read_picture_caption("Hairline from rim, H. 9 cm", TABLES)
    assert [s.as_stated for s in whole.statements if isinstance(s, Measurement)] == ["H. 9 cm"]


def test_a_number_of_the_piece_is_no_year() -> None:
    text = "HW 1745 celadon vase"
    assert dates(read_picture_caption(text, TABLES, [(0, 7)])) == []


def test_what_the_picture_shows_is_not_said_of_the_piece() -> None:
    assert read_picture_caption("Mark", TABLES).statements == ()


@pytest.mark.parametrize(
    "name",
    [
        "celadon vase 12th c drilled base",
        "celadon_vase_12th_c_drilled_base",
        "celadon-vase-12th-c-drilled-base-2",
        "celadon vase, 12th c, drilled base (3)",
    ],
)
def test_a_name_as_telling_as_a_caption_is_read_as_one(name: str) -> None:
    read = read_picture_name(name, TABLES)
    assert dates(read) == ["11XX"]
    assert any(isinstance(s, Observation) for s in read.statements)
    for statement in read.statements:
        assert statement.reading is not None
        stated = name[statement.reading.start : statement.reading.end]
        assert statement.as_stated == stated


@pytest.mark.parametrize(
    "name", ["2009", "Korea 2009", "1745", "crack", "drilled base", "Ming stuff", "DSC_1745",
             "12th c", "sold 2004", "Spring list 1998"],
)  # fmt: skip
def test_other_names_say_nothing_of_the_piece(name: str) -> None:
    assert read_picture_name(name, TABLES).statements == ()


def test_a_short_name_says_the_form_at_most() -> None:
    (form,) = read_picture_name("blue bowl 1745", TABLES).statements
    assert isinstance(form, Feature)
    assert form.term.label == "bowl"


def test_a_year_in_a_name_is_never_a_date_of_the_piece() -> None:
    read = read_picture_name("Kangxi blue and white bowl hairline 1998", TABLES)
    assert dates(read) == ["1662/1722"]


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=80))
def test_any_words_are_read_and_every_span_lies_within(text: str) -> None:
    for read in (read_picture_caption(text, TABLES), read_picture_name(text, TABLES)):
        assert read.text == text
        for statement in read.statements:
            assert statement.reading is not None
            assert statement.as_stated == text[statement.reading.start : statement.reading.end]
