"""Words are compared without case, accents and hyphens, and none is lost from sight."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.reading.tables import load_tables
from archivist.reading.words import Lexicon, Words, fillers, fold, plurals, unread_spans


@pytest.mark.parametrize(
    ("one", "other"),
    [("Sèvres", "sevres"), ("O’Dell", "O'Dell"), ("STRASSE", "straße"), ("Ｄｉｓｈ", "dish")],
)
def test_case_accents_width_and_apostrophes_make_no_difference(one: str, other: str) -> None:
    assert fold(one) == fold(other)


def test_a_hyphen_parts_a_word_and_is_no_token() -> None:
    assert Words("tea-bowl").folded == Words("Tea Bowl").folded == ["tea", "bowl"]


def test_each_character_of_a_script_without_spaces_is_a_word() -> None:
    assert Words("大清 mark").folded == ["大", "清", "mark"]


def test_the_longest_phrase_wins_and_taken_words_are_passed_over() -> None:
    lexicon = Lexicon([("bottle", "short"), ("bottle vase", "long")])
    words = Words("a bottle vase and a bottle")
    assert [f.entry for f in lexicon.find(words.folded)] == ["long", "short"]
    taken = bytearray(len(words))
    taken[words.at(words.text.index("vase"))] = 1
    assert [f.entry for f in lexicon.find(words.folded, taken)] == ["short", "short"]


@pytest.mark.parametrize(
    ("word", "plural"),
    [("bowl", "bowls"), ("dish", "dishes"), ("peony", "peonies"), ("box", "boxes")],
)
def test_regular_plurals_are_known(word: str, plural: str) -> None:
    assert plural in plurals(word)


def test_fillers_alone_are_not_unread() -> None:
    filler = fillers(load_tables())
    assert unread_spans(Words("with the, and a"), [], filler) == ()
    (span,) = unread_spans(Words("with the cat"), [], filler)
    assert (span.start, span.end) == (0, 12)


@settings(deadline=None)
@given(st.text(max_size=120))
def test_every_token_is_where_it_says(text: str) -> None:
    words = Words(text)
    for folded, start, end in zip(words.folded, words.starts, words.ends, strict=True):
        assert fold(text[start:end]) == folded
    covered: set[int] = set()
    for start, end in zip(words.starts, words.ends, strict=True):
        covered.update(range(start, end))
    assert all(text[i].isspace() or text[i] in "-‐‑" for i in set(range(len(text))) - covered)
