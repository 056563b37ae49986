"""What must stand beside a word that is one of condition only there: 'ground', 'later', 'lost'."""

from __future__ import annotations

from archivist.reading.condition.entries import TERMS, Entry, Seen, Waiting
from archivist.reading.words import Found, Words

_ENDS = frozenset(".,;:()[]\n!?—–/")
_LINKED = 8
"""Tokens between a part and its state at most: 'the rim has at some time been slightly ground'."""
_LONGEST = 4
"""Words that a phrase of a caption may have before the state that ends it: 'one spandrel lost'."""
_MODIFIERS = 2
"""Words between a state and its part: 'replaced bun feet', 'later gilt bronze mounts'."""
_AROUND = 3
"""Signs that may stand around a word that is all of a text."""
_NEAR_PAPER = 6
_STICKS = "glued"
_PLACE = "place"
"""The sort of a part that is a place and cannot be taken off: 'inside', 'back'."""
_SURFACE = "surface"
_NO_LOSS = frozenset(("mark",))
"""What a piece may lack without a part being gone: 'lacking a mark'."""

Matches = dict[int, Found[Entry]]


def counts(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """Whether a term is one where it stands; gives `waiting` the part that makes it so."""
    entry = match.entry
    if _is_a_name(match, words):
        return False
    if entry.label == _STICKS and _is_of_paper(match, found, words):
        return False
    if not entry.needs or _is_all(match, words):
        return True
    return any(_NEEDS[need](match, found, waiting, seen, words) for need in sorted(entry.needs))


def _is_all(match: Found[Entry], words: Words) -> bool:
    """Whether a text is nothing but the word: 'Perfect' in a column of condition."""
    if len(words) > match.end - match.first + _AROUND:
        return False
    rest = (*words.folded[: match.first], *words.folded[match.end :])
    return not any(token[0].isalnum() for token in rest)


def _is_a_name(match: Found[Entry], words: Words) -> bool:
    """'The Broken Tower', the name of a master or an inn."""
    first, end = match.first, match.end
    if (
        first == 0
        or end >= len(words)
        or words.text[words.starts[first] - 1 : words.starts[first]] != " "
    ):
        return False
    capitals = all(words.text[words.starts[i]].isupper() for i in (first, end))
    return capitals and words.text[words.starts[first - 1] : words.ends[first - 1]] == "the"


def _is_of_paper(match: Found[Entry], found: Matches, words: Words) -> bool:
    """'A label is still stuck to the foot', 'a glued paper label'."""
    for index in range(match.first - 1, max(-1, match.first - 1 - _NEAR_PAPER), -1):
        if words.folded[index] in ".;\n":
            break
        if index in found and found[index].entry.role == "condition of paper":
            return True
    return any(
        index in found and found[index].entry.role == "condition of paper"
        for index in range(match.end, match.end + _MODIFIERS)
    )


def _part(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """'Rim ground', 'the rim has been ground', 'ground rim', 'Rim: ground'."""
    if waiting.parts and linked(found, words, waiting.part_end, match.first):
        return True
    after = part_after(found, words, match.end, articles=True)
    return after is not None or _said(match, found, waiting, seen, words)


def _said(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """As `_part`, but the part stands before: a 'twisted handle' or a 'loose ring' was made so."""
    if waiting.parts and linked(found, words, waiting.part_end, match.first):
        return True
    joined = any(
        (b := found.get(match.first - back)) is not None and b.end == match.first and _joins(b)
        for back in (1, 2, 3)
    )
    subject = waiting.heading or (waiting.subject if joined else [])
    if subject:
        waiting.parts, waiting.part_at, waiting.sort = list(subject), match.first, ""
        return True
    if "end" not in match.entry.needs and _part_at(found, match.end):
        return True
    return _shared(match, waiting, seen, words)


def _joins(match: Found[Entry]) -> bool:
    return match.entry.role in ("condition link", "condition break")


def _part_at(found: Matches, index: int) -> bool:
    """'Bleeding at the corners'."""
    place = found.get(index)
    if place is None or place.entry.role != "preposition":
        return False
    index = place.end
    while (one := found.get(index)) is not None and one.entry.role in ("article", "extent"):
        index = one.end
    return one is not None and one.entry.role == "part"


def _piece(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """As `_part`, of a part that can be taken off: not 'back later'."""
    at = part_after(found, words, match.end)
    if at:
        return found[at[0]].entry.sort != _PLACE and found[at[0]].entry.label not in _NO_LOSS
    return _part(match, found, waiting, seen, words) and waiting.sort != _PLACE


def _solid(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """As `_part`, of a part that is no surface: 'lacquer ground' is a colour."""
    return _part(match, found, waiting, seen, words) and waiting.sort != _SURFACE


def _shared(match: Found[Entry], waiting: Waiting, seen: list[Seen], words: Words) -> bool:
    """'Has been ground by 1 mm and polished': the part of the term before 'and'."""
    if not seen or match.first < 1 or words.folded[match.first - 1] not in _AND:
        return False
    before = seen[-1]
    if not before.parts or not match.first - 5 <= before.end < match.first:
        return False
    waiting.parts, waiting.part_at, waiting.part_end = list(before.parts), match.first, match.first
    return True


_AND = frozenset(("and", "&", "und", "et", "en", "e", "ed", "y", "then", "puis", "dann"))


def _end(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """As `_part`, or 'one spandrel lost': the end of a phrase that is its noun and nothing else."""
    after = part_after(found, words, match.end, articles=True)
    if after is not None:
        return found[after[0]].entry.label not in _NO_LOSS
    if _part(match, found, waiting, seen, words):
        return _NO_LOSS.isdisjoint(waiting.parts)
    if match.end < len(words) and words.folded[match.end] not in _ENDS:
        return False
    if words.text[words.starts[match.first]].isupper():
        return False
    first = match.first
    while first > 0 and words.folded[first - 1] not in _ENDS:
        first -= 1
        before = found.get(first)
        role = before.entry.role if before else ""
        if match.first - first > _LONGEST or role in _NO_NOUN or role in TERMS:
            return False
        if not words.folded[first].replace("'", "").isalpha():
            return False
    while first < match.first and (b := found.get(first)) and b.entry.role in ("article", "extent"):
        first = b.end
    if first >= match.first:
        return False
    waiting.parts = [words.between(first, match.first)]
    waiting.part_at, waiting.part_end, waiting.sort = first, match.first, ""
    return True


_NO_NOUN = frozenset(("condition link", "condition break", "condition none"))


def _owned(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """'Lacks cover', 'has lost an ear', 'without its stand'."""
    at = part_after(found, words, match.end, articles=True)
    return at is not None and found[at[0]].entry.label not in _NO_LOSS


def _extent(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """'Leaning slightly', 'a little sunk'."""
    after = found.get(match.end)
    return waiting.extent_end == match.first or (after is not None and after.entry.role == "extent")


def _fired(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """'Opened in the kiln', 'beim Brand hat er sich geneigt': a word of the firing is near."""
    for step, ends in ((-1, ".;\n"), (1, ".;,\n")):
        index = match.first
        while 0 <= index < len(words) and abs(index - match.first) <= _LINKED:
            if words.folded[index] in ends:
                break
            if index in found and found[index].entry.role == "word of the firing":
                return True
            index += step
    return False


def _alone(
    match: Found[Entry], found: Matches, waiting: Waiting, seen: list[Seen], words: Words
) -> bool:
    """', lined.': a phrase of its own, but for its extent."""
    first = waiting.extent_at if waiting.extent_end == match.first else match.first
    opened = first > 0 and words.folded[first - 1] in _ENDS
    return opened and (match.end >= len(words) or words.folded[match.end] in _ENDS)


_NEEDS = {
    "part": _part,
    "solid": _solid,
    "piece": _piece,
    "end": _end,
    "owned": _owned,
    "said": _said,
    "extent": _extent,
    "alone": _alone,
    "fired": _fired,
}


def linked(found: Matches, words: Words, first: int, end: int) -> bool:
    """Whether between a part and a state stand only words that join them."""
    if not 0 <= first <= end or end - first > _LINKED:
        return False
    index = first
    named = False
    following = found.get(end)
    stop = following.end if following else end
    at_end = stop >= len(words) or words.folded[stop] in _ENDS
    while index < end:
        match = found.get(index)
        role = match.entry.role if match else ""
        if match and role in ("preposition", "article", "extent", "part", "condition link"):
            named = role in ("preposition", "article")
            index = match.end
        elif match and role == "condition break" and words.folded[index] != "with":
            index = match.end
        elif named and match is None and words.folded[index].isalpha():
            named, index = False, index + 1
        elif words.folded[index][:2] in ("d'", "l'"):
            index += 1
        elif at_end and match is None and words.folded[index].isalpha():
            at_end, index = False, index + 1  # 'galon bleu moderne'
        else:
            return False
    return True


def part_after(
    found: Matches, words: Words, index: int, articles: bool = False
) -> tuple[int, int] | None:
    """Where the part stands that a state before it goes with: the last of 'bun feet'."""
    passed = 0
    at: tuple[int, int] | None = None
    while index < len(words) and passed <= _MODIFIERS:
        match = found.get(index)
        role = match.entry.role if match else ""
        if match and role == "part":
            at = (index, match.end)
            index = match.end
            continue
        passes = role == "extent" or (
            articles and (role == "article" or words.folded[index] == "a")
        )
        if at or (match and not passes):
            break
        if match is None:
            if not words.folded[index].replace("'", "").isalpha():
                break
            passed += 1
        index = match.end if match else index + 1
    return at
