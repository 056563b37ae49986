"""A term with its part, its size and its doubt."""

from __future__ import annotations

import re

from archivist.model.base import Certainty
from archivist.model.observations import Presence
from archivist.reading.condition.beside import part_after
from archivist.reading.condition.entries import TERMS, Entry, Seen, Waiting
from archivist.reading.measurements.numbers import FRACTIONS
from archivist.reading.words import (
    Found,
    Words,
)

_SIZE = re.compile(r"(?:\d+(?:\.\d+)?|\d*[¼½¾⅓⅔⅛⅜⅝⅞])(?:mm|cm|in)?$")

_UNITS = frozenset(("mm", "cm", "in", "inch", "inches", '"'))

_ARTICLES = frozenset(("a", "an", "the"))

_JOINS = frozenset(("and", "&", "or", "/"))
_ABOUT = frozenset(("about", "abt", "approx", "approximately", "circa", "some", "c", "ca"))
_AFTER_SIZES = frozenset(("long", "wide", "across", "deep", "in", "length", "overall"))


def observe(
    match: Found[Entry], found: dict[int, Found[Entry]], waiting: Waiting, words: Words, clause: int
) -> Seen:
    """The observation that a term makes with the part and the extent that wait for it."""
    one = Seen(match.entry, match.first, match.end, clause=clause)
    if waiting.extent_at >= 0 and waiting.extent_end == match.first:
        one.extent = words.between(waiting.extent_at, waiting.extent_stop).strip()
        one.first = waiting.extent_at
    if waiting.parts:
        one.parts = list(waiting.parts)
        if not _is_apart(found, words, waiting.part_end, one.first):
            one.first = min(one.first, waiting.part_at)
    if match.entry.role == "condition absent":
        one.presence = Presence.ABSENT
    index = one.first
    while index > 0 and words.folded[index - 1] in _ARTICLES:
        index -= 1
    one.joined = index > 0 and words.folded[index - 1] in _JOINS
    return one


def _is_apart(found: dict[int, Found[Entry]], words: Words, first: int, end: int) -> bool:
    """Whether a part is not of the words of its term: far off, or past a denial or a doubt.

    In 'the foot is not ground' the 'not' must stay outside the value, to be seen for what it does.
    """
    return end - first > _FAR or any(
        words.folded[index] in _PARTS_OFF or (index in found and found[index].entry.sort == "turn")
        for index in range(max(first, 0), end)
    )


_FAR = 6
_PARTS_OFF = frozenset(":—–")


def after_term(one: Seen, found: dict[int, Found[Entry]], words: Words) -> int:
    """Take the part and the size that follow a term: 'hairline of 2 cm to the rim and foot'."""
    folded = words.folded
    index = one.end
    parts: list[str] = []
    preposed = False
    joined = True
    owned = "owned" in one.entry.needs
    at = part_after(found, words, index, articles=owned) if _lacks_its_part(one) else None
    if at is not None:
        parts.append(found[at[0]].entry.label)
        one.end = index = at[1]
        joined = False
    while index < len(folded):
        match = found.get(index)
        role = match.entry.role if match else ""
        size = size_at(folded, index)
        if size:
            measured = words.between(index, size)
            one.extent = f"{one.extent} {measured}".strip()
            while size < len(folded) and folded[size] in _AFTER_SIZES and not found.get(size + 1):
                if folded[size] == "in" and folded[size + 1 : size + 2] != ["length"]:
                    break
                size += 1
            one.end = index = size
        elif (
            match and role == "extent" and index == one.end and _stands_after(found, match, folded)
        ):
            one.extent = one.extent or words.between(index, match.end)
            one.end = index = match.end
        elif folded[index] in _ABOUT and size_at(folded, index + 1):
            index += 1
        elif (
            match
            and role == "part"
            and (
                preposed
                or parts
                or match.entry.label == "throughout"
                or (index == one.end and _says_what_was_done(folded, index))
            )
        ):
            if joined:
                parts.append(match.entry.label)
            one.end = index = match.end
            joined = False
        elif (
            match
            and (
                role in ("preposition", "article")
                or (role == "extent" and preposed and _part_at(found, match.end))
            )
            and not _term_next(found, match.end)
        ):
            preposed = preposed or role == "preposition"
            index = match.end
        elif match and role == "conjunction" and parts and _part_at(found, match.end):
            index = match.end
            joined = True
        elif folded[index] == "?" or folded[index : index + 3] == ["(", "?", ")"]:
            break
        else:
            break
    if parts:
        one.parts = parts
    after = one.end
    if (inside := _in_brackets(folded, after)) and not one.extent:
        one.extent = words.between(after + 1, inside)
        one.end = after = inside + 1
    if folded[after : after + 3] == ["(", "?", ")"]:
        one.certainty = Certainty.POSSIBLE
        one.end = after = after + 3
    return after


def _lacks_its_part(one: Seen) -> bool:
    return one.entry.role == "condition state" and not one.parts


def keep_if_done(waiting: Waiting, folded: list[str], after: int) -> None:
    """'Rim chipped and ground' is all of the rim; 'rim chips and a hairline' is not."""
    if not _says_what_was_done(folded, after):
        waiting.forget()


def _says_what_was_done(folded: list[str], index: int) -> bool:
    """'Restored neck', 'worn foot': the part may follow such a word with nothing between."""
    return folded[index - 1].endswith(("ed", "en", "worn", "stuck", "ground"))


def _stands_after(found: dict[int, Found[Entry]], match: Found[Entry], folded: list[str]) -> bool:
    """'Restauration ancienne au pied': the word belongs to the term before, as what follows shows:
    a preposition, a comma or the end."""
    if match.end >= len(folded) or folded[match.end] in ",.;:\n)":
        return True
    following = found.get(match.end)
    return following is not None and following.entry.role == "preposition"


def _term_next(found: dict[int, Found[Entry]], index: int) -> bool:
    match = found.get(index)
    return match is not None and match.entry.role in TERMS


def _part_at(found: dict[int, Found[Entry]], index: int) -> bool:
    match = found.get(index)
    if match is not None and match.entry.role in ("article", "preposition"):
        match = found.get(match.end)
    return match is not None and match.entry.role == "part"


def size_at(folded: list[str], index: int) -> int:
    """Where a size that starts at `index` ends ('2 cm', '3.5 mm', '1 1/2 in.'), else 0."""
    if index >= len(folded) or not (folded[index][0].isdigit() or folded[index][0] in FRACTIONS):
        return 0
    end = index
    while end < len(folded) and (
        _SIZE.match(folded[end]) or (end > index and folded[end] in (".", "/"))
    ):
        end += 1
    if end == index:
        return 0
    if end < len(folded) and folded[end] in _UNITS:
        dotted = folded[end] == "in" and folded[end + 1 : end + 2] == ["."]
        return end + 1 + dotted
    return end if not folded[end - 1].isdigit() and folded[end - 1] != "." else 0


def _in_brackets(folded: list[str], index: int) -> int:
    """Where a size ends that stands alone in brackets at `index` ('(3 mm)'), else 0."""
    if index >= len(folded) or folded[index] != "(":
        return 0
    end = size_at(folded, index + 1)
    return end if end and folded[end : end + 1] == [")"] else 0


def doubt(one: Seen, index: int) -> None:
    """A question mark right after a term doubts it."""
    if index <= one.end + 1:
        one.certainty = Certainty.POSSIBLE
        one.end = max(one.end, index + 1)


def share_part(seen: list[Seen], one: Seen) -> None:
    """'Chips and a hairline to the rim': the part goes for both."""
    if not (one.joined and one.parts and seen):
        return
    before = seen[-1]
    if not before.parts and before.clause == one.clause and before.presence is one.presence:
        before.parts = list(one.parts)
