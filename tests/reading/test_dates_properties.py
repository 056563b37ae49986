"""What holds of reading dates whatever the text."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model.records import Attribution
from archivist.reading.conventions import Conventions
from archivist.reading.dates import claimed_date, overall, read_date_cell, read_dates
from archivist.reading.plain import plain
from archivist.reading.spelling import fold
from archivist.reading.tables import load_tables
from tests.timing import seconds_of

TABLES = load_tables()

FILLER = {
    fold(part)
    for words in TABLES.date_words
    for kind in ("fillers", "and", "or", "to")
    for word in words.get(kind, ())
    for part in (*word.split(), word)
}
UNDATED = {
    fold(part)
    for words in TABLES.date_words
    for word in words["no_date"]
    for part in (*word.split(), word)
}

WORDS = (
    *("late", "early", "mid", "mid-", "first", "half", "of", "the", "18th", "century", "and"),
    *("or", "to", "-", "/", "(", ")", "[", "]", "Ming", "dynasty", "mark", "period", "Qianlong"),
    *("c.", "ca.", "1880", "1700s", "12", "AH", "BC", "AD", "January", "spring", "?", "~", ","),
    *(".", ";", "dated", "before", "after", "between", "3/1/1832", "光緒", "丙子", "年", "XVIII"),
    *("siècle", "jahrhundert", "1.", "no", "lot", "$", "Late", "Period", "turn", "year", "10th"),
    *("chain", "lung", "possibly", "probably", "six", "character", "until", "present", "fin du"),
    *("1736-95", "206", "0", "00", "99999", "1582", "Chia-ching", "reign", "or later", "40s"),
)
PHRASES = st.lists(st.sampled_from(WORDS), max_size=30).map(" ".join)
ANY_TEXT = st.one_of(PHRASES, st.text(max_size=80))


@settings(max_examples=600, deadline=None)
@given(ANY_TEXT)
def test_nothing_raises_and_spans_are_the_words_they_stand_for(text: str) -> None:
    for understood in (read_dates(text, TABLES), read_date_cell(text, TABLES)):
        places = []
        for statement in understood.statements:
            assert isinstance(statement, Attribution)
            assert statement.reading is not None
            start, end = statement.reading.start, statement.reading.end
            assert text[start:end] == statement.as_stated != ""
            assert 0 < float(statement.reading.confidence) <= 1
            assert statement.reading.rule
            places.append((start, end))
        for (_, end), (start, _) in pairwise(sorted(set(places))):
            assert start >= end
        overall(understood)
        plain(understood)
    claimed_date(text, TABLES)


@settings(max_examples=300, deadline=None)
@given(ANY_TEXT)
def test_every_word_is_read_asked_about_left_as_unread_or_mere_filler(text: str) -> None:
    understood = read_dates(text, TABLES)
    covered = [False] * len(text)
    spans = [
        *((s.reading.start, s.reading.end) for s in understood.statements if s.reading),
        *((q.span.start, q.span.end) for q in understood.questions),
        *((u.start, u.end) for u in understood.unread),
    ]
    for start, end in spans:
        covered[start:end] = [True] * (end - start)
    left = "".join(c if not covered[i] else " " for i, c in enumerate(text))
    words = {fold(word) for word in re.findall(r"[^\W\d_]+|\d+", left)}
    allowed = FILLER if spans else FILLER | UNDATED
    assert words - allowed - {""} == set()


@settings(max_examples=200, deadline=None)
@given(ANY_TEXT)
def test_the_same_text_gives_the_same_result(text: str) -> None:
    assert read_dates(text, TABLES) == read_dates(text, TABLES)


@settings(max_examples=400, deadline=None)
@given(PHRASES)
def test_first_years_never_come_after_last_years(text: str) -> None:
    for statement in read_dates(text, TABLES).statements:
        assert isinstance(statement, Attribution)
        date = statement.date
        if date is not None and date.earliest is not None and date.latest is not None:
            assert date.earliest <= date.latest


@settings(deadline=None)
@given(st.integers(1000, 2099), st.integers(1, 99))
def test_a_range_written_short_is_the_range_written_long(first: int, length: int) -> None:
    last = first + length
    if last // 100 == first // 100:
        short = read_dates(f"{first}-{last % 100:02d}", TABLES).statements
        long = read_dates(f"{first}-{last}", TABLES).statements
        assert [s.date for s in short] == [s.date for s in long]  # type: ignore[union-attr]


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(0, 60))
def test_circa_reaches_as_far_as_the_convention_says(earlier: int, later: int) -> None:
    tables = TABLES.with_conventions({"circa": [{"earlier": earlier, "later": later}]})
    date = overall(read_dates("c. 1780", tables))
    assert date is not None
    assert (date.earliest, date.latest) == (1780 - earlier, 1780 + later)
    assert isinstance(tables.conventions, Conventions)


HOSTILE = [
    "late-",
    "mid- ",
    "(",
    "Ming (",
    "18th/",
    "1880-",
    "c.",
    "?",
    "丙子",
    "chain lung ",
    "1 ",
]
HOSTILE += [
    "six character mark ",
    "a",
    "xx period ",
    "early to mid ",
    "-",
    "Kang Hsi Kang ",
    "3/1/",
]


@pytest.mark.parametrize("unit", HOSTILE)
def test_hostile_text_takes_no_more_than_fifty_milliseconds_a_kilobyte(unit: str) -> None:
    text = unit * (8192 // len(unit))
    kilobytes = len(text.encode()) / 1024
    assert seconds_of(lambda: read_dates(text, TABLES)) * 1000 / kilobytes < 50


def test_very_deep_brackets_do_not_recurse() -> None:
    assert read_dates("Ming (" * 5000 + "1500", TABLES).statements
