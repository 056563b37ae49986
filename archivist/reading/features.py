"""Form, ware, material, glaze, colour, decoration, subject, technique; culture, place and kiln.

Variant names resolve to one preferred term; the words stay in `as_stated`. What a piece is like
is a Feature, where it is from an Attribution. 'Japanese style' and 'for the Japanese market' say
nothing of where a piece was made and stay unread.
"""

from __future__ import annotations

import functools
from typing import NamedTuple

import msgspec

from archivist.model.base import Certainty, Reading, Term
from archivist.model.records import Aspect, Attribution, Feature, FeatureAspect
from archivist.reading.likeness import likely_names
from archivist.reading.looks import (
    LIKE,
    LIKE_AFTER,
    LIKENESSES,
    is_a_colour,
    look_of,
    of_its_type,
    ware_bases,
)
from archivist.reading.result import Understood
from archivist.reading.tables import Tables
from archivist.reading.words import (
    Found,
    Lexicon,
    Words,
    fillers,
    plurals,
    spellings,
    unread_spans,
)

_FEATURES = tuple(aspect.value for aspect in FeatureAspect)
_ORIGINS = (Aspect.CULTURE.value, Aspect.PLACE.value, Aspect.KILN.value)
_NOUNS = frozenset((FeatureAspect.FORM.value, FeatureAspect.SUBJECT.value))
_FORM = FeatureAspect.FORM.value
_MATERIAL = FeatureAspect.MATERIAL.value
_WARE = FeatureAspect.WARE.value
_BASE = "ware without the word"
_MAY_BE_A_LOOK = frozenset((_WARE, _BASE, _MATERIAL))
_MADE_OF_A_WARE = frozenset(
    aspect.value for aspect in (FeatureAspect.FORM, FeatureAspect.MATERIAL, FeatureAspect.GLAZE)
)
_ARTICLES = frozenset(("a", "an", "the"))
_FOR = frozenset(("for", "as", "into", "like", "resembling"))
_SHAPES = frozenset(("shape", "form", "imitation"))


class _Entry(NamedTuple):
    kind: str
    term: Term | None = None
    cased: bool = False
    certainty: Certainty = Certainty.CERTAIN


@functools.lru_cache(maxsize=8)
def _lexicon(tables: Tables) -> Lexicon[_Entry]:
    entries: list[tuple[str, _Entry]] = []
    for row in tables.terms(*_FEATURES, *_ORIGINS):
        entry = _Entry(row.kind, row.term, bool(row.more.get("cased")))
        for name in row.names:
            for spelled in {s: None for n in _without_apostrophes(name) for s in spellings(n)}:
                forms = plurals(spelled) if row.kind in _NOUNS else (spelled,)
                entries.extend((form, entry) for form in forms)
    for row in tables.terms("hedge"):
        hedge = _Entry("hedge", certainty=Certainty(row.more["certainty"]))
        entries.extend((name, hedge) for name in row.names)
    for row in tables.terms(*LIKENESSES):
        entries.extend((name, _Entry(row.kind)) for name in row.names)
    for name, term in ware_bases(tables):
        entries.extend((form, _Entry(_BASE, term)) for form in _without_apostrophes(name))
    return Lexicon(entries)


@functools.lru_cache(maxsize=8)
def descriptions(tables: Tables) -> Lexicon[str]:
    """The names of forms, decorations, glazes and materials, with which a description begins."""
    kinds = (*_MADE_OF_A_WARE, FeatureAspect.DECORATION.value)
    return Lexicon((name, row.kind) for row in tables.terms(*kinds) for name in row.names)


def _without_apostrophes(name: str) -> tuple[str, ...]:
    """`name`, and as it is written by those who leave out the aspirate: Lung-chuan."""
    plain = name.replace("'", "").replace("’", "")
    return (name,) if plain == name or "'s" in name else (name, plain)


def read_features(text: str, tables: Tables) -> Understood:
    """The features and origins that `text` names, in order."""
    words = Words(text)
    statements = features_in(words, tables)
    spans = [(s.reading.start, s.reading.end) for s in statements if s.reading is not None]
    return Understood(
        text=text,
        statements=statements,
        unread=unread_spans(words, spans, fillers(tables)),
    )


def features_in(
    words: Words, tables: Tables, taken: bytearray | None = None
) -> tuple[Feature | Attribution, ...]:
    """As `read_features`, for readers that keep account of the words themselves."""
    found = _whole_forms(_lexicon(tables).find(words.folded, taken), words)
    statements: list[Feature | Attribution] = []
    for number, match in enumerate(found):
        entry = match.entry
        if entry.term is None or (entry.cased and not _is_capital(words, match)):
            continue
        if entry.kind == _FORM and _is_for(words, match.first):
            continue
        following = found[number + 1] if number + 1 < len(found) else None
        origin = entry.kind in _ORIGINS
        if origin and _is_likeness(following, match.end):
            continue
        certainty = Certainty.CERTAIN
        before = found[number - 1] if number else None
        first, end = match.first, match.end
        if entry.kind in _MAY_BE_A_LOOK:
            seen = _as_it_looks(words, match, before, following, tables)
            if seen is None:
                continue
            entry, first, end = seen
        if before is not None and before.entry.kind == "hedge" and _adjoins(words, before, match):
            certainty, first = before.entry.certainty, before.first
        doubted = _doubted(words, end)
        if doubted:
            certainty, end = Certainty.POSSIBLE, doubted
        if origin and _alternative(words, before, match, following):
            certainty = Certainty.POSSIBLE
        statements.append(_statement(entry, words, first, end, certainty))
    statements.extend(_like_names(words, found, taken, tables))
    statements.sort(key=lambda s: s.reading.start if s.reading else 0)
    return tuple(statements)


def _as_it_looks(
    words: Words,
    match: Found[_Entry],
    before: Found[_Entry] | None,
    following: Found[_Entry] | None,
    tables: Tables,
) -> Found[_Entry] | None:
    """What a name stands for beside words of likeness; None where nothing of that name is there."""
    entry = match.entry
    assert entry.term is not None
    after = following.entry.kind if following and following.first == match.end else ""
    copied = before is not None and before.entry.kind == LIKE and _adjoins(words, before, match)
    if entry.kind == _MATERIAL:
        return None if copied or is_a_colour(entry.term, after, tables) else match
    if after in LIKE_AFTER and following is not None:
        look = look_of(entry.term, words, following.end)
        return Found(_Entry(look.aspect, look.term), match.first, look.end)
    if copied:
        return match._replace(entry=_Entry(_WARE, of_its_type(entry.term)))
    return match if entry.kind == _WARE else None


def _like_names(
    words: Words, found: list[Found[_Entry]], taken: bytearray | None, tables: Tables
) -> list[Feature | Attribution]:
    """Wares and kilns by names that are only near to those of the table."""
    known = bytearray(taken or bytes(len(words)))
    anchors: list[int] = []
    for match in found:
        known[match.first : match.end] = b"\x01" * (match.end - match.first)
        if match.entry.kind in _MADE_OF_A_WARE:
            anchors.append(match.first)
    statements: list[Feature | Attribution] = []
    for like in likely_names(words, anchors, known, tables):
        made = _statement(
            _Entry(like.kind, like.term), words, like.first, like.end, Certainty.CERTAIN
        )
        assert made.reading is not None
        reading = msgspec.structs.replace(
            made.reading, rule=f"{like.kind} term, by likeness", confidence=f"{like.nearness:.2f}"
        )
        statements.append(msgspec.structs.replace(made, reading=reading))
    return statements


def _whole_forms(found: list[Found[_Entry]], words: Words) -> list[Found[_Entry]]:
    """'A bell bowl' is a bowl: of forms that follow one another directly the last is meant."""
    whole: list[Found[_Entry]] = []
    for match in found:
        before = whole[-1] if whole else None
        if (
            before is not None
            and before.entry.kind == match.entry.kind == _FORM
            and before.end == match.first
            and "," not in words.text[words.ends[before.end - 1] : words.starts[match.first]]
        ):
            whole[-1] = Found(match.entry, before.first, match.end)
        else:
            whole.append(match)
    return whole


def _is_for(words: Words, index: int) -> bool:
    """'Drilled for a lamp', 'mounted as a lamp', 'in the shape of a bell': no form of the piece."""
    before = index - 1
    while before >= 0 and words.folded[before] in _ARTICLES:
        before -= 1
    if before < 0:
        return False
    if words.folded[before] in _FOR:
        return True
    return words.folded[before] == "of" and words.folded[before - 1] in _SHAPES


def _is_capital(words: Words, match: Found[_Entry]) -> bool:
    return not words.text[words.starts[match.first]].islower()


def _is_likeness(following: Found[_Entry] | None, at: int) -> bool:
    return following is not None and following.entry.kind in LIKE_AFTER and following.first == at


def _adjoins(words: Words, before: Found[_Entry], match: Found[_Entry]) -> bool:
    return all(words.folded[i] in _ARTICLES for i in range(before.end, match.first))


def _doubted(words: Words, index: int) -> int:
    """Where a question mark right after the term ends, else 0."""
    if words.folded[index : index + 1] == ["?"]:
        return index + 1
    return index + 3 if words.folded[index : index + 3] == ["(", "?", ")"] else 0


def _alternative(
    words: Words,
    before: Found[_Entry] | None,
    match: Found[_Entry],
    following: Found[_Entry] | None,
) -> bool:
    """'Chinese or Korean': neither is held for certain."""
    kind = match.entry.kind
    neighbours = (
        (before, words.folded[before.end : match.first] if before else []),
        (following, words.folded[match.end : following.first] if following else []),
    )
    return any(
        other is not None and other.entry.kind == kind and between == ["or"]
        for other, between in neighbours
    )


def _statement(
    entry: _Entry, words: Words, first: int, end: int, certainty: Certainty
) -> Feature | Attribution:
    start, stop = words.starts[first], words.ends[end - 1]
    assert entry.term is not None
    as_stated = words.text[start:stop]
    reading = Reading(rule=f"{entry.kind} term", confidence="0.9", start=start, end=stop)
    if entry.kind in _ORIGINS:
        return Attribution(
            as_stated=as_stated,
            certainty=certainty,
            reading=reading,
            aspect=Aspect(entry.kind),
            term=entry.term,
        )
    return Feature(
        as_stated=as_stated,
        certainty=certainty,
        reading=reading,
        aspect=FeatureAspect(entry.kind),
        term=entry.term,
    )
