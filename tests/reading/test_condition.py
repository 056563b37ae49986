"""Each phrase of condition becomes part, term and kind; 'no' and 'possibly' govern only theirs."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model import Certainty, Observation, ObservationKind, Presence
from archivist.reading.condition import read_condition
from archivist.reading.tables import load_tables
from archivist.reading.words import Words, fillers
from tests.timing import seconds_of

TABLES = load_tables()


def read(text: str) -> list[Observation]:
    return [s for s in read_condition(text, TABLES).statements if isinstance(s, Observation)]


def short(text: str) -> list[tuple[str, str, str]]:
    return [(o.term.label, o.part, o.presence.value) for o in read(text)]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("hairline", "damage"),
        ("crackle", "making"),
        ("spur marks", "making"),
        ("chatter marks", "making"),
        ("kiln grit", "making"),
        ("a firing gap", "making"),
        ("glaze pulls", "making"),
        ("rubbing to the enamels", "wear"),
        ("three staples", "repair"),
        ("overpaint", "repair"),
        ("fills", "repair"),
        ("a hole drilled for a lamp", "alteration"),
        ("a tag's glue", "residue"),
        ("star crack", "undetermined"),
        ("crazing", "undetermined"),
    ],
)
def test_terms_are_of_the_kind_the_trade_gives_them(text: str, kind: str) -> None:
    """Alaska State Museum and Pater Gratia at second hand; the rest is common practice."""
    (observation,) = read(text)
    assert observation.kind.value == kind


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("hairline to rim", [("hairline", "rim", "present")]),
        ("foot rim chips", [("chip", "foot rim", "present")]),
        ("restored neck", [("restoration", "neck", "present")]),
        ("Rim: chipped; lid restuck", [("chip", "rim", "present"), ("glued", "cover", "present")]),
        (
            "chips to rim and foot",
            [("chip", "rim", "present"), ("chip", "foot rim", "present")],
        ),
        (
            "chips and a hairline to the rim",
            [("chip", "rim", "present"), ("hairline", "rim", "present")],
        ),
        (
            "two rim chips and a hairline",
            [("chip", "rim", "present"), ("hairline", "", "present")],
        ),
        ("the rim has two chips", [("chip", "rim", "present")]),
    ],
)
def test_a_part_goes_with_its_term(text: str, expected: list[tuple[str, str, str]]) -> None:
    assert short(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("no cracks", [("crack", "", "absent")]),
        (
            "no chips, cracks or restoration",
            [("chip", "", "absent"), ("crack", "", "absent"), ("restoration", "", "absent")],
        ),
        (
            "a firing gap, not a crack",
            [("firing gap", "", "present"), ("crack", "", "absent")],
        ),
        (
            "no damage apart from a hairline to the rim",
            [("damage", "", "absent"), ("hairline", "rim", "present")],
        ),
        (
            "no cracks and a chip to the rim",
            [("crack", "", "absent"), ("chip", "rim", "present")],
        ),
        (
            "without restoration, hairline to rim",
            [("restoration", "", "absent"), ("hairline", "rim", "present")],
        ),
        (
            "no sign of restoration but a small fleabite",
            [("restoration", "", "absent"), ("fleabite", "", "present")],
        ),
        ("cracks: none", [("crack", "", "absent")]),
        ("unrestored", [("restoration", "", "absent")]),
        ("not without chips", [("chip", "", "present")]),
        ("No. 5 cracked", [("crack", "", "present")]),
        ("no restoration. Hairline", [("restoration", "", "absent"), ("hairline", "", "present")]),
    ],
)
def test_a_no_governs_what_it_governs_and_nothing_else(
    text: str, expected: list[tuple[str, str, str]]
) -> None:
    assert short(text) == expected


def test_a_no_that_may_go_on_after_a_comma_is_asked() -> None:
    understood = read_condition("no cracks, chips", TABLES)
    (question,) = understood.questions
    presences = [[o.presence for o in r if isinstance(o, Observation)] for r in question.readings]
    assert presences == [[Presence.ABSENT], [Presence.PRESENT]]
    assert [o.presence for o in read("no cracks, chips")] == [Presence.ABSENT, Presence.UNKNOWN]


@pytest.mark.parametrize(
    ("text", "certainties"),
    [
        ("possibly restored", [Certainty.POSSIBLE]),
        ("probably some overpaint", [Certainty.PROBABLE]),
        ("small chip, possibly restored", [Certainty.CERTAIN, Certainty.POSSIBLE]),
        ("possibly restored, hairline to rim", [Certainty.POSSIBLE, Certainty.CERTAIN]),
        ("restored (?)", [Certainty.POSSIBLE]),
        ("hairline?", [Certainty.POSSIBLE]),
    ],
)
def test_a_hedged_term_keeps_its_hedge(text: str, certainties: list[Certainty]) -> None:
    assert [o.certainty for o in read(text)] == certainties


def test_what_could_not_be_decided_is_unknown_and_not_absent() -> None:
    assert [o.presence for o in read("not sure if restored")] == [Presence.UNKNOWN]


def test_the_extent_is_kept_as_stated() -> None:
    assert read("a 2 cm hairline to the rim")[0].extent == "2 cm"
    assert read("hairline of 3.5 cm along the rim")[0].extent == "3.5 cm"
    assert read("small chip")[0].extent == "small"


def test_what_is_not_read_stays_word_for_word() -> None:
    text = "hairline to rim, otherwise lovely and much admired"
    understood = read_condition(text, TABLES)
    assert [text[s.start : s.end] for s in understood.unread] == [
        "otherwise lovely and much admired"
    ]


def test_every_condition_term_says_its_kind_and_source() -> None:
    rows = TABLES.terms("condition", "condition absent")
    assert len(rows) > 50
    for row in rows:
        assert ObservationKind(row.more["class"])
        assert row.source


WORDS = """\
no not without apart from chips crack hairline restored , . ; : or and possibly probably ? \
( ) rim foot the a to small 2 cm none but with has drilled glaze unrestored not sure \
if No. 5 word / kiln grit free of \n"""

PIECES = st.sampled_from(WORDS.split(" "))


@settings(deadline=None)
@given(st.lists(PIECES, max_size=25).map(" ".join) | st.text(max_size=80))
def test_nothing_is_lost_or_raised_and_words_are_as_written(text: str) -> None:
    understood = read_condition(text, TABLES)
    spans = [(s.start, s.end) for s in understood.unread]
    spans += [(q.span.start, q.span.end) for q in understood.questions]
    named = [m.statement for m in understood.mentions]
    for statement in (*understood.statements, *named):
        assert statement.reading is not None
        start, end = statement.reading.start, statement.reading.end
        assert statement.as_stated == text[start:end]
        spans.append((start, end))
    words, filler = Words(text), fillers(TABLES)
    for word, start in zip(words.folded, words.starts, strict=True):
        if word not in filler and any(c.isalnum() for c in word):
            assert any(first <= start < end for first, end in spans)


@pytest.mark.parametrize("piece", ["no ", "no chips, ", "chips and ", "possibly ", "rim and foot "])
def test_long_hostile_text_takes_no_long_time(piece: str) -> None:
    text = piece * (20_000 // len(piece))
    assert seconds_of(lambda: read_condition(text, TABLES)) < 0.05 * len(text) / 1000


def test_parts_of_one_term_are_not_those_of_the_next() -> None:
    found = [
        (s.term.label, s.part)
        for s in read_condition("rim and foot chipped and base worn", TABLES).statements
        if isinstance(s, Observation)
    ]
    assert found == [("chip", "rim"), ("chip", "foot rim"), ("wear", "base")]
