"""Marks are read as written, with what they claim kept apart from the date of the piece."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from archivist.model import (
    Certainty,
    Legibility,
    Mark,
    MarkKind,
    MarkRelation,
    Observation,
    Presence,
    Script,
)
from archivist.reading.marks import read_marks
from archivist.reading.tables import load_tables
from archivist.reading.words import Words, fillers
from tests.timing import seconds_of

TABLES = load_tables()


def read(text: str) -> list[Mark]:
    return [s for s in read_marks(text, TABLES).statements if isinstance(s, Mark)]


def one(text: str) -> Mark:
    (mark,) = read(text)
    return mark


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Kangxi mark", MarkKind.REIGN),
        ("Qianlong seal mark", MarkKind.REIGN),
        ("impressed seal mark", MarkKind.SEAL),
        ("hallmark to base", MarkKind.WORKSHOP),
        ("cyclical mark", MarkKind.CYCLICAL),
        ("presentation inscription", MarkKind.PRESENTATION),
        ("collector's label", MarkKind.LABEL),
        ("paper tag", MarkKind.TAG),
        ("signed to the base", MarkKind.SIGNATURE),
        ("artemisia leaf mark", MarkKind.SYMBOL),
        ("mark obscured", MarkKind.UNDETERMINED),
        ("大清乾隆年製", MarkKind.REIGN),
        ("Da Qing Qianlong nian zhi", MarkKind.REIGN),
    ],
)
def test_the_kind_of_mark_is_read(text: str, kind: MarkKind) -> None:
    assert one(text).kind is kind


def test_script_technique_colour_place_columns_and_count_are_read() -> None:
    mark = one("a six-character Kangxi mark in underglaze blue in two columns on the base")
    assert (mark.technique, mark.colour, mark.place) == ("underglaze", "blue", "base")
    assert (mark.columns, mark.count) == (2, 6)
    assert one("Qianlong seal mark").script is Script.SEAL
    assert one("Yongzheng mark in regular script").script is Script.REGULAR
    assert one("4-character Xuande mark").count == 4


@pytest.mark.parametrize(
    ("text", "legibility"),
    [
        ("mark obscured", Legibility.OBSCURED),
        ("misfired mark", Legibility.MISFIRED),
        ("mark drilled through", Legibility.DRILLED_THROUGH),
        ("illegible mark", Legibility.ILLEGIBLE),
        ("stamped on base: [illeg.]TON & SON", Legibility.PARTIAL),
    ],
)
def test_legibility_is_read(text: str, legibility: Legibility) -> None:
    assert one(text).legibility is legibility


@pytest.mark.parametrize(
    ("text", "relation"),
    [
        ("Qianlong mark and period", MarkRelation.OF_THE_PERIOD),
        ("mark and period of Qianlong", MarkRelation.OF_THE_PERIOD),
        ("Kangxi six-character mark and of the period", MarkRelation.OF_THE_PERIOD),
        ("Qianlong mark but later", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("apocryphal Chenghua mark", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("Chenghua mark, later", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("Xuande mark, in the style of", MarkRelation.IN_THE_STYLE),
        ("Kangxi mark", MarkRelation.UNSTATED),
    ],
)
def test_how_a_mark_stands_to_its_date_is_read_and_never_derived(
    text: str, relation: MarkRelation
) -> None:
    assert one(text).relation is relation


def test_a_hedged_relation_keeps_its_hedge() -> None:
    mark = one("Kangxi mark, probably of the period")
    assert mark.relation is MarkRelation.OF_THE_PERIOD
    assert mark.certainty is Certainty.PROBABLE


def test_a_reign_in_a_mark_is_what_the_mark_claims() -> None:
    """Reigns 1736-1795 and 1465-1487: Hobson 1915 and DILA Nianhao, at second hand."""
    for text, first, last in [
        ("Qianlong mark", 1736, 1795),
        ("大清乾隆年製", 1736, 1795),
        ("apocryphal Chenghua mark", 1465, 1487),
    ]:
        claims = one(text).claims
        assert claims is not None
        assert claims.earliest is not None
        assert claims.latest is not None
        assert abs(claims.earliest - first) <= 1
        assert abs(claims.latest - last) <= 1


def test_characters_are_kept_verbatim() -> None:
    assert one("大明成化年製").characters == "大明成化年製"
    mark = one("大明成化年製 mark in underglaze blue")
    assert (mark.characters, mark.count, mark.colour) == ("大明成化年製", 6, "blue")
    assert one("Signed, underside: E. M. / Harl / 1881").characters == "E. M.\nHarl\n1881"
    assert one("signed Ellis Marr").characters == "Ellis Marr"


def test_a_label_keeps_its_writers_claim() -> None:
    mark = one('paper label reading "Ming, Alder collection"')
    assert mark.kind is MarkKind.LABEL
    assert mark.claim
    assert mark.characters == "Ming, Alder collection"


@pytest.mark.parametrize("text", ["unmarked", "no inscription", "without a mark"])
def test_no_mark_is_looked_for_and_not_there(text: str) -> None:
    (observation,) = read_marks(text, TABLES).statements
    assert isinstance(observation, Observation)
    assert observation.presence is Presence.ABSENT


@pytest.mark.parametrize("text", ["Carved jade: a dragon", "Height: 10 cm", "Painted: a bowl"])
def test_a_colon_makes_no_mark_by_itself(text: str) -> None:
    assert read(text) == []


def test_words_around_a_mark_stay_unread() -> None:
    text = "A blue and white bowl with Kangxi mark"
    understood = read_marks(text, TABLES)
    assert [s.as_stated for s in understood.statements] == ["Kangxi mark"]
    assert [text[s.start : s.end] for s in understood.unread] == ["A blue and white bowl with"]


WORDS = """\
mark marks Qianlong Kangxi seal six character two columns in underglaze blue on base and \
period of the but later apocryphal label tag : "a" " signed inscribed no 大 清 年 製 ; , . \
impressed [illeg.] Da Qing nian zhi probably unmarked within a double circle 4 - \n"""

PIECES = st.sampled_from(WORDS.split(" "))


@settings(deadline=None)
@example("㈀")  # its compatibility form begins with a bracket
@given(st.lists(PIECES, max_size=25).map(" ".join) | st.text(max_size=80))
def test_nothing_is_lost_or_raised_and_words_are_as_written(text: str) -> None:
    understood = read_marks(text, TABLES)
    spans = [(s.start, s.end) for s in understood.unread]
    for statement in understood.statements:
        assert statement.reading is not None
        start, end = statement.reading.start, statement.reading.end
        assert statement.as_stated == text[start:end]
        spans.append((start, end))
    words, filler = Words(text), fillers(TABLES)
    for word, start in zip(words.folded, words.starts, strict=True):
        if word not in filler and any(c.isalnum() for c in word):
            assert any(first <= start < end for first, end in spans)


@pytest.mark.parametrize("piece", ["mark ", "signed ", "大", '"a" ', "Qianlong mark ", "mark: "])
def test_long_hostile_text_takes_no_long_time(piece: str) -> None:
    text = piece * (20_000 // len(piece))
    assert seconds_of(lambda: read_marks(text, TABLES)) < 0.05 * len(text) / 1000


@pytest.mark.parametrize(
    ("text", "relation"),
    [
        ("Qianlong mark but 19th century", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("Chenghua mark but Kangxi", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("大明成化年製, though Kangxi period", MarkRelation.LATER_THAN_IT_CLAIMS),
        ("Qianlong mark but 18th century", MarkRelation.UNDETERMINED),
        ("Chenghua mark but possibly Kangxi", MarkRelation.UNDETERMINED),
        ("Yongzheng mark but probably later", MarkRelation.UNDETERMINED),
        ("Qianlong mark, 19th century", MarkRelation.UNSTATED),
        ("Qianlong mark, but rubbed", MarkRelation.UNSTATED),
    ],
)
def test_a_date_set_against_a_mark_says_how_the_mark_stands(
    text: str, relation: MarkRelation
) -> None:
    """Only where the writer sets them against each other: it is never derived silently."""
    assert one(text).relation is relation


def test_the_date_set_against_a_mark_is_the_date_of_the_piece() -> None:
    from archivist.reading import overall, read_title

    date = overall(read_title("Vase, Qianlong mark but 19th century", TABLES))
    assert date is not None
    assert (date.earliest, date.latest) == (1800, 1899)


@pytest.mark.parametrize(
    "text",
    [
        "大明成化年製, apocryphal",
        "大明成化年製 (apocryphal)",
        "mark 大明成化年製, later",
        "mark of 大明成化年製, spurious",
        "Da Ming Chenghua nian zhi, apocryphal",
    ],
)
def test_what_follows_the_characters_of_a_mark_is_of_the_mark(text: str) -> None:
    mark = one(text)
    assert mark.relation is MarkRelation.LATER_THAN_IT_CLAIMS
    assert mark.claims is not None
    assert mark.claims.edtf == "1465/1487"


def test_characters_after_a_colon_end_where_other_words_begin() -> None:
    mark = one("Mark: 大明宣德年製 in underglaze blue")
    assert (mark.characters, mark.count, mark.colour) == ("大明宣德年製", 6, "blue")
    assert mark.kind is MarkKind.REIGN


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("signed Jn. Penrose, St Mawgan", "Jn. Penrose"),
        ("signed J. P. Corvane in gold", "J. P. Corvane"),
        ("signed Thos. Wyre & Son, 1790", "Thos. Wyre & Son"),
        ("signed Marr. Chips to rim", "Marr"),
        ("signed Kozan. Good condition", "Kozan"),
    ],
)
def test_a_signed_name_may_be_cut_short_and_ends_with_its_sentence(text: str, name: str) -> None:
    (mark,) = [s for s in read_marks(text, TABLES).statements if isinstance(s, Mark)]
    assert mark.characters == name
