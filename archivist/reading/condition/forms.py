"""The forms in which a word of condition is written: inflexions, accents, typing slips.

More forms than a language has do no harm, since nobody writes them; a form that is missing is a
fault unread.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping

from archivist.reading.words import fold, plurals

_ENDS: Mapping[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "de": (("e", ("n", "s")), ("", ("e", "en", "er", "es", "em", "s"))),
    "nl": (("e", ("n", "s")), ("", ("e", "en", "s", "je", "jes"))),
    "it": (("o", ("a", "i", "e")), ("a", ("e",)), ("e", ("i",))),
    "es": (("o", ("a", "os", "as")), ("a", ("s",)), ("e", ("s",)), ("", ("es",))),
    "fr": (("e", ("s",)), ("s", ()), ("x", ()), ("", ("e", "s", "es"))),
}
"""What a word that ends so may end with instead or besides, by language."""
_REPLACED = frozenset((("it", "o"), ("it", "a"), ("it", "e"), ("es", "o")))
"""Endings that give way to the other."""
_LINKS = frozenset(("de", "d'", "di", "à", "al", "au", "aan", "am", "en", "del", "du", "da"))
"""Words that make what follows the complement of the noun before: 'éclat de placage'."""


def inflected(name: str, language: str) -> tuple[str, ...]:
    """`name` and its forms: its last word is inflected, and a noun before its complement."""
    if language in ("", "en"):
        return plurals(name)
    words = name.split(" ")
    lasts = _forms(words[-1], language)
    found = [name]
    found += (" ".join((*words[:-1], form)) for form in lasts)
    if len(words) == 2:
        heads = _forms(words[0], language)
        found += (f"{head} {words[1]}" for head in heads)
        found += (f"{head} {last}" for head, last in zip(heads, lasts, strict=False))
    elif len(words) > 1 and (words[1] in _LINKS or words[1][:2] == "d'"):
        found += (" ".join((head, *words[1:])) for head in _forms(words[0], language))
    return tuple(found)


def _forms(word: str, language: str) -> tuple[str, ...]:
    if not word or not word[-1].isalpha():
        return ()
    for end, others in _ENDS.get(language, ()):
        if word.endswith(end):
            stem = word[:-1] if (language, end) in _REPLACED else word
            return tuple(stem + other for other in others)
    return ()


def accents(written: str) -> str:
    """The accents of a word as it is written, in their order: '´' for 'collé', '' for 'colle'."""
    if written.isascii():
        return ""
    return "".join(c for c in unicodedata.normalize("NFD", written) if unicodedata.combining(c))


def must_have_accents(written: str) -> bool:
    """Whether a word without its accent would be another: 'collé' and 'colle', 'coupé', 'usé'."""
    return written.removesuffix("s").endswith("é")


def slips(usual: Iterable[str], known: frozenset[str]) -> Mapping[str, str]:
    """Spellings that can hardly be anything but a slip in one of the `usual` words.

    Two letters that changed places, one that was left out or struck twice, never the first or the
    last; what is a word that is `known` is no slip.
    """
    found: dict[str, str] = {}
    doubtful: set[str] = set()
    for word in map(fold, usual):
        for slip in _slips_of(word):
            if slip in known or found.get(slip, word) != word:
                doubtful.add(slip)
            found[slip] = word
    return {slip: word for slip, word in found.items() if slip not in doubtful}


def _slips_of(word: str) -> Iterator[str]:
    for at in range(1, len(word) - 1):
        yield word[:at] + word[at + 1 :]
        yield word[: at + 1] + word[at:]
        swapped = word[:at] + word[at + 1] + word[at] + word[at + 2 :]
        if swapped != word:
            yield swapped
