from __future__ import annotations

import datetime

import pytest
from edtf import parse_edtf
from hypothesis import given
from hypothesis import strategies as st

from archivist.imaging.exif import Clock
from archivist.imaging.taken import read_clock

ORIGINAL = "EXIF DateTimeOriginal"


def edtf_of(words: str, offset: str = "", fraction: str = "") -> str:
    statement, _ = read_clock(
        Clock(witness=ORIGINAL, words=words, offset=offset, fraction=fraction)
    )
    return statement.date.edtf if statement else ""


# Exif 2.3, 4.6.5: 'The format is "YYYY:MM:DD HH:MM:SS" with time shown in 24-hour format'; the
# offset tags are of Exif 2.31. The right side is ISO 8601-2, Library of Congress EDTF, level 0.
@pytest.mark.parametrize(
    ("words", "offset", "edtf"),
    [
        ("2003:08:06 18:04:34", "", "2003-08-06T18:04:34"),
        ("2003:08:06 18:04:34", "+01:00", "2003-08-06T18:04:34+01:00"),
        ("2003:08:06 18:04:34", "-09:30", "2003-08-06T18:04:34-09:30"),
        ("2003:08:06 18:04:34", "+00:00", "2003-08-06T18:04:34Z"),
        ("2003:08:06 18:04:34", "   :  ", "2003-08-06T18:04:34"),
        ("2003:08:06 18:04:34", "+99:00", "2003-08-06T18:04:34"),
        ("2019-10-17T16:55:20-07:00", "", "2019-10-17T16:55:20-07:00"),
        ("2019-10-17T16:55:20.25Z", "", "2019-10-17T16:55:20Z"),
        ("20191016 190100+0000", "", "2019-10-16T19:01:00Z"),
        ("2003:08:06", "", "2003-08-06"),
        ("2004-02", "", "2004-02"),
        ("1987", "", "1987"),
    ],
)
def test_a_clock_is_read_as_edtf(words: str, offset: str, edtf: str) -> None:
    assert edtf_of(words, offset) == edtf
    assert parse_edtf(edtf) is not None


@pytest.mark.parametrize(
    "words",
    [
        "0000:00:00 00:00:00",
        "2003:02:30 10:00:00",
        "2003:13:01 10:00:00",
        "2003:01:09 25:00:00",
        "2O03:01:09 10:00:00",
        "yesterday",
        "2004-13",
        "0000",
    ],
)
def test_what_is_no_date_is_left_out_and_named(words: str) -> None:
    statement, remark = read_clock(Clock(witness=ORIGINAL, words=words))
    assert statement is None
    assert ORIGINAL in remark
    assert words in remark


def test_blanks_mean_an_unknown_time_and_are_no_fault() -> None:
    # Exif 2.3, 4.6.5, DateTimeOriginal.
    assert read_clock(Clock(witness=ORIGINAL, words="    :  :     :  :  ")) == (None, "")


def test_a_clock_that_was_never_set_is_kept_and_not_trusted() -> None:
    statement, remark = read_clock(Clock(witness=ORIGINAL, words="1980:01:01 00:00:00"))
    assert statement is not None
    assert statement.reading is not None
    assert statement.reading.confidence == "0.1"
    assert "unset clock" in remark


def test_fraction_and_offset_stay_in_the_words() -> None:
    statement, _ = read_clock(
        Clock(witness=ORIGINAL, words="2003:08:06 18:04:34", fraction="61", offset="+02:00")
    )
    assert statement is not None
    assert statement.as_stated == "2003:08:06 18:04:34.61 +02:00"


@given(st.datetimes(min_value=datetime.datetime(1, 1, 1)))  # noqa: DTZ001
def test_every_time_there_is_survives_the_way_through_exif(moment: datetime.datetime) -> None:
    words = f"{moment.year:04}:{moment.month:02}:{moment.day:02} {moment:%H:%M:%S}"
    assert edtf_of(words) == moment.isoformat(timespec="seconds")


@given(st.text(max_size=30), st.text(max_size=8), st.text(max_size=4))
def test_no_words_make_it_fail(words: str, offset: str, fraction: str) -> None:
    statement, _ = read_clock(
        Clock(witness=ORIGINAL, words=words, offset=offset, fraction=fraction)
    )
    if statement:
        year = int(statement.date.edtf[:4])
        assert statement.date.earliest == statement.date.latest == year
