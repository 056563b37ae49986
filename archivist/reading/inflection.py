"""Names as they stand in sentences: plurals and the endings of adjectives, in six languages.

Only the last word of a name is changed. The forms are made without asking whether a language has
them: 'schalen' is Dutch and German, 'coppi' is neither, and no text holds it.
"""

from __future__ import annotations

from collections.abc import Iterator

from archivist.reading.words import fold

_SHORTEST = 4
"""Letters of the shortest word that is inflected: shorter ones meet too many others."""
_VOWELS = "aeiou"
_GERMAN_NOUN = ("e", "n", "en", "s", "es", "er", "ern")
_DUTCH_NOUN = ("en", "s")
_ADJECTIVE = ("e", "er", "es", "en", "em", "s")
_LONG = ("aa", "ee", "oo", "uu")


def nouns(name: str) -> Iterator[str]:
    """A noun of another language than English in its plurals: 'Krug' as 'kruge', 'vaas' as
    'vazen', 'coppa' as 'coppe', 'jarrón' as 'jarrones'."""
    stem, word = _parted(name)
    if len(word) < _SHORTEST or not word.isalpha():
        return
    if name.rpartition(" ")[2][:1].isupper():
        yield from (stem + word + ending for ending in _GERMAN_NOUN)
        return
    yield from (stem + word + ending for ending in _DUTCH_NOUN)
    if word[-1] in "ao":
        yield from (stem + word[:-1] + ending for ending in ("e", "i"))
    elif word[-1] == "e":
        yield stem + word[:-1] + "i"
    elif word[-1] not in _VOWELS:
        yield stem + word + "es"
        yield from (stem + one + "en" for one in _dutch_stems(word))
    if word.endswith("eau"):
        yield stem + word + "x"


def _dutch_stems(word: str) -> Iterator[str]:
    """'vaas' as 'vaz', 'fles' as 'fless', 'doos' as 'doz'."""
    last = word[-1]
    if word[-3:-1] in _LONG:
        yield word[:-2] + {"s": "z", "f": "v"}.get(last, last)
    elif word[-2] in _VOWELS and word[-3:-2] not in _VOWELS:
        yield word + last


def adjectives(name: str) -> Iterator[str]:
    """A participle or adjective with its endings: 'vergoldet' as 'vergoldetes', 'doré' as
    'dorées', 'dorato' as 'dorata'."""
    stem, word = _parted(name)
    if len(word) < _SHORTEST or not word.isalpha():
        return
    if word[-1] == "o":
        yield from (stem + word[:-1] + ending for ending in ("a", "i", "e", "os", "as"))
        return
    if name.endswith("é"):
        yield from (stem + word + ending for ending in ("e", "s", "es"))
        return
    yield from (stem + word + ending for ending in _ADJECTIVE)


def _parted(name: str) -> tuple[str, str]:
    """What stands before the last word, with its blank, and the last word."""
    before, blank, word = fold(name).rpartition(" ")
    return before + blank, word
