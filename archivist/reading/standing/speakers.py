"""Who says so: a person, a firm, a label or the trade, named beside what is said."""

from __future__ import annotations

import functools
from collections.abc import Container, Sequence
from typing import NamedTuple

from archivist.reading.standing.outline import Outline, Span
from archivist.reading.standing.signals import Sign
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fold

_TITLES = frozenset(
    ("dr", "mr", "mrs", "ms", "miss", "prof", "professor", "sir", "lady", "lord", "herr", "frau")
) | frozenset(("monsieur", "madame", "mme", "signor", "signora", "dott", "dhr", "mevr", "don"))
_NO_NAMES = frozenset(
    (
        *("the", "a", "an", "this", "who", "it", "der", "die", "das", "wer", "es", "ein", "eine"),
        *(
            "le",
            "la",
            "les",
            "ce",
            "qui",
            "un",
            "une",
            "de",
            "het",
            "een",
            "dit",
            "wie",
            "il",
            "lo",
        ),
        *("chi", "un", "una", "el", "los", "las", "quien", "este", "esta", "questo", "questa"),
    )
)
_WORDS_BEFORE = 2
_LONGEST_NAME = 5
_REACH_TO_VERB = 2
"""Tokens that may stand between a name and its verb ('Marr always says')."""


_OPENS = frozenset((";", ".", "\n", ",", "/", "|"))
"""What may stand before a speaker that a colon follows."""


class Speaker(NamedTuple):
    """Who says what stands in `span`; `name` is empty for the writer."""

    name: str
    span: Span


def speakers_in(
    outline: Outline, signs: Sequence[Sign], closed: bytearray, things: Container[int]
) -> list[Speaker]:
    """The speakers of a text, each with the tokens that are theirs.

    `things` are the tokens of nouns, which say nothing: 'Neck broken and held with staples'.
    """
    found: list[Speaker] = []
    nouns = [s for s in signs if s.signal.effect == "speaker noun"]
    selves = {s.end: s for s in signs if s.signal.effect == "speaker self"}
    for sign in signs:
        effect = sign.signal.effect
        if closed[sign.first] or effect not in ("speaker verb", "speaker preposition"):
            continue
        clause = outline.clauses[sign.first]
        if effect == "speaker verb":
            self_ = any(sign.first - _REACH_TO_VERB <= end <= sign.first for end in selves)
            name = (
                ""
                if self_
                else _name_before(outline.words, sign.first, clause, nouns, closed, things)
            )
            if self_ or name:
                found.append(Speaker(name, _through_that(outline, Span(sign.first, clause.end))))
            else:  # '..., says Tolling'
                name, end = _name_after(outline.words, sign.end, nouns, closed)
                sentence = outline.sentences[outline.sentence_of[sign.first]]
                if name and end >= clause.end and sign.first > sentence.first:
                    found.append(Speaker(name, Span(sentence.first, clause.end)))
        else:
            name, end = _name_after(outline.words, sign.end, nouns, closed)
            if name and not any(sign.end <= s.first < end for s in selves.values()):
                found.append(Speaker(name, clause))
    return found


def named_before_colons(
    outline: Outline, signs: Sequence[Sign], nouns: Container[int], tables: Tables
) -> list[Speaker]:
    """In a cell of opinions each sentence or clause may begin with its speaker: 'Tolling: 1880'.

    A speaker so named is a name in capitals; 'me:' is the writer. A heading ('Date:') and a noun
    at one of the tokens `nouns` ('Base:') are none.
    """
    found: list[Speaker] = []
    words = outline.words
    own = {s.end for s in signs if s.signal.effect == "speaker self"}
    persons = {s.end: s.first for s in signs if s.signal.effect == "speaker noun"}
    for index, token in enumerate(words.folded):
        if token != ":":
            continue
        first = index
        while first and index - first < _LONGEST_NAME and _is_of_a_name(words, first - 1):
            first -= 1
        first = min(first, persons.get(index, first))
        opens = first == 0 or words.folded[first - 1] in _OPENS
        name = words.between(first, index).strip(" .,'’") if first < index else ""
        if index in own:
            found.append(Speaker("", _to_the_next(words, index + 1)))
        elif opens and name and first not in nouns and fold(name) not in _headings(tables):
            found.append(Speaker(name, _to_the_next(words, index + 1)))
    return found


@functools.lru_cache(maxsize=8)
def _headings(tables: Tables) -> frozenset[str]:
    return frozenset(fold(name) for row in tables.terms("column") for name in row.names)


def _to_the_next(words: Words, first: int) -> Span:
    """From a colon to where the next speaker may be named: a line's end or a semicolon."""
    end = first
    while end < len(words) and words.folded[end] not in (";", "\n"):
        end += 1
    return Span(first, end)


def _through_that(outline: Outline, span: Span) -> Span:
    end = span.end
    folded = outline.words.folded
    if end < len(folded) and folded[end] in ("dass", "daß", "que", "che", "that", "als"):
        end = outline.clauses[end].end
    return Span(span.first, end)


def _name_before(
    words: Words,
    verb: int,
    clause: Span,
    nouns: Sequence[Sign],
    closed: bytearray,
    things: Container[int],
) -> str:
    """The name or the word for a person that ends right before a verb of saying."""
    for noun in nouns:
        if clause.first <= noun.first and verb - _REACH_TO_VERB <= noun.end <= verb:
            return words.between(noun.first, noun.end)
    last = verb
    while last > clause.first and not _is_of_a_name(words, last - 1):
        last -= 1
        if verb - last > _REACH_TO_VERB:
            return ""
    first = last
    while first > clause.first and last - first < _LONGEST_NAME and _is_of_a_name(words, first - 1):
        first -= 1
    name = words.between(first, last).strip(" .,'’")
    named = any(token not in _NO_NAMES for token in words.folded[first:last])
    whole = len(name) > 1 and last - 1 not in things and not any(closed[first:last])
    return name if named and whole else ""


def _name_after(
    words: Words, index: int, nouns: Sequence[Sign], closed: bytearray
) -> tuple[str, int]:
    """The name or the word for a person that begins at `index`, and where it ends: at the latest
    where a value begins."""
    for noun in nouns:
        if noun.first == index or (noun.first == index + 1 and words.folded[index] in ("a", "the")):
            return words.between(noun.first, noun.end), noun.end
    if index < len(words) and words.folded[index] in ("a", "an", "the", "one", "ein", "un"):
        index += 1
    before = index  # 'the late Miss Abernethy', 'my friend Mr Voss'
    while index < len(words) and index - before < _WORDS_BEFORE and words.folded[index].isalpha():
        if _is_of_a_name(words, index):
            break
        index += 1
    end = index
    while (
        end < len(words)
        and end - index < _LONGEST_NAME
        and not closed[end]
        and _is_of_a_name(words, end)
    ):
        end += 1
    name = words.between(index, end).strip(" .,'’")
    return (name, end) if len(name) > 1 else ("", index)


def _is_of_a_name(words: Words, index: int) -> bool:
    """Whether a token may be part of a name: a capital, a title, an initial's full stop."""
    token = words.folded[index]
    if token == ".":
        before = words.folded[index - 1] if index else ""
        return len(before) == 1 or before in _TITLES
    return token.isalpha() and words.text[words.starts[index]].isupper()
