"""What only looks like a ware or a material: 'Guan type', 'tortoiseshell glaze', 'ivory ground'.

A piece 'of Guan type' is no Guan ware, and a tortoiseshell glaze holds no tortoiseshell. The words
that say so are in `tables/plain_words.csv`.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from typing import NamedTuple

from archivist.model.base import Term
from archivist.model.records import FeatureAspect
from archivist.reading.tables import Tables
from archivist.reading.words import Words

LIKE = "likeness before"
"""The kind of words that stand before what is imitated: 'in imitation of', 'simulating'."""

LIKE_AFTER = ("likeness", "ware likeness")
"""The kinds of words that stand after a ware that is imitated: 'type', 'style'."""

LIKENESSES = (LIKE, *LIKE_AFTER, "likeness of a material", "colour of a material")
"""The kinds of table rows whose words, beside a name, say that it is a look."""

_WARES = (" ware", " Ware", " yao")
_WARE_WORDS = frozenset(("ware", "wares"))
_GLAZES = frozenset(("glaze", "crackle"))
_COLOURS = ("colour of a material", FeatureAspect.COLOUR.value, FeatureAspect.GLAZE.value)


class Look(NamedTuple):
    """What only looks like a ware: its aspect and term, and the token after its words."""

    aspect: str
    term: Term
    end: int


def ware_bases(tables: Tables) -> Iterator[tuple[str, Term]]:
    """The names of wares without the word 'ware', before which and after which words of likeness
    may stand; only of those with a capital, since 'red style' names no ware."""
    for row in tables.terms(FeatureAspect.WARE.value):
        for base in dict.fromkeys(_without_ware(name) for name in row.names):
            if base[:1].isupper():
                yield base, row.term


def look_of(ware: Term, words: Words, end: int) -> Look:
    """The look that a ware's name makes with the word of likeness that ends before token `end`:
    'Guan type', 'Jun-type glaze', 'Imari style ware'."""
    following = words.folded[end] if end < len(words) else ""
    if following in _GLAZES:
        label = f"{_without_ware(ware.label)}-type glaze"
        term = Term(label=label, vocabulary=FeatureAspect.GLAZE.value)
        return Look(FeatureAspect.GLAZE.value, term, end + 1)
    return Look(FeatureAspect.WARE.value, of_its_type(ware), end + (following in _WARE_WORDS))


def of_its_type(ware: Term) -> Term:
    """The term of what only looks like `ware`."""
    return Term(label=f"{_without_ware(ware.label)}-type ware", vocabulary=ware.vocabulary)


def is_a_colour(material: Term, after: str, tables: Tables) -> bool:
    """Whether the name of a material is that of a look, as a word of the kind `after` follows it
    directly: 'tortoiseshell glaze', 'coral ground', 'bronze-coloured'."""
    if after in _COLOURS:
        return material.label in _colours_of_materials(tables)
    return after == "likeness of a material"


def _without_ware(name: str) -> str:
    for end in _WARES:
        name = name.removesuffix(end)
    return name


@functools.lru_cache(maxsize=8)
def _colours_of_materials(tables: Tables) -> frozenset[str]:
    """The materials whose names are those of colours and glazes as well."""
    return frozenset(name for row in tables.terms("material as a colour") for name in row.names)
