"""A caption is taken apart in one pass, in whatever order it comes."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model import (
    Aspect,
    Attribution,
    CompositionKind,
    Feature,
    Mark,
    MarkRelation,
    Measurement,
    Observation,
    Presentness,
    ProvenanceEvent,
    Title,
)
from archivist.reading.result import Understood
from archivist.reading.tables import load_tables
from archivist.reading.titles import read_title
from archivist.reading.words import Words, fillers
from tests.timing import seconds_of

TABLES = load_tables()

CAPTION = (
    "A fine tea-bowl with celadon glaze, Korea, 12th century, H. 8.2 cm, hairline to rim; "
    "ex private collection"
)


def read(text: str) -> Understood:
    return read_title(text, TABLES)


def said(understood: Understood) -> set[tuple[str, str]]:
    """What was read, whatever the order it came in, as (kind, what)."""
    found: set[tuple[str, str]] = set()
    for statement in understood.statements:
        if isinstance(statement, Feature):
            found.add((statement.aspect.value, statement.term.label))
        elif isinstance(statement, Attribution):
            date = statement.date
            term = statement.term.label if statement.term else ""
            found.add((statement.aspect.value, f"{date.earliest}-{date.latest}" if date else term))
        elif isinstance(statement, Measurement):
            found.add((statement.dimension.value, f"{statement.low} {statement.unit}"))
        elif isinstance(statement, Observation):
            found.add((statement.term.label, statement.part))
        elif isinstance(statement, ProvenanceEvent):
            found.add(("provenance", statement.as_stated))
        elif isinstance(statement, Mark):
            found.add(("mark", statement.claim))
    return found


EVERYTHING = {
    ("form", "tea bowl"),
    ("glaze", "celadon glaze"),
    ("place", "Korea"),
    ("date", "1100-1199"),
    ("height", "8.2 cm"),
    ("hairline", "rim"),
    ("provenance", "ex private collection"),
}


def test_a_caption_is_taken_apart_into_all_it_says() -> None:
    understood = read(CAPTION)
    assert said(understood) == EVERYTHING
    titles = [s.value for s in understood.statements if isinstance(s, Title)]
    assert titles == ["A fine tea-bowl with celadon glaze"]
    assert understood.unread == ()
    assert understood.questions == ()
    assert [p.name for p in understood.parties] == ["private collection"]


@pytest.mark.parametrize(
    "text",
    [
        "ex private collection; hairline to rim; H. 8.2 cm; 12th century; Korea; "
        "tea-bowl with celadon glaze",
        "12th century tea-bowl with celadon glaze. Korea. Hairline to rim. H. 8.2 cm. "
        "ex private collection",
        "H. 8.2 cm, tea-bowl with celadon glaze, hairline to rim, Korea, 12th century, "
        "ex private collection",
    ],
)
def test_the_order_makes_no_difference(text: str) -> None:
    assert said(read(text)) == EVERYTHING


def test_statements_stand_in_the_order_of_the_text_with_their_words() -> None:
    understood = read(CAPTION)
    starts = [s.reading.start for s in understood.statements if s.reading]
    assert starts == sorted(starts)
    assert len(starts) == len(understood.statements)


def test_a_reign_in_a_mark_is_no_date_of_the_piece() -> None:
    understood = read("Blue and white dish, Chenghua mark but later, Kangxi period, diam. 21 cm")
    dates = [
        (s.date.earliest, s.date.latest)
        for s in understood.statements
        if isinstance(s, Attribution) and s.date is not None
    ]
    assert dates == [(1662, 1722)]
    (mark,) = (s for s in understood.statements if isinstance(s, Mark))
    assert mark.relation is MarkRelation.LATER_THAN_IT_CLAIMS
    assert mark.claims is not None
    assert mark.claims.earliest == 1465


def test_mark_and_period_is_a_mark_and_a_date() -> None:
    understood = read("Famille rose vase, Qianlong mark and period")
    assert any(isinstance(s, Mark) for s in understood.statements)
    dates = [
        s.date.earliest
        for s in understood.statements
        if isinstance(s, Attribution) and s.aspect is Aspect.DATE and s.date
    ]
    assert dates == [1736]


def test_the_size_of_a_crack_is_no_size_of_the_piece() -> None:
    understood = read("Celadon bowl, a 2 cm hairline to the rim, H. 8 cm")
    assert [s.low for s in understood.statements if isinstance(s, Measurement)] == ["8"]
    (crack,) = (s for s in understood.statements if isinstance(s, Observation))
    assert crack.extent == "2 cm"


@pytest.mark.parametrize(
    ("text", "kind", "count"),
    [
        ("A pair of celadon bowls", CompositionKind.PAIR, 2),
        ("Set of six Imari plates", CompositionKind.SET, 6),
        ("a set of 12 plates", CompositionKind.SET, 12),
        ("A garniture of five vases", CompositionKind.SET, 5),
    ],
)
def test_pairs_and_sets_are_a_composition(text: str, kind: CompositionKind, count: int) -> None:
    composition = read(text).composition
    assert composition is not None
    assert (composition.kind, composition.count) == (kind, count)


def test_parts_that_are_there_missing_or_replaced_are_kept_apart() -> None:
    for text, state in [
        ("Celadon jar and cover", Presentness.PRESENT),
        ("Celadon jar, lacking cover", Presentness.MISSING),
        ("Celadon jar with replacement cover", Presentness.REPLACED),
    ]:
        composition = read(text).composition
        assert composition is not None
        assert [(p.name, p.state) for p in composition.parts] == [("cover", state)]
    assert read("Celadon jar").composition is None


def test_provenance_under_its_heading_goes_to_the_end_of_the_line() -> None:
    understood = read("Celadon jar. Provenance: Ada Voss, Leeds, by 1932; sold to Ellis Marr.")
    events = [s for s in understood.statements if isinstance(s, ProvenanceEvent)]
    assert [e.as_stated for e in events] == ["Ada Voss, Leeds, by 1932", "sold to Ellis Marr"]
    assert [p.name for p in understood.parties] == ["Ada Voss", "Ellis Marr"]


def test_changes_of_hands_at_commas_are_events_of_their_own() -> None:
    text = "Celadon jar, ex coll. Ada Voss, bought in London 1987, sold 1991 to a US collector"
    events = [s.as_stated for s in read(text).statements if isinstance(s, ProvenanceEvent)]
    assert events == [
        "ex coll. Ada Voss",
        "bought in London 1987",
        "sold 1991 to a US collector",
    ]
    assert not any(
        isinstance(s, Attribution) and s.aspect is Aspect.DATE for s in read(text).statements
    )


def test_spur_marks_are_making_and_no_marks() -> None:
    understood = read("Celadon dish, spur marks inside, old label 'Voss' to the base")
    assert [s.kind.value for s in understood.statements if isinstance(s, Mark)] == ["label"]
    assert [s.term.label for s in understood.statements if isinstance(s, Observation)] == [
        "spur mark"
    ]


def test_parties_of_two_clauses_keep_their_own_ids() -> None:
    understood = read("Celadon jar; purchased from Ada Voss; sold to Ellis Marr")
    assert [p.id for p in understood.parties] == ["party-1", "party-2"]
    events = [s for s in understood.statements if isinstance(s, ProvenanceEvent)]
    assert [(e.giver, e.receiver) for e in events] == [("party-1", ""), ("", "party-2")]


def test_what_nobody_reads_stays_word_for_word() -> None:
    text = "Celadon jar, much loved by the cat, H. 20 cm"
    understood = read(text)
    assert [text[s.start : s.end] for s in understood.unread] == ["much loved by the cat"]


def test_the_same_text_gives_the_same_result() -> None:
    assert read(CAPTION) == read(CAPTION)


WORDS = """\
bowl celadon Korea 12th century H. 8.2 cm , ; . hairline to rim ex private collection mark \
and period Qianlong no chips or from a farmhouse sale by 1932 pair of set six \
Provenance: ( ) 1/2 in. "a" possibly Ming with cover missing diam. c. 1700 signed 大 清 \
製 sold year the dragon ? \n"""

PIECES = st.sampled_from(WORDS.split(" "))


@settings(deadline=None)
@given(st.lists(PIECES, max_size=30).map(" ".join) | st.text(max_size=100))
def test_nothing_is_lost_or_raised_and_words_are_as_written(text: str) -> None:
    understood = read(text)
    spans = [(s.start, s.end) for s in understood.unread]
    spans += [(q.span.start, q.span.end) for q in understood.questions]
    named = [m.statement for m in understood.mentions]
    for statement in (*understood.statements, *named):
        assert statement.reading is not None
        start, end = statement.reading.start, statement.reading.end
        assert statement.as_stated == text[start:end]
        spans.append((start, end))
    if understood.composition is not None:
        spans += [
            (p.reading.start, p.reading.end) for p in understood.composition.parts if p.reading
        ]
    words, filler = Words(text), fillers(TABLES)
    for word, start, end in zip(words.folded, words.starts, words.ends, strict=True):
        if word in filler or not any(c.isalnum() for c in word):
            continue
        heading = word in ("provenance", "prov")
        assert heading or any(first < end and start < last for first, last in spans), word


@pytest.mark.parametrize("piece", ["1 ", "ex ", "mark ", "Qianlong mark and period ", "no chips, "])
def test_long_hostile_text_takes_no_long_time(piece: str) -> None:
    text = piece * (8_000 // len(piece))
    assert seconds_of(lambda: read(text)) < 0.05 * len(text) / 1000


@pytest.mark.parametrize(
    "text",
    [
        "The base plate is stamped.",
        "It was assumed that the bowl was Muromachi.",
        "The jar is far from Ming.",
        "In the opinion of the cataloguer this is a Korean bowl.",
        "Der Teller ist nicht aus Meissen.",
        "Cette coupe n'est pas de Vincennes.",
    ],
)
def test_prose_names_no_piece(text: str) -> None:
    assert [s for s in read(text).statements if isinstance(s, Title)] == []


@pytest.mark.parametrize(
    ("text", "title"),
    [
        ("Celadon bowl, the rim is chipped", "Celadon bowl"),
        ("The jar is large. Blue and white jar, Ming", "Blue and white jar"),
        ("Walzenkrug, Fayence, der Henkel ist gebrochen", "Walzenkrug"),
    ],
)
def test_the_fragment_that_names_the_piece_is_its_title(text: str, title: str) -> None:
    found = [s.value for s in read(text).statements if isinstance(s, Title)]
    assert found == [title]
