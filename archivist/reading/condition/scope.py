"""What 'no', 'possibly', 'apart from' and a comma govern, and where their rule ends."""

from __future__ import annotations

from archivist.model.base import Certainty
from archivist.model.observations import Presence
from archivist.reading.condition.entries import Entry, Scope, Seen
from archivist.reading.words import (
    Found,
    Words,
)

ENDS = frozenset(".;:\n!")


def is_number(folded: list[str], match: Found[Entry]) -> bool:
    """'No. 5' numbers and negates nothing."""
    if folded[match.first] != "no" or match.end >= len(folded):
        return False
    following = folded[match.end]
    return following.isdigit() or following == "."


def govern(
    match: Found[Entry],
    scope: Scope,
    seen: list[Seen],
    found: dict[int, Found[Entry]],
    words: Words,
    clause: int,
) -> None:
    """Let a word that is no term change what is in force."""
    role = match.entry.role
    if role == "negation":
        doubled = scope.negation >= 0 and scope.loose == 0 and match.first - scope.negation == 1
        scope.negation = -1 if doubled else match.first
        scope.loose = 0
        scope.ambiguous = False
    elif role == "negation after":
        _negate_backwards(match, seen, scope, clause)
    elif role in ("exception", "condition break"):
        scope.negation = -1
        used = bool(seen) and words.starts[seen[-1].end - 1] >= words.starts[scope.part_at]
        if role == "exception" or used:
            scope.forget()
    elif role == "hedge":
        scope.hedge, scope.certainty, scope.loose = match.first, match.entry.certainty, 0
    elif role == "undecided":
        scope.undecided, scope.loose = match.first, 0
    elif role == "part":
        if scope.part_at < 0 or not _joined_parts(words, scope, match):
            scope.parts = []
            scope.part_at = match.first
        scope.parts.append(match.entry.label)
        scope.part_end = match.end
        if scope.extent_end == match.first:
            scope.extent_end = match.end
    elif role == "extent":
        if scope.extent_end != match.first:
            scope.extent_at = match.first
        scope.extent_end = scope.extent_stop = match.end
    elif (
        role == "conjunction"
        and match.entry.label == "and"
        and not _bare_term(found, match.end, words.folded)
    ):
        scope.negation = -1
    elif role == "condition none":
        scope.forget()
    if role == "article" and match.entry.label == "article" and scope.extent_end == match.first:
        scope.extent_end = match.end


def _joined_parts(words: Words, scope: Scope, match: Found[Entry]) -> bool:
    """'Rim and foot': not so in 'rim chipped and foot worn'."""
    joined = match.first > 0 and words.folded[match.first - 1] in ("and", "&", "+")
    return joined and scope.part_end == match.first - 1


def _bare_term(found: dict[int, Found[Entry]], index: int, folded: list[str]) -> bool:
    """Whether at `index` stands a term with no article or size before it and no part after."""
    match = found.get(index)
    if match is None or match.entry.role != "condition":
        return False
    after = found.get(match.end)
    if after is not None and after.entry.role == "preposition":
        return False
    return match.end >= len(folded) or after is None or after.entry.role != "part"


def at_comma(scope: Scope, folded: list[str], found: dict[int, Found[Entry]], comma: int) -> None:
    """A comma ends a phrase, unless it lists what a 'no' governs up to an 'or'."""
    if scope.negation >= 0:
        listed, alone = _list_ahead(folded, found, comma + 1)
        scope.ambiguous = alone and not listed
        if not listed and not alone:
            scope.negation = -1
    scope.hedge = scope.undecided = -1
    scope.certainty = Certainty.CERTAIN
    scope.loose = 0
    scope.forget()


def _list_ahead(folded: list[str], found: dict[int, Found[Entry]], index: int) -> tuple[bool, bool]:
    """Whether terms go on to an 'or', and whether one bare term alone ends the sentence."""
    terms = 0
    bare = _bare_term(found, index, folded)
    while index < len(folded):
        match = found.get(index)
        if match is None:
            if folded[index] == ",":
                index += 1
                continue
            ends = folded[index] in ENDS
            return False, bare and terms == 1 and ends
        role = match.entry.role
        if role == "conjunction" and match.entry.label == "or":
            return True, False
        if role not in ("condition", "extent", "part", "preposition", "conjunction"):
            return False, False
        if role == "extent" and match.end - match.first == 1 and folded[index] in ("one", "two"):
            return False, False
        terms += role == "condition"
        index = match.end
    return False, bare and terms == 1


def _negate_backwards(match: Found[Entry], seen: list[Seen], scope: Scope, clause: int) -> None:
    """'Cracks: none': what was named last in the sentence is absent."""
    for one in reversed(seen):
        if one.clause != clause or one.presence is not Presence.PRESENT:
            break
        one.presence = Presence.ABSENT
        one.end = match.end
        if not one.joined:
            break
