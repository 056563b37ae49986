"""The names of features and origins as one lexicon: what a phrase may stand for in a text."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from archivist.model.base import Term
from archivist.model.records import Aspect, FeatureAspect
from archivist.reading import inflection
from archivist.reading.looks import LIKENESSES, ware_bases
from archivist.reading.tables import Tables, TermRow
from archivist.reading.words import Lexicon, fold, plurals, spellings

FEATURES = tuple(aspect.value for aspect in FeatureAspect)
PLACE = Aspect.PLACE.value
MAKER = Aspect.MAKER.value
ORIGINS = (Aspect.CULTURE.value, PLACE, Aspect.KILN.value, MAKER)
FORM = FeatureAspect.FORM.value
BASE = "ware without the word"
"""The kind of a ware's name that only stands for it beside a word of likeness."""

IN_A_COLUMN = " in a column"
"""The end of the kind of the rows whose words are read only in their place."""

TOWN = "town"

_NOUNS = frozenset((FORM, FeatureAspect.SUBJECT.value))
_ADJECTIVES = frozenset(
    aspect.value
    for aspect in (
        FeatureAspect.TECHNIQUE,
        FeatureAspect.DECORATION,
        FeatureAspect.GLAZE,
        FeatureAspect.COLOUR,
        FeatureAspect.MATERIAL,
    )
) | {Aspect.CULTURE.value}


class Entry(NamedTuple):
    """What a phrase may stand for; `limit` says where alone: in a column, a town, as a style."""

    kind: str
    term: Term | None = None
    cased: bool = False
    limit: str = ""


@functools.lru_cache(maxsize=8)
def feature_lexicon(tables: Tables) -> Lexicon[Entry]:
    """All names of features and origins; a name as it stands in a table wins over a plural, and
    that over an inflected form."""
    named = list(_entries(tables))
    names = [(one, entry) for name, entry in named for one in _spelled(name)]
    elided = [(f"d'{name}", entry) for name, entry in named if _is_elided(name, entry)]
    more = [(s, e) for name, e in names if e.kind in _NOUNS for s in plurals(name)]
    ordinary = _ordinary(tables)
    inflected = [
        (form, entry)
        for name, entry in named
        for form in _inflected(name, entry)
        if form not in ordinary
    ]
    words = [(name, Entry(row.kind)) for row in tables.terms(*LIKENESSES) for name in row.names]
    bases = [
        (form, Entry(BASE, term))
        for name, term in ware_bases(tables)
        for form in without_apostrophes(name)
    ]
    return Lexicon((*names, *more, *words, *bases, *inflected, *elided))


@functools.lru_cache(maxsize=8)
def descriptions(tables: Tables) -> Lexicon[str]:
    """The names of forms, decorations, glazes and materials, with which a description begins."""
    kinds = (
        FORM,
        FeatureAspect.MATERIAL.value,
        FeatureAspect.GLAZE.value,
        FeatureAspect.DECORATION.value,
    )
    return Lexicon((name, row.kind) for row in tables.terms(*kinds) for name in row.names)


def without_apostrophes(name: str) -> tuple[str, ...]:
    """`name`, and as it is written by those who leave out the aspirate: Lung-chuan."""
    plain = name.replace("'", "").replace("’", "")
    return (name,) if plain == name or "'s" in name else (name, plain)


def _spelled(name: str) -> Iterable[str]:
    return {s: None for n in without_apostrophes(name) for s in spellings(n)}


def _entries(tables: Tables) -> Iterator[tuple[str, Entry]]:
    for row in tables.terms(*FEATURES, *ORIGINS):
        for name in row.names:
            yield name, Entry(row.kind, row.term, bool(row.more.get("cased")), _style(row, name))
    for row in tables.terms(*(kind + IN_A_COLUMN for kind in FEATURES)):
        kind = row.kind.removesuffix(IN_A_COLUMN)
        for name in row.variants:
            yield name, Entry(kind, row.term, False, IN_A_COLUMN)
    for row in tables.terms(TOWN):
        if row.vocabulary:
            for name in row.names:
                yield name, Entry(PLACE, row.term, True, TOWN)


def _style(row: TermRow, name: str) -> str:
    """Whether a maker's name by itself is that of a style: 'Chippendale'."""
    return "style" if row.more.get("bare") == "style" and name != row.label else ""


def _is_elided(name: str, entry: Entry) -> bool:
    """Whether a place or material may stand after "d'": "d'Aubusson", "d'oro"."""
    return entry.kind in (PLACE, FeatureAspect.MATERIAL.value) and fold(name)[:1] in "aeiouh"


def _ordinary(tables: Tables) -> frozenset[str]:
    """Ordinary words that would be inflected forms: 'line' of 'lino', 'place' of 'placa'."""
    rows = tables.terms("guarding word")
    return frozenset(n for row in rows if row.label == "ordinary word" for n in row.variants)


def _inflected(name: str, entry: Entry) -> Iterator[str]:
    term = entry.term
    if term is None or name == term.label or entry.cased or entry.limit:
        return
    if entry.kind in _NOUNS:
        yield from inflection.nouns(name)
    elif entry.kind in _ADJECTIVES and not name[-1].isupper() and name[0].islower():
        yield from inflection.adjectives(name)
