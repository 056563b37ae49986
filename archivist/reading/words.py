"""A text as words with their places, phrases found in it, and the words nobody has read yet.

Every reader of this area works on `Words`: words are compared folded (case, accents, width), and
a hyphen within a word parts it, so that 'tea-bowl', 'tea bowl' and 'Tea Bowl' are one phrase.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import Generic, NamedTuple, TypeVar

from archivist.reading.result import Span
from archivist.reading.tables import Tables

Entry = TypeVar("Entry")

CJK = "\u3040-\u30ff\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff\uac00-\ud7af"
"""Kana, Han and Hangul, as the inside of a regular expression's character class."""

_TOKEN = re.compile(
    rf"[{CJK}]|[^\W_{CJK}]+(?:['’][^\W\d_{CJK}]+)?|\n|[^\s\-‐‑]|(?<![^\W_])[-‐‑]|[-‐‑](?!\w)",
)
_ENDS = frozenset(".;\n!?")
_WORD = re.compile(r"\w")


class Words:
    """The tokens of `text`: folded words and single punctuation marks, with their bounds.

    `folded[i]` is the i-th token, `starts[i]` and `ends[i]` bound it in `text`. Hyphens within a
    word are no tokens.
    """

    __slots__ = ("ends", "folded", "starts", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        plain = text.isascii()
        compared = text.lower() if plain else text
        spans = [match.span() for match in _TOKEN.finditer(compared)]
        tokens = [compared[start:end] for start, end in spans]
        self.folded: list[str] = tokens if plain else [fold(token) for token in tokens]
        self.starts: list[int] = [start for start, _ in spans]
        self.ends: list[int] = [end for _, end in spans]

    def __len__(self) -> int:
        return len(self.folded)

    def at(self, position: int) -> int:
        """The index of the first token that starts at or after the character `position`."""
        return bisect_left(self.starts, position)

    def between(self, first: int, end: int) -> str:
        """The characters from token `first` to before token `end`."""
        return self.text[self.starts[first] : self.ends[end - 1]] if end > first else ""


def fold(word: str) -> str:
    """`word` as it is compared: without case, accents and typographic apostrophes.

    An accent that stands alone is left as it is, so that no word becomes empty.
    """
    if word.isascii():
        return word.lower()
    word = word.replace("’", "'")
    decomposed = unicodedata.normalize("NFKD", word)
    return "".join(c for c in decomposed if not unicodedata.combining(c)).casefold() or word


def _tokens(phrase: str) -> tuple[str, ...]:
    """The folded words of a phrase; plain letters and blanks need no tokeniser, and most names of
    the tables are of those."""
    if phrase.isascii() and phrase.replace(" ", "").isalnum():
        return tuple(phrase.lower().split())
    return tuple(Words(phrase).folded)


class Found(NamedTuple, Generic[Entry]):
    """An entry of a lexicon and the tokens `first` to before `end` that are its name."""

    entry: Entry
    first: int
    end: int


class _Names(NamedTuple, Generic[Entry]):
    """The phrases that begin with one word: that word alone, and longer ones by their second
    word, the longest first, each with the words after the second."""

    alone: Entry | None
    longer: dict[str, list[tuple[int, tuple[str, ...], Entry]]]


class Lexicon(Generic[Entry]):
    """Phrases to entries; the longest phrase wins, among equals the one that was given first."""

    def __init__(self, phrases: Iterable[tuple[str, Entry]]) -> None:
        found: dict[tuple[str, ...], Entry] = {}
        for phrase, entry in phrases:
            tokens = _tokens(phrase)
            if tokens:
                found.setdefault(tokens, entry)
        self._by_first: dict[str, _Names[Entry]] = {}
        for tokens in sorted(found, key=len, reverse=True):
            names = self._by_first.get(tokens[0]) or _Names(found.get(tokens[:1]), {})
            self._by_first[tokens[0]] = names
            if len(tokens) > 1:
                named = (len(tokens), tokens[2:], found[tokens])
                names.longer.setdefault(tokens[1], []).append(named)

    def match(self, folded: Sequence[str], first: int) -> Found[Entry] | None:
        """The longest phrase that starts at token `first`."""
        return self._match(folded, first, None)

    def _match(
        self, folded: Sequence[str], first: int, taken: bytearray | None
    ) -> Found[Entry] | None:
        names = self._by_first.get(folded[first])
        if names is None:
            return None
        second = first + 1
        if names.longer and second < len(folded):
            for length, rest, entry in names.longer.get(folded[second], ()):
                end = first + length
                if rest and tuple(folded[first + 2 : end]) != rest:
                    continue
                if taken and taken.find(1, second, end) >= 0:
                    continue
                return Found(entry, first, end)
        return None if names.alone is None else Found(names.alone, first, second)

    def starting(self, folded: Sequence[str]) -> Iterator[Found[Entry]]:
        """The longest phrase at every token where one starts, whether or not they overlap."""
        by_first = self._by_first
        for index in [i for i, token in enumerate(folded) if token in by_first]:
            found = self._match(folded, index, None)
            if found is not None:
                yield found

    def find(self, folded: Sequence[str], taken: bytearray | None = None) -> list[Found[Entry]]:
        """All phrases from left to right, none overlapping; `taken` tokens are passed over."""
        found: list[Found[Entry]] = []
        by_first = self._by_first
        free_from = 0
        for index in [i for i, token in enumerate(folded) if token in by_first]:
            if index < free_from or (taken and taken[index]):
                continue
            match = self._match(folded, index, taken)
            if match is not None:
                found.append(match)
                free_from = match.end
        return found


def plurals(name: str) -> tuple[str, ...]:
    """`name` and its regular English plural; a last word that is no noun does no harm."""
    if not name or not name[-1].isascii() or not name[-1].isalpha() or name.endswith("ss"):
        return (name, name + "es") if name.endswith("ss") else (name,)
    if name.endswith("s"):
        return (name,)
    if name.endswith(("ch", "sh", "x", "z")):
        return (name, name + "es")
    if name.endswith("y") and name[-2:-1] not in "aeiou":
        return (name, name[:-1] + "ies")
    return (name, name + "s")


def spellings(name: str) -> Iterator[str]:
    """`name` as one word where it is two: 'tea bowl', 'teabowl'."""
    yield name
    parts = re.split(r"[ -]", name)
    if len(parts) == 2 and all(len(part) > 2 for part in parts):
        yield "".join(parts)


@functools.lru_cache(maxsize=8)
def fillers(tables: Tables) -> frozenset[str]:
    """Words that say nothing of a piece by themselves ('a', 'the', 'with')."""
    return frozenset(fold(name) for row in tables.terms("filler") for name in row.names)


def covered(length: int, spans: Iterable[tuple[int, int]]) -> bytearray:
    """For each of `length` characters, and the end after them, whether it lies in a span."""
    marked = bytearray(length + 1)
    for start, end in spans:
        if end > start:
            marked[start:end] = b"\x01" * (end - start)
    return marked


def unread_spans(
    words: Words, spans: Iterable[tuple[int, int]], filler: frozenset[str]
) -> tuple[Span, ...]:
    """The runs of words outside all `spans` that hold more than punctuation and fillers.

    A run ends at a sentence's end, a line's end and wherever something was read.
    """
    text = words.text
    read = covered(len(text), spans)
    runs: list[Span] = []
    first = last = -1
    telling = False
    for token, start, end in zip(words.folded, words.starts, words.ends, strict=True):
        if read[start] or token in _ENDS:
            if telling:
                runs.append(Span(start=first, end=last))
            first, telling = -1, False
            continue
        if _WORD.search(token) is None:
            continue
        if first < 0:
            first = start
        last = end
        telling = telling or token not in filler
    if telling:
        runs.append(Span(start=first, end=last))
    return tuple(runs)
