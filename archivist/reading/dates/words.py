"""What a word may mean in a date: the tables of date words as one lexicon.

A word can have several senses ('c' is circa before a year, century after an ordinal), each of a
kind, with a value and the languages in which it has it. Which sense holds is for the grammar.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from archivist.reading.spelling import fold

# Kinds of sense. Those of whole tokens that are no words stand in `tokens`.
CIRCA = "circa"
BEFORE = "before"
AFTER = "after"
NOT_BEFORE = "not_before"
NOT_AFTER = "not_after"
OR_LATER = "or_later"
OR_EARLIER = "or_earlier"
CERTAINTY = "certainty"
PART = "parts"
FRACTION = "fractions"
ORDINAL = "ordinals"
CENTURY = "century"
HUNDREDS = "hundreds"
SHORT_DECADE = "short_decades"
DECADE_WORD = "decade_word"
TURN = "turn"
MONTH = "months"
SEASON = "seasons"
ERA = "eras"
TO = "to"
OR = "or"
AND = "and"
BETWEEN = "between"
FROM = "from"
FILLER = "fillers"
KIND = "kinds"
MARK = "mark"
MARK_WORD = "mark_words"
OF_PERIOD = "of_period"
LIKE = "like"
LIKE_AFTER = "like_after"
DATED = "dated"
STAGE = "stage"
NOT_YEAR_BEFORE = "not_year_before"
NOT_YEAR_AFTER = "not_year_after"
YEAR_WORD = "year_word"
HIJRI = "hijri"
NO_DATE = "no_date"
QUESTION = "question"
CYCLICAL_WORD = "cyclical"
MILLENNIUM = "millennium"
UNTIL_NOW = "until_now"
NOT_NAMES = "not_names"

_KINDS_OF_LISTS = (
    CIRCA,
    BEFORE,
    AFTER,
    NOT_BEFORE,
    NOT_AFTER,
    OR_LATER,
    OR_EARLIER,
    CENTURY,
    DECADE_WORD,
    TURN,
    TO,
    OR,
    AND,
    BETWEEN,
    FROM,
    FILLER,
    MARK,
    MARK_WORD,
    LIKE,
    LIKE_AFTER,
    DATED,
    STAGE,
    NOT_YEAR_BEFORE,
    NOT_YEAR_AFTER,
    YEAR_WORD,
    HIJRI,
    NO_DATE,
    CYCLICAL_WORD,
    MILLENNIUM,
    UNTIL_NOW,
    NOT_NAMES,
)
_KINDS_OF_TABLES = (
    OF_PERIOD,
    CERTAINTY,
    PART,
    FRACTION,
    ORDINAL,
    HUNDREDS,
    SHORT_DECADE,
    MONTH,
    SEASON,
    ERA,
    KIND,
)


class Sense(NamedTuple):
    """One meaning of a word: a value (a number, a part, a certainty) in some languages."""

    value: str
    number: int
    languages: frozenset[str]


Senses = Mapping[str, Sense]
"""What a token may mean, by kind."""

NO_SENSES: Senses = {}


class Lexicon(NamedTuple):
    """Single words by their folded spelling; phrases by their first and second word, longest
    first."""

    words: Mapping[str, Senses]
    phrases: Mapping[str, Mapping[str, tuple[tuple[tuple[str, ...], Senses], ...]]]


_MENDED = (CENTURY, PART, CIRCA, ORDINAL, KIND, MONTH, SEASON)
SHORTEST_MENDED = 5
"""Letters of the shortest word that is looked for when misspelt; shorter are near to too many."""


def mendable(lexicon: Lexicon) -> tuple[tuple[str, str], ...]:
    """The English words that are looked for when misspelt, in alphabetical order, and what each
    means."""
    return tuple(
        sorted(
            (word, " ".join(kind + sense.value for kind, sense in senses.items()))
            for word, senses in lexicon.words.items()
            if len(word) >= SHORTEST_MENDED
            and any(kind in senses and "en" in senses[kind].languages for kind in _MENDED)
        )
    )


def _entries(table: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    for kind in _KINDS_OF_LISTS:
        for word in table.get(kind, ()):
            yield kind, "", word
    for kind in _KINDS_OF_TABLES:
        for value, words in table.get(kind, {}).items():
            for word in words:
                yield kind, value, word


def build_lexicon(tables: tuple[Mapping[str, Any], ...]) -> Lexicon:
    """All date words of all languages as one lexicon.

    Where two languages give a word two values of one kind, the language that comes first in
    `tables` holds, and English is put first.
    """
    found: dict[tuple[str, ...], dict[str, Sense]] = {}
    for table in sorted(tables, key=lambda t: (t["language"] != "en", t["language"])):
        language = frozenset((table["language"],))
        for kind, value, phrase in _entries(table):
            key = tuple(filter(None, (fold(word) for word in phrase.split())))
            senses = found.setdefault(key, {})
            old = senses.get(kind)
            if old is None:
                number = int(value) if value.lstrip("-").isdigit() else 0
                senses[kind] = Sense(value, number, language)
            elif old.value == value:
                senses[kind] = old._replace(languages=old.languages | language)
    words = {key[0]: senses for key, senses in found.items() if len(key) == 1}
    phrases: dict[str, dict[str, tuple[tuple[tuple[str, ...], Senses], ...]]] = {}
    longest_first = sorted((key for key in found if len(key) > 1), key=len, reverse=True)
    for key in longest_first:
        seconds = phrases.setdefault(key[0], {})
        seconds[key[1]] = (*seconds.get(key[1], ()), (key, found[key]))
    return Lexicon(words, phrases)
