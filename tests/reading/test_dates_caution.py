"""What looks like a date and is none stays unread: a wrong date is worse than no date."""

from __future__ import annotations

import re
from pydoc_data import topics

import pytest

from archivist.model.records import Aspect, Attribution
from archivist.reading.dates import claimed_date, read_dates
from archivist.reading.tables import load_tables

TABLES = load_tables()


def dates(text: str) -> list[str]:
    """The date statements of a running text in EDTF."""
    return [
        s.date.edtf
        for s in read_dates(text, TABLES).statements
        if isinstance(s, Attribution) and s.date is not None
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Lot 1880",
        "sold for £1,200",
        "sold for £1750",
        "bought for 1500 USD",
        "stock no. 1764",
        "no. 1950 in the old list",
        "p. 1712 of the catalogue",
        "12 in. high",
        "1200 mm",
        "13 1/2 x 1100 cm",
        "accession 1996.23.4",
        "tel. 020 7946 1234",
        "A1880",
        "HT-1880-B",
        "a service of 1600 pieces",
        "8 by 10",
        "AC112",
        "1006 chair",
        "series 1490, six units",
        "Class of 1904",
    ],
)
def test_numbers_that_are_no_years_are_not_read(text: str) -> None:
    assert dates(text) == []


@pytest.mark.parametrize(
    "text",
    [
        "six-character Kangxi mark",
        "Qianlong seal mark but later",
        "Hsüan-te mark",
        "apocryphal Chenghua mark",
        "marked Xuande",
        "six-character mark of Jiajing",
        "bears a Xuande mark",
        "大清乾隆年製",
        "大明成化年製",
        "大清光緒丙子年製",
        "乾隆御製",
    ],
)
def test_a_mark_is_what_is_written_and_no_date(text: str) -> None:
    assert dates(text) == []


def test_what_a_mark_claims_is_read_for_the_mark_alone() -> None:
    date = claimed_date("大清乾隆年製", TABLES)
    assert date is not None
    assert (date.earliest, date.latest) == (1736, 1795)
    assert claimed_date("a flower", TABLES) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("six-character Kangxi mark, 19th century", ["18XX"]),
        ("apocryphal Chenghua mark, Kangxi period", ["1662/1722"]),
        ("Ming-style jar, 19th century", ["18XX"]),
        ("in the style of the Ming dynasty, 1900", ["1900"]),
        ("copy of a 17th century original", []),
        ("a Louis XV style chair", []),
        ("reproduction of 1754 edition", []),
        ("salt cellar, Louis XIV pattern", []),
        ("a poem by the Qianlong Emperor", []),
        ("made by the Qianlong Emperor", []),
        ("portrait of George II", []),
        ("ch'ing-pai ware", []),
    ],
)
def test_a_style_or_model_is_no_date_of_the_piece(text: str, expected: list[str]) -> None:
    assert dates(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "The song of the tang",
        "han solo and a chin strap",
        "late period work of the artist",
        "a baroque pearl",
        "Empire style clock",
        "a modern frame",
        "the same period",
        "the colonial period house",
        "a common era of good will",
        "an ottoman in the hall",
        "I may go in august company",
        "a fine vase, c. of good shape",
        "second quarter",
        "early and late",
        "the first half",
        "turn of the wheel",
        "mid-blue glaze",
    ],
)
def test_ordinary_words_are_no_dates(text: str) -> None:
    assert dates(text) == []


def test_no_word_of_ordinary_english_prose_is_read_as_a_reign() -> None:
    """The prose is the standard library's own help text, so that there is always some."""
    prose = " ".join(topics.topics.values())
    words = sorted(set(re.findall(r"[a-z]{3,}", prose.lower())))
    assert len(words) > 2000
    wrong = []
    for word in words:
        for text in (f"a {word} vase", f"the {word} period", f"a {word} mark and period"):
            for statement in read_dates(text, TABLES).statements:
                if isinstance(statement, Attribution) and statement.aspect is Aspect.PERIOD:
                    assert statement.term is not None
                    wrong.append((text, statement.term.label))
    table = {n for row in TABLES.periods for name in (row.label, *row.variants) for n in [name]}
    names = {name.lower() for name in table}
    assert [found for found in wrong if found[0].split()[1] not in names] == []


def test_years_in_brackets_after_a_name_may_be_a_life_and_are_asked_about() -> None:
    understood = read_dates("Bust of Tobias Wrenfield (1751-1812)", TABLES)
    assert understood.statements == ()
    (question,) = understood.questions
    assert "life" in question.asks
    assert dates("a dish (1751-1812)") == ["1751/1812"]


def test_a_monarch_without_the_word_reign_is_trusted_less() -> None:
    (bare, _) = read_dates("George II", TABLES).statements
    (said, _) = read_dates("George II period", TABLES).statements
    assert bare.reading is not None
    assert said.reading is not None
    assert float(bare.reading.confidence) < float(said.reading.confidence)
