"""Provenance is split into events in order with their gaps, and printed so that it reads back."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from archivist.model import (
    Certainty,
    EventKind,
    Party,
    PartyKind,
    Passage,
    ProvenanceEvent,
)
from archivist.reading.moments import date_of
from archivist.reading.provenance import print_provenance, read_provenance
from archivist.reading.tables import load_tables
from archivist.reading.words import Words, fillers
from tests.timing import seconds_of

TABLES = load_tables()


def events_of(text: str) -> list[ProvenanceEvent]:
    return [s for s in read_provenance(text, TABLES).statements if isinstance(s, ProvenanceEvent)]


def names(text: str) -> list[tuple[str, str, str, str]]:
    """Kind, giver, receiver and agent of each event, by name."""
    understood = read_provenance(text, TABLES)
    by_id = {party.id: party.name for party in understood.parties} | {"": ""}
    return [
        (s.kind.value, by_id[s.giver], by_id[s.receiver], by_id[s.agent])
        for s in understood.statements
        if isinstance(s, ProvenanceEvent)
    ]


def test_a_semicolon_is_a_direct_passage_a_full_stop_a_gap_a_line_neither() -> None:
    """AAM, Guide to Provenance Research (2001), as quoted in the CMOA standard v0.1 (2015)."""
    text = "Ellis Marr, Leeds; Ada Voss, York. Alder and Co., London\nThe Hall Museum"
    assert [e.passage for e in events_of(text)] == [
        Passage.UNKNOWN,
        Passage.DIRECT,
        Passage.GAP,
        Passage.UNKNOWN,
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Mrs. Ada Voss, Easton, Pa., before 1951",
        "C. W. Marr Galleries, N.Y., New York",
        "Dr. J. C. Alder, St. Ives, until January 18, 1941",
        "E. M. Harl [1898-1987] (born Rose Ann Dell; d. 1990), York, Pa.",
        "Alder & Sons, Inc., New York, ca. 1950",
    ],
)
def test_the_full_stop_of_an_abbreviation_ends_nothing(text: str) -> None:
    assert len(events_of(text)) == 1


def test_notes_are_the_ground_of_their_event_and_no_events() -> None:
    text = (
        "Ellis Marr, by 1932 [1]; gift to the Hall Museum, 1950.\n\n"
        "Notes:\n[1]. Shown in Leeds in 1932; see the catalogue. Lent by Mr. Marr."
    )
    first, second = events_of(text)
    assert first.ground.startswith("Shown in Leeds")
    assert second.ground == ""
    assert len(events_of(text)) == 2
    unread = [text[s.start : s.end] for s in read_provenance(text, TABLES).unread]
    assert any("Shown in Leeds" in words for words in unread)


def test_what_a_registrar_left_for_himself_is_no_event() -> None:
    assert len(events_of("Ellis Marr; gift to Hall Museum, 1950.\n\nUnder review by ABC.")) == 2


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("purchased by Ada Voss, Leeds, 1915", ("sale", "", "Ada Voss", "")),
        ("Gift of Ada Voss, 1983", ("gift", "Ada Voss", "", "")),
        ("gift to Hall Museum, 1983", ("gift", "", "Hall Museum", "")),
        ("by descent to his son J. Dell", ("descent", "", "J. Dell", "")),
        ("(Alder Gallery, New York)", ("stay", "", "", "Alder Gallery")),
        ("sale, Brand's, London, 3 May 1912, lot 61", ("auction", "", "", "Brand's")),
        ("(sale, Brand's, London, lot 61)", ("auction", "", "", "Brand's")),
        ("acquired by Ada Voss from Ellis Marr", ("transfer", "Ellis Marr", "Ada Voss", "")),
        ("sold by E. Marr to A. Voss through (Brand's)", ("sale", "E. Marr", "A. Voss", "Brand's")),
        ("Hall Museum, 1963, by gift", ("gift", "", "Hall Museum", "")),
        ("Ellis Marr, Leeds, sold to Ada Voss", ("sale", "Ellis Marr", "Ada Voss", "")),
        ("ex private collection", ("stay", "", "private collection", "")),
        ("from a farmhouse sale", ("sale", "", "", "")),
        ("bought with the contents of a shop", ("sale", "", "", "")),
        ("went to a private buyer overseas", ("transfer", "", "private buyer overseas", "")),
    ],
)  # fmt: skip
def test_convention_and_free_sentences_give_kind_and_parties(
    text: str, expected: tuple[str, str, str, str]
) -> None:
    assert names(text) == [expected]


def test_place_dates_lot_and_certainty_are_read() -> None:
    (event,) = events_of("possibly Ellis Marr, Leeds, Yorkshire, 1904 until June 4, 1947, lot 12")
    assert event.certainty is Certainty.POSSIBLE
    assert event.place == "Leeds, Yorkshire"
    assert event.lot == "12"
    assert event.date is not None
    assert event.date.earliest == event.date.latest == 1904
    assert event.until is not None
    assert event.until.edtf == "1947-06-04"


def test_by_a_year_leaves_the_beginning_open() -> None:
    (event,) = events_of("Ada Voss, York, by 1932")
    assert event.date is not None
    assert (event.date.earliest, event.date.latest) == (None, 1932)


def test_the_same_name_is_the_same_party_and_life_dates_are_kept() -> None:
    text = "Ada Voss [1856-1930], York; Ellis Marr; Ada Voss, Leeds"
    understood = read_provenance(text, TABLES)
    assert [(p.id, p.name, p.life) for p in understood.parties] == [
        ("party-1", "Ada Voss", "1856-1930"),
        ("party-2", "Ellis Marr", ""),
    ]
    receivers = [e.receiver for e in events_of(text)]
    assert receivers == ["party-1", "party-2", "party-1"]
    assert all(party.private for party in understood.parties)


def test_the_kind_of_a_party_is_read_from_its_name() -> None:
    understood = read_provenance("Hall Museum; (Brand, London); Ada Voss", TABLES)
    assert [p.kind for p in understood.parties] == [
        PartyKind.MUSEUM,
        PartyKind.FIRM,
        PartyKind.UNKNOWN,
    ]


def test_printing_follows_the_convention() -> None:
    parties = (
        Party(id="a", name="Ada Voss", life="1856-1930"),
        Party(id="b", name="Brand Gallery"),
        Party(id="c", name="Hall Museum"),
    )
    events = (
        ProvenanceEvent(
            kind=EventKind.STAY, receiver="a", place="Leeds", date=date_of("by 1904", TABLES)
        ),
        ProvenanceEvent(kind=EventKind.STAY, agent="b", passage=Passage.DIRECT),
        ProvenanceEvent(
            kind=EventKind.GIFT,
            receiver="c",
            passage=Passage.GAP,
            certainty=Certainty.PROBABLE,
            date=date_of("November 1927", TABLES),
        ),
    )
    text, lost = print_provenance(events, parties, TABLES)
    assert text == (
        "Ada Voss [1856-1930], Leeds, by 1904; (Brand Gallery). "
        "Probably given to Hall Museum, November 1927."
    )
    assert lost == ()


def test_what_the_convention_cannot_carry_is_named() -> None:
    event = ProvenanceEvent(receiver="a", ground="an old letter", private=True)
    _, lost = print_provenance((event,), (Party(id="a", name="Voss; of Leeds"),), TABLES)
    assert any("ground" in what for what in lost)
    assert any("private" in what for what in lost)
    assert any("read as 2" in what or "receiver" in what for what in lost)


WORDS = """\
Ada Ellis Marr Voss Dell Harl Brand Gallery Hall Museum Alder & Sons Mrs. Dr. J. Ruth of \
Estate É. O'Dell 明 St. Co. the sold by"""

NAME = st.lists(
    st.sampled_from(WORDS.split(" ")),
    min_size=1,
    max_size=4,
).map(" ".join) | st.text(min_size=1, max_size=12)
PLACE = st.sampled_from(["", "Leeds", "York, Yorkshire", "New York, NY", "St. Ives", "in Rome"])
DATES = st.sampled_from(
    ["", "1932", "by 1932", "May 1932", "May 3, 1932", "circa 1950", "1957-1980", "after 1917"]
)
NUMBER = st.sampled_from(["", "12", "345a", "N08901"])
PARTIES = st.lists(NAME, min_size=1, max_size=4, unique=True).map(
    lambda found: tuple(Party(id=f"p{i}", name=name) for i, name in enumerate(found))
)


@st.composite
def histories(draw: st.DrawFn) -> tuple[tuple[ProvenanceEvent, ...], tuple[Party, ...]]:
    parties = draw(PARTIES)
    ids = st.sampled_from([party.id for party in parties])
    events: list[ProvenanceEvent] = []
    for number in range(draw(st.integers(0, 4))):
        date, until = (
            date_of(words, TABLES) if words else None for words in (draw(DATES), draw(DATES))
        )
        events.append(
            ProvenanceEvent(
                kind=draw(st.sampled_from(EventKind)),
                certainty=draw(st.sampled_from(Certainty)),
                giver=draw(st.just("") | ids),
                receiver=draw(ids),
                agent=draw(st.just("") | ids),
                place=draw(PLACE),
                date=date,
                until=until,
                passage=draw(st.sampled_from(Passage)) if number else Passage.UNKNOWN,
                lot=draw(NUMBER),
                number=draw(NUMBER),
            )
        )
    return tuple(events), parties


def bare(
    events: tuple[ProvenanceEvent, ...] | list[ProvenanceEvent], parties: tuple[Party, ...]
) -> list[ProvenanceEvent]:
    """Events with their parties by name, and without what belongs to one reading of them."""
    name = {party.id: f"{party.name} [{party.life}]" for party in parties} | {"": ""}
    return [
        msgspec.structs.replace(
            event,
            as_stated="",
            reading=None,
            giver=name[event.giver],
            receiver=name[event.receiver],
            agent=name[event.agent],
        )
        for event in events
    ]


@settings(max_examples=300, deadline=None)
@given(histories())
def test_reading_what_was_printed_gives_the_events_unless_something_is_named_as_lost(
    history: tuple[tuple[ProvenanceEvent, ...], tuple[Party, ...]],
) -> None:
    events, parties = history
    text, lost = print_provenance(events, parties, TABLES)
    again = read_provenance(text, TABLES)
    read = [s for s in again.statements if isinstance(s, ProvenanceEvent)]
    if not lost:
        assert bare(read, again.parties) == bare(events, parties)
    else:
        assert bare(read, again.parties) != bare(events, parties)


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["Ada Voss", "Ellis Marr", "Hall Museum", "Alder & Sons", "J. Dell"]),
            st.sampled_from([k for k in EventKind if k is not EventKind.STAY]),
            st.sampled_from(
                [Certainty.CERTAIN, Certainty.PROBABLE, Certainty.POSSIBLE, Certainty.DOUBTFUL]
            ),
            PLACE.filter(lambda place: not place.startswith("in")),
            DATES,
            NUMBER,
            st.sampled_from(Passage),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_what_the_convention_can_carry_is_carried(
    history: list[tuple[str, EventKind, Certainty, str, str, str, Passage]],
) -> None:
    names = list(dict.fromkeys(row[0] for row in history))
    parties = tuple(Party(id=f"p{i}", name=name) for i, name in enumerate(names))
    events = tuple(
        ProvenanceEvent(
            kind=kind,
            certainty=certainty,
            receiver=f"p{names.index(name)}",
            place=place,
            date=date_of(words, TABLES) if words else None,
            lot=lot,
            passage=passage if number else Passage.UNKNOWN,
        )
        for number, (name, kind, certainty, place, words, lot, passage) in enumerate(history)
    )
    assume(
        all(
            (event.date is not None) == bool(row[4])
            for event, row in zip(events, history, strict=True)
        )
    )
    text, lost = print_provenance(events, parties, TABLES)
    assert lost == (), text


TEXT_WORDS = """\
Ada Voss, Leeds ; . ( ) [ ] [1856-1930] by 1932 until May 3, 1915 lot 12 no. 7 sold to \
from through gift of Notes: [1] possibly Mrs. Inc. & Co. sale , (?) Under review \
descent \n"""

PIECES = st.sampled_from(TEXT_WORDS.split(" "))


@settings(deadline=None)
@given(st.lists(PIECES, max_size=30).map(" ".join) | st.text(max_size=100))
def test_nothing_is_lost_or_raised_and_words_are_as_written(text: str) -> None:
    understood = read_provenance(text, TABLES)
    spans = [(s.start, s.end) for s in understood.unread]
    ids = {party.id for party in understood.parties} | {""}
    for statement in understood.statements:
        assert isinstance(statement, ProvenanceEvent)
        assert statement.reading is not None
        assert {statement.giver, statement.receiver, statement.agent} <= ids
        start, end = statement.reading.start, statement.reading.end
        assert statement.as_stated == text[start:end]
        spans.append((start, end))
    words, filler = Words(text), fillers(TABLES)
    for word, start in zip(words.folded, words.starts, strict=True):
        if word not in filler and any(c.isalnum() for c in word):
            assert any(first <= start < end for first, end in spans)


@pytest.mark.parametrize("piece", ["\n", ". ", "; ", "(", "[1] ", "1932 until ", "from A to B "])
def test_long_hostile_text_takes_no_long_time(piece: str) -> None:
    text = piece * (20_000 // len(piece))
    assert seconds_of(lambda: read_provenance(text, TABLES)) < 0.05 * len(text) / 1000


DATA = Path(__file__).parents[3] / "shared" / "data" / "provenance.csv"


@pytest.mark.skipif(not DATA.exists(), reason="the open museum data is not beside the project")
def test_published_provenance_reads_back_as_it_was_printed() -> None:
    import csv

    with DATA.open(encoding="utf-8", newline="") as file:
        texts = [row["provenance_text"] for row in csv.DictReader(file)][::10]
    carried = 0
    for text in texts:
        understood = read_provenance(text, TABLES)
        events = [e for e in understood.statements if isinstance(e, ProvenanceEvent)]
        _, lost = print_provenance(events, understood.parties, TABLES)
        carried += not [what for what in lost if not what.endswith(": ground")]
    assert carried / len(texts) >= 0.96


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "purchased by Herbert DuPuy [1856-1930], Pittsburgh, PA, December 27, 1915; "
            "gift to Department of Fine Arts, November 1927[1].\nNOTES: [1] Exhibited in 1910.",
            [("sale", "1915-12-27", "certain"), ("gift", "1927-11", "certain")],
        ),
        (
            "possibly in American Private Collection, Cincinnati (?); Ellis Marr, London; "
            "(sale, Alder's, London, May 3, 1960, lot 1484)",
            [
                ("stay", "", "possible"),
                ("stay", "", "certain"),
                ("auction", "1960-05-03", "certain"),
            ],
        ),
        (
            "C. W. Marr; his daughter Mrs. Ruth Hubbard, until January 18, 1941",
            [("stay", "", "certain"), ("stay", "", "certain")],
        ),
    ],
)
def test_the_cases_of_published_provenance_are_read(
    text: str, told: list[tuple[str, str, str]]
) -> None:
    """What is peculiar in 27.10.189, 93.119 and 55.37.2 of the Carnegie Museum of Art's open data
    (CC0): a day and a note, doubt said twice with a lot, 'Mrs.' which ends no sentence."""
    events = events_of(text)
    found = [(e.kind.value, e.date.edtf if e.date else "", e.certainty.value) for e in events]
    assert found == told
    assert all(e.passage is Passage.DIRECT for e in events[1:])
