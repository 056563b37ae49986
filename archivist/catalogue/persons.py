"""Finding the names of persons and firms in running words, however they are spelled there."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from archivist.model import Party, PartyKind
from archivist_schemas import schema_file

_CJK = "\u2e80-\u9fff\uac00-\ud7af\uf900-\ufaff\U00020000-\U0003ffff"
_TOKEN = re.compile(rf"[{_CJK}]|(?:(?![{_CJK}])[^\W_])(?:(?![{_CJK}])[^\W_]|[\u0300-\u036f])*")
"""A word; of Chinese, Japanese and Korean, which write names without spaces, a character."""

_PEOPLE = frozenset({PartyKind.PERSON, PartyKind.UNKNOWN, PartyKind.HOUSEHOLD})
_FEWEST_LETTERS = 3
_MOST_INITIALS = 2


@dataclass(frozen=True)
class _Token:
    """A word of a text: where it stands, without case and accents, how that is compared, and
    whether it has a capital."""

    start: int
    end: int
    folded: str
    compared: str
    capital: bool


@dataclass(frozen=True, order=True)
class Spelling:
    """Words that name a party; `capitals` where they count only if each has a capital."""

    words: tuple[str, ...]
    capitals: bool = False

    def hidden(self, digest: Callable[[str], str]) -> Spelling:
        """The same, each word as its digest."""
        return Spelling(tuple(map(digest, self.words)), self.capitals)


class NameFinder:
    """Finds names of parties in words.

    Case, accents, punctuation and white space do not count. A person is also found by title and
    surname, by initials, and surname first; a surname alone is too often a word or a place. Names
    of a single word, and initials, count only where they are written with a capital. Street lines
    and the parts of a contact are found as names are.
    """

    def __init__(self, parties: Iterable[Party]) -> None:
        parties = tuple(parties)
        self._take(
            {s for party in parties for s in _spellings(party)},
            {s for party in parties for s in _surnames(party)},
            str,
        )

    @classmethod
    def of_spellings(
        cls, names: Iterable[Spelling], surnames: Iterable[Spelling], hidden: Callable[[str], str]
    ) -> NameFinder:
        """One that knows its spellings only as `hidden` makes them of words."""
        finder = cls(())
        finder._take(names, surnames, cache(hidden))
        return finder

    def _take(
        self, names: Iterable[Spelling], surnames: Iterable[Spelling], hidden: Callable[[str], str]
    ) -> None:
        self.names, self.surnames = frozenset(names), frozenset(surnames)
        self._names = _by_first_word(self.names)
        self._after_titles = _by_first_word(self.surnames)
        self._hidden = hidden

    def finds(self, text: str) -> bool:
        """Whether a name stands in `text`."""
        return bool(self._spans(unicodedata.normalize("NFC", text)))

    def replaced(self, text: str, stand_in: str) -> str:
        """`text` with every name replaced; the very same text where there is none."""
        composed = unicodedata.normalize("NFC", text)
        spans = self._spans(composed)
        for start, end in reversed(spans):
            composed = composed[:start] + stand_in + composed[end:]
        return composed if spans else text

    def _spans(self, text: str) -> list[tuple[int, int]]:
        if not self._names or not text:
            return []
        tokens = _tokens(text, self._hidden)
        spans: list[tuple[int, int]] = []
        at = 0
        while at < len(tokens):
            length = self._name_at(tokens, at)
            if length:
                spans.append((tokens[at].start, tokens[at + length - 1].end))
            at += length or 1
        return spans

    def _name_at(self, tokens: list[_Token], at: int) -> int:
        """How many words from `at` on are a name; 0 if none."""
        spellings = self._names.get(tokens[at].compared, ())
        named = next((n for s in spellings if (n := _length(s, tokens, at))), 0)
        if tokens[at].folded not in _table("titles"):
            return named
        return max(named, self._titled_at(tokens, at))

    def _titled_at(self, tokens: list[_Token], at: int) -> int:
        """How many words from the title at `at` on are that title and a surname; 0 if none."""
        title = tokens[at].compared
        for token in tokens[at + 1 : at + 2 + _MOST_INITIALS]:
            for surname in self._after_titles.get(token.compared, ()):
                length = _length(Spelling((title, *surname.words)), tokens, at)
                if length:
                    return length
        return 0


def _by_first_word(spellings: Iterable[Spelling]) -> dict[str, list[Spelling]]:
    """Spellings by their first word, those of more words first."""
    found: dict[str, list[Spelling]] = {}
    for spelling in sorted(set(spellings), key=lambda s: (-len(s.words), s)):
        found.setdefault(spelling.words[0], []).append(spelling)
    return found


def _length(spelling: Spelling, tokens: list[_Token], at: int) -> int:
    """How many words from `at` on are this spelling, initials between its words let pass."""
    place, initials = at, 0
    for number, word in enumerate(spelling.words):
        while True:
            if place >= len(tokens):
                return 0
            token = tokens[place]
            if token.compared == word:
                break
            is_initial = number and len(token.folded) == 1 and token.capital
            if not is_initial or initials == _MOST_INITIALS:
                return 0
            initials += 1
            place += 1
        if spelling.capitals and not token.capital:
            return 0
        place += 1
    return place - at


def _tokens(text: str, hidden: Callable[[str], str] = str) -> list[_Token]:
    tokens = []
    for match in _TOKEN.finditer(text):
        word = _folded(match.group())
        capital = not match.group()[0].islower()
        tokens.append(_Token(match.start(), match.end(), word, hidden(word), capital))
    return tokens


def _folded(word: str) -> str:
    """A word without case and accents."""
    if word.isascii():
        return word.lower()
    plain = unicodedata.normalize("NFKD", word.casefold())
    return "".join(c for c in plain if not unicodedata.combining(c))


@cache
def _table(name: str) -> frozenset[str]:
    """The words of one list of `tables/person_words.toml`, as they are compared."""
    text = schema_file("tables", "person_words.toml").read_text(encoding="utf-8")
    return frozenset(map(_folded, tomllib.loads(text)[name]))


def _words(text: str) -> tuple[str, ...]:
    return tuple(token.folded for token in _tokens(unicodedata.normalize("NFC", text)))


def _spellings(party: Party) -> Iterator[Spelling]:
    """The words by which a text may name a party, where it lives and how it is reached."""
    plain = {Spelling(words) for name in _names(party) for words in _of_name(name, party.kind)}
    plain |= {Spelling(_words(line)) for line in _street_lines(party.address)}
    plain |= {Spelling(_words(part)) for part in re.split(r"[;,\n|]", party.contact)}
    for spelling in plain:
        words = spelling.words
        if len("".join(words)) >= _FEWEST_LETTERS or _is_cjk_name(words):
            alone = len(words) == 1 and not any(c.isdigit() for c in words[0])
            yield Spelling(words, capitals=alone)
    if party.kind in _PEOPLE:
        for name in _names(party):
            yield from _initialled(_without_titles(_in_order(name)))


def _names(party: Party) -> tuple[str, ...]:
    return (party.name, *party.also_known_as)


def _in_order(name: str) -> tuple[str, ...]:
    """The words of a name, 'Harrow, Edith' turned round, without what stands in brackets."""
    bare = re.sub(r"\(.*?\)", " ", name)
    last, comma, first = bare.partition(",")
    return _words(f"{first} {last}") if comma and "," not in first else _words(bare)


def _without_titles(words: tuple[str, ...]) -> tuple[str, ...]:
    while len(words) > 1 and words[0] in _table("titles") | _table("joining"):
        words = words[1:]
    return words


def _of_name(name: str, kind: PartyKind) -> Iterator[tuple[str, ...]]:
    """A name in full, and as it is shortened: by legal form, turned round."""
    yield _words(name)
    words = _in_order(name)
    yield words
    if kind not in _PEOPLE:
        while len(words) > 1 and words[-1] in _table("legal_forms"):
            words = words[:-1]
            yield words
        return
    titled = len(words) > 1 and words[0] in _table("titles")
    words = _without_titles(words)
    if len(words) > 1 or not titled:
        yield words
    surname = words[_surname_from(words) :]
    for first in words[:-1]:
        if first not in _table("particles") | _table("joining") and len(first) > 1:
            yield (first, *surname)
            yield (*surname, first)


def _surnames(party: Party) -> Iterator[Spelling]:
    """What of a person's name a text may say after any title: 'Mr van der Meer', 'Mrs Meer'."""
    if party.kind not in _PEOPLE:
        return
    for name in _names(party):
        words = _in_order(name)
        titled = len(words) > 1 and words[0] in _table("titles")
        words = _without_titles(words)
        if titled or len(words) > 1:
            yield Spelling(words[_surname_from(words) :])
            yield Spelling(words[-1:])


def _initialled(words: tuple[str, ...]) -> Iterator[Spelling]:
    """'E Harrow' and 'Harrow E'."""
    if len(words) > 1 and not _is_cjk_name(words):
        surname = words[_surname_from(words) :]
        for first in words[:-1]:
            if first not in _table("particles") | _table("joining"):
                yield Spelling(
                    (first[0], *surname), capitals=not set(surname) & _table("particles")
                )
                yield Spelling(
                    (*surname, first[0]), capitals=not set(surname) & _table("particles")
                )


def _surname_from(words: tuple[str, ...]) -> int:
    """Where the surname begins: at the particles before the last word ('van der Meer')."""
    begin = len(words) - 1
    while begin > 1 and words[begin - 1] in _table("particles"):
        begin -= 1
    return max(begin, 0)


def _is_cjk_name(words: tuple[str, ...]) -> bool:
    return len(words) > 1 and all(word[0] >= "\u1100" for word in words)


def _street_lines(address: str) -> Iterator[str]:
    """What of an address tells a house from others: lines with a number, postcodes, the first."""
    for number, line in enumerate(re.split(r"[,;\n]", address)):
        words = line.split()
        figures = [i for i, word in enumerate(words) if any(c.isdigit() for c in word)]
        if figures or (number == 0 and len(words) > 1):
            yield line
        if figures and figures[0] > 0:
            yield " ".join(words[figures[0] :])
