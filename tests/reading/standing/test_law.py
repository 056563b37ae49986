"""The law has an answer to everything, and is printed where contributors read it."""

from __future__ import annotations

import itertools
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.model.base import Certainty, Polarity
from archivist.model.observations import Presence
from archivist.reading.descriptions import read_description
from archivist.reading.plain import plain
from archivist.reading.standing.law import Kind, Outcome, article_for, printed
from archivist.reading.standing.subjects import Subject
from archivist.reading.tables import load_tables

TABLES = load_tables()
ROOT = Path(__file__).resolve().parents[3]


def test_every_case_has_its_article() -> None:
    roles = ("made", "decorated", "mounted", "altered", "other")
    for kind, of, role, polarity in itertools.product(Kind, Subject, roles, Polarity):
        assert isinstance(article_for(kind, of, role, polarity).outcome, Outcome)


def test_nothing_said_of_another_thing_or_denied_is_a_plain_statement() -> None:
    for kind in set(Kind) - {Kind.EVENT}:
        assert (
            article_for(kind, Subject.OTHER, "made", Polarity.ASSERTED).outcome is Outcome.MENTION
        )
    denied = article_for(Kind.ATTRIBUTION, Subject.PIECE, "made", Polarity.DENIED)
    assert denied.certainty is Certainty.REJECTED


def test_developers_read_the_law_that_holds() -> None:
    assert printed() in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@settings(deadline=None, max_examples=150)
@given(st.text(max_size=120) | st.text(alphabet="Ab1 .,;:?!()\n-'\"é無Ming", max_size=80))
def test_no_text_is_too_odd_to_be_read(text: str) -> None:
    assert read_description(text, TABLES).text == text


WORDS = """\
not no never probably if formerly sold as like copy of the this it is was made restored in Ming \
Kangxi 1780 18th century bowl stand cover chip hairline according to Marr says I think compare a \
other but which , . ; : ( ) ? " and or with on nicht kein pas ni non it's they 12 cm H."""


@settings(deadline=None, max_examples=150)
@given(st.lists(st.sampled_from(WORDS.split()), max_size=25).map(" ".join))
def test_whatever_the_words_what_is_denied_is_rejected_or_absent(text: str) -> None:
    understood = read_description(text, TABLES)
    plain(understood)
    for statement in understood.statements:
        reading = statement.reading
        if reading is None or reading.polarity is not Polarity.DENIED:
            continue
        presence = getattr(statement, "presence", Presence.PRESENT)
        assert (
            statement.certainty is Certainty.REJECTED
            or presence is not Presence.PRESENT
            or ("un" in statement.as_stated or "not" in statement.as_stated)
        )
