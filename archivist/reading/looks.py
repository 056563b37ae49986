"""What only looks like a ware or a material: 'Guan type', 'tortoiseshell glaze', 'ivory ground'.

A piece 'of Guan type' is no Guan ware, and a tortoiseshell glaze holds no tortoiseshell. The words
that say so are in `tables/plain_words.csv`.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator

from archivist.model.base import Term
from archivist.model.records import FeatureAspect
from archivist.reading.tables import Tables

LIKE = "likeness before"
"""The kind of words that stand before what is imitated: 'in imitation of', 'simulating'."""

LIKENESSES = (LIKE, "likeness of a material", "colour of a material")
"""The kinds of table rows whose words, beside a name, say that it is a look."""

_WARES = (" ware", " Ware", " yao")
_COLOURS = ("colour of a material", FeatureAspect.COLOUR.value, FeatureAspect.GLAZE.value)


def wares_of_a_type(tables: Tables) -> Iterator[tuple[str, str, Term]]:
    """Aspect, name and term of each look of a ware: 'Guan type', 'Jun-type glaze', 'Imari style'.

    Only of wares with a capital: 'red style' names none.
    """
    words = [name for row in tables.terms("ware likeness") for name in row.names]
    for row in tables.terms(FeatureAspect.WARE.value):
        ware = of_its_type(row.term)
        glaze = Term(
            label=ware.label.removesuffix("ware") + "glaze", vocabulary=FeatureAspect.GLAZE.value
        )
        bases = dict.fromkeys(_without_ware(name) for name in row.names)
        for look in (f"{base} {word}" for base in bases if base[:1].isupper() for word in words):
            for end in ("", " ware", " wares"):
                yield FeatureAspect.WARE.value, f"{look}{end}", ware
            for end in (" glaze", " crackle"):
                yield FeatureAspect.GLAZE.value, f"{look}{end}", glaze


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
