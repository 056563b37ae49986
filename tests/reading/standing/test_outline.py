"""Sentences, clauses and phrases: what ends one and what does not."""

from __future__ import annotations

import pytest

from archivist.reading.standing.outline import Outline, quotations
from archivist.reading.standing.signals import languages_of, signs_in
from archivist.reading.tables import load_tables
from archivist.reading.words import Words

TABLES = load_tables()


def outline_of(text: str) -> Outline:
    words = Words(text)
    signs, verbs = signs_in(words.folded, languages_of(words.folded, TABLES), TABLES)
    return Outline(words, signs, verbs, bytearray(len(words)), TABLES)


@pytest.mark.parametrize(
    ("text", "sentences"),
    [
        ("Bowl. Ming.", ["Bowl.", "Ming."]),
        ("Bowl, no. 4 of Dr. Marr.", ["Bowl, no. 4 of Dr. Marr."]),
        ("H. 8.2 cm. Rim chipped.", ["H. 8.2 cm.", "Rim chipped."]),
        ("18th c. Chinese bowl", ["18th c. Chinese bowl"]),
        ("Bowl, 18th c. The foot is worn.", ["Bowl, 18th c.", "The foot is worn."]),
        ("Ming? Hardly.", ["Ming?", "Hardly."]),
        ("Bowl\nH. 4 cm", ["Bowl\n", "H. 4 cm"]),
        ("Vase, z. B. Meissen", ["Vase, z. B. Meissen"]),
    ],
)
def test_a_sentence_ends_at_a_full_stop_and_not_at_that_of_an_abbreviation(
    text: str, sentences: list[str]
) -> None:
    outline = outline_of(text)
    found = [outline.words.between(s.first, s.end) for s in outline.sentences]
    assert found == sentences


def test_a_contrast_opens_a_clause_and_a_comma_a_phrase() -> None:
    outline = outline_of("not chipped, but the foot is worn, the rim not")
    clauses = [outline.words.between(*c) for c in dict.fromkeys(outline.clauses)]
    phrases = [outline.words.between(*p) for p in dict.fromkeys(outline.phrases)]
    assert clauses == ["not chipped,", "but the foot is worn, the rim not"]
    assert phrases == ["not chipped,", "but the foot is worn,", "the rim not"]


def test_every_token_stands_in_one_sentence_one_clause_and_one_phrase() -> None:
    outline = outline_of("A (b; c) - d: e, f. G; h\n\ni?! “j k” and it is l")
    for index in range(len(outline.words)):
        for span in (
            outline.sentences[outline.sentence_of[index]],
            outline.clauses[index],
            outline.phrases[index],
        ):
            assert span.first <= index < span.end


def test_a_text_in_german_is_known_by_its_small_words() -> None:
    assert languages_of(Words("die Schale ist nicht von Meissen").folded, TABLES) == ("de",)
    assert len(languages_of(Words("Ming").folded, TABLES)) > 1


def test_what_stands_between_quotation_marks_is_found() -> None:
    words = Words('Bowl "Art of Ming" and „Kunst“')
    assert [words.between(*span) for span in quotations(words)] == ["Art of Ming", "Kunst"]
