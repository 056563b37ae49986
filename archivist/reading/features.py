"""Form, ware, material, glaze, colour, decoration, subject, technique; culture, place, kiln, maker.

Variant names resolve to one preferred term; the words stay in `as_stated`. What a piece is like
is a Feature, where it is from and by whom an Attribution. 'Japanese style' and 'for the Japanese
market' say nothing of where a piece was made and stay unread.
"""

from __future__ import annotations

import msgspec

from archivist.model.base import Certainty, Reading
from archivist.model.records import Aspect, Attribution, Feature, FeatureAspect
from archivist.reading.compounds import compound_at, is_silenced, silenced_in
from archivist.reading.feature_names import (
    BASE,
    FORM,
    IN_A_COLUMN,
    MAKER,
    ORIGINS,
    TOWN,
    Entry,
    feature_lexicon,
)
from archivist.reading.likeness import likely_names
from archivist.reading.looks import LIKE, LIKE_AFTER, is_a_colour, look_of, of_its_type
from archivist.reading.origins import Origins
from archivist.reading.result import Understood
from archivist.reading.standing import Position, understood
from archivist.reading.surroundings import Surroundings
from archivist.reading.tables import Tables
from archivist.reading.words import Found, Words

_MATERIAL = FeatureAspect.MATERIAL.value
_COLOUR = FeatureAspect.COLOUR.value
_WARE = FeatureAspect.WARE.value
_MAY_BE_A_LOOK = frozenset((_WARE, BASE, _MATERIAL))
_MADE_OF_A_WARE = frozenset((FORM, _MATERIAL, FeatureAspect.GLAZE.value))
_ARTICLES = frozenset(("a", "an", "the"))
_FOR = frozenset(("for", "as", "into", "like", "resembling"))
_SHAPES = frozenset(("shape", "form", "imitation"))
_PAINTED = "painted decoration"
_TOLD_AFTER = frozenset(("with", "in", "at", "by", "as", "mit", "a", "de", "met", "con"))
"""After 'painted', these lead to what says more: 'painted with scholars', 'painted in doucai'."""
_CONFIDENCE = "0.9"
_LESS_CONFIDENCE = "0.7"
"""Of a town or of a name that no table holds."""


def read_features(text: str, tables: Tables) -> Understood:
    """The features and origins that `text` names, in order."""
    words = Words(text)
    statements = features_in(words, tables)
    return understood(words, statements, tables, Position.CELL)


def features_in(
    words: Words, tables: Tables, taken: bytearray | None = None
) -> tuple[Feature | Attribution, ...]:
    """As `read_features`, for readers that keep account of the words themselves."""
    found = _names(words, tables, taken)
    around = Surroundings(words, _tokens_of(found, len(words)), tables)
    origins = Origins(words, around, found, taken or bytearray(len(words)))
    statements: list[Feature | Attribution] = []
    for number, match in enumerate(found):
        entry = match.entry
        if entry.term is None or (entry.cased and not _is_capital(words, match)):
            continue
        following = found[number + 1] if number + 1 < len(found) else None
        if entry.kind in ORIGINS:
            if _is_likeness(following, match.end) or not origins.licenses(match):
                continue
        elif not _is_said(match, words, around):
            continue
        certainty = Certainty.CERTAIN
        before = found[number - 1] if number else None
        first, end = match.first, match.end
        if entry.kind in _MAY_BE_A_LOOK:
            seen = _as_it_looks(words, match, before, following, tables)
            if seen is None:
                continue
            entry, first, end = seen
        if doubted := _doubted(words, end):
            certainty, end = Certainty.POSSIBLE, doubted
        if entry.kind in ORIGINS and _alternative(words, before, match, following):
            certainty = Certainty.POSSIBLE
        statements.append(_statement(entry, words, first, end, certainty))
    statements.extend(_like_names(words, found, taken, tables))
    for maker in origins.makers():
        if not any(_covers(s, words.starts[maker.end - 1]) for s in statements):
            named = Entry(MAKER, maker.term, limit=TOWN)
            statements.append(_statement(named, words, maker.first, maker.end, Certainty.CERTAIN))
    statements.sort(key=lambda s: s.reading.start if s.reading else 0)
    return tuple(statements)


def _names(words: Words, tables: Tables, taken: bytearray | None) -> list[Found[Entry]]:
    """The names in the text that are not silenced by a compound, and the compounds by their last
    part, in order."""
    compounds = silenced_in(words, tables)
    matches = feature_lexicon(tables).find(words.folded, taken)
    if compounds:
        matches = [m for m in matches if not is_silenced(m.entry.kind, m.first, m.end, compounds)]
    covered = _tokens_of(matches, len(words))
    for index in range(len(words)):
        if covered[index] or (taken and taken[index]):
            continue
        named = compound_at(words, index, tables)
        if named is not None:
            matches.append(Found(Entry(named.kind, named.term), index, index + 1))
    matches.sort(key=lambda m: m.first)
    return _whole_forms(matches, words)


def _tokens_of(found: list[Found[Entry]], length: int) -> bytearray:
    """The tokens of the names, but for those that are read only in their place."""
    marked = bytearray(length)
    for match in found:
        if match.entry.term is not None and not match.entry.limit:
            marked[match.first : match.end] = b"\x01" * (match.end - match.first)
    return marked


def _covers(statement: Feature | Attribution, start: int) -> bool:
    reading = statement.reading
    return reading is not None and reading.start <= start < reading.end


def _is_said(match: Found[Entry], words: Words, around: Surroundings) -> bool:
    """Whether the words around let a name of a feature stand for it."""
    entry, first, end = match
    if entry.limit == IN_A_COLUMN and not around.is_in_its_place(first, end, entry.kind == FORM):
        return False
    if entry.term is not None and entry.term.label == _PAINTED:
        return words.folded[end : end + 1] == [] or words.folded[end] not in _TOLD_AFTER
    if entry.kind == FORM:
        if _is_for(words, first):
            return False
        guarded = words.folded[end - 1] in around.guards["form with another meaning"]
        return not guarded or end - first > 1 or around.is_of_the_piece(first, end)
    return entry.kind != _COLOUR or around.is_a_colour_of_it(first, end)


def _as_it_looks(
    words: Words,
    match: Found[Entry],
    before: Found[Entry] | None,
    following: Found[Entry] | None,
    tables: Tables,
) -> Found[Entry] | None:
    """What a name stands for beside words of likeness; None where nothing of that name is there."""
    entry = match.entry
    assert entry.term is not None
    after = following.entry.kind if following and following.first == match.end else ""
    copied = before is not None and before.entry.kind == LIKE and _adjoins(words, before, match)
    if entry.kind == _MATERIAL:
        return None if copied or is_a_colour(entry.term, after, tables) else match
    if after in LIKE_AFTER and following is not None:
        look = look_of(entry.term, words, following.end)
        return Found(Entry(look.aspect, look.term), match.first, look.end)
    if copied:
        assert before is not None
        return Found(Entry(_WARE, of_its_type(entry.term)), before.first, match.end)
    return match if entry.kind == _WARE else None


def _like_names(
    words: Words, found: list[Found[Entry]], taken: bytearray | None, tables: Tables
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
            Entry(like.kind, like.term), words, like.first, like.end, Certainty.CERTAIN
        )
        assert made.reading is not None
        reading = msgspec.structs.replace(
            made.reading, rule=f"{like.kind} term, by likeness", confidence=f"{like.nearness:.2f}"
        )
        statements.append(msgspec.structs.replace(made, reading=reading))
    return statements


def _whole_forms(found: list[Found[Entry]], words: Words) -> list[Found[Entry]]:
    """'A bell bowl' is a bowl: of forms that follow one another directly the last is meant."""
    whole: list[Found[Entry]] = []
    for match in found:
        before = whole[-1] if whole else None
        if (
            before is not None
            and before.entry.kind == match.entry.kind == FORM
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


def _is_capital(words: Words, match: Found[Entry]) -> bool:
    """Whether a name is written with a capital, in "d'Aubusson" after the apostrophe."""
    start = words.starts[match.first]
    if words.folded[match.first].startswith("d'"):
        start += 2
    return not words.text[start].islower()


def _is_likeness(following: Found[Entry] | None, at: int) -> bool:
    return following is not None and following.entry.kind in LIKE_AFTER and following.first == at


def _adjoins(words: Words, before: Found[Entry], match: Found[Entry]) -> bool:
    return all(words.folded[i] in _ARTICLES for i in range(before.end, match.first))


def _doubted(words: Words, index: int) -> int:
    """Where a question mark right after the term ends, else 0."""
    if words.folded[index : index + 1] == ["?"]:
        return index + 1
    return index + 3 if words.folded[index : index + 3] == ["(", "?", ")"] else 0


def _alternative(
    words: Words,
    before: Found[Entry] | None,
    match: Found[Entry],
    following: Found[Entry] | None,
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
    entry: Entry, words: Words, first: int, end: int, certainty: Certainty
) -> Feature | Attribution:
    start, stop = words.starts[first], words.ends[end - 1]
    assert entry.term is not None
    as_stated = words.text[start:stop]
    sure = entry.limit != TOWN
    reading = Reading(
        rule=f"{entry.kind} term" if sure else f"{entry.kind} by its words",
        confidence=_CONFIDENCE if sure else _LESS_CONFIDENCE,
        start=start,
        end=stop,
    )
    if entry.kind in ORIGINS:
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
