"""A word for a mark, and the mark words before and after it."""

from __future__ import annotations

import re

from archivist.model.marks import Legibility, MarkKind, MarkRelation, Script
from archivist.reading.dates import claimed_date
from archivist.reading.marks.entries import (
    OF_A_MARK,
    Entry,
    Seen,
    characters_words,
    shortened_names,
)
from archivist.reading.tables import Tables
from archivist.reading.words import CJK, Found, Words, fillers

_CHARACTER = re.compile(rf"[{CJK}]")

_QUOTED = re.compile(
    r"[\"“„«]([^\"”“»\n]{1,200})[\"”“»]|‘([^’\n]{1,200})’|(?<!\w)'([^'\n]{2,200})'(?!\w)"
)

_NAME_WORDS = 5

_QUOTE_REACH = 260
_SHOWN = (MarkKind.UNDETERMINED, MarkKind.SIGNATURE)


def marks_of(
    words: Words, found: list[Found[Entry]], first: int, end: int, tables: Tables
) -> list[Seen]:
    """The marks of one section: each from a word for a mark and the mark words around it."""
    seen: list[Seen] = []
    lowest = first
    for number, match in enumerate(found):
        if match.first < lowest:
            continue
        if match.entry.role in ("mark technique", "mark trigger"):
            if _is_initials(words, match.end, end):
                one = Seen(match.first, match.end + 1)
                gather(one, match, words, tables)
                one.characters = words.between(match.end, match.end + 1)
                words_after(one, words, found, number + 1, tables)
                lowest = one.end
                seen.append(one)
            continue
        if match.entry.role != "mark":
            continue
        one = Seen(match.first, match.end)
        gather(one, match, words, tables)
        _leftwards(one, words, found, number, lowest, tables)
        _rightwards(one, words, found, number, end, tables)
        if (
            one.kind is MarkKind.UNDETERMINED
            and not one.claim
            and one.relation in (MarkRelation.UNSTATED,)
        ):
            _misspelt_claim(one, words, lowest, tables)
        if one.kind in _SHOWN and not one.claim and not one.characters:
            _what_it_shows(one, words, found, number, lowest, tables)
        lowest = one.end
        seen.append(one)
    return seen


def _leftwards(
    one: Seen, words: Words, found: list[Found[Entry]], number: int, lowest: int, tables: Tables
) -> None:
    """Mark words directly before: 'an apocryphal six-character Chenghua ... mark'."""
    at = one.first
    for index in range(number - 1, -1, -1):
        match = found[index]
        if match.end < at and not _only_marks(words, match.end, at, allowed="-("):
            break
        if match.first < lowest or match.entry.role not in OF_A_MARK:
            break
        if match.entry.role in ("mark", "part"):
            break
        at = match.first
        if match.entry.role != "mark glue":
            one.first = at
            gather(one, match, words, tables)
    before = one.first - 1
    if before >= lowest and words.folded[one.first] in characters_words(tables):
        one.first -= words.folded[before].isdigit()
    while one.first > lowest and _CHARACTER.match(words.folded[one.first - 1]):
        one.first -= 1


def _rightwards(
    one: Seen, words: Words, found: list[Found[Entry]], number: int, end: int, tables: Tables
) -> None:
    """What follows: '... in two columns', then what is quoted or signed, then '... on the base'."""
    following = words_after(one, words, found, number + 1, tables)
    _characters_after(one, words, found, number + 1, end)
    said = words.ends[one.end - 1]
    after = words.text[said : min(words.ends[end - 1], said + _QUOTE_REACH)]
    quoted = _QUOTED.search(after)
    if quoted and len(words_before(after[: quoted.start()])) <= 3:
        one.characters = quoted.group(1) or quoted.group(2) or quoted.group(3)
        one.end = words.at(words.ends[one.end - 1] + quoted.end())
        one.stop = words.ends[one.end - 1]
    elif not one.claim:
        if one.kind is MarkKind.SIGNATURE or words.folded[one.end - 1] == "of":
            _signed_name(one, words, end, tables)
        else:
            _initials(one, words, end)
    if one.characters:
        while following < len(found) and found[following].first < one.end:
            following += 1
        words_after(one, words, found, following, tables)


def _characters_after(
    one: Seen, words: Words, found: list[Found[Entry]], index: int, end: int
) -> None:
    """'Mark 大明成化年製', 'mark of ...': characters that follow are the mark."""
    at = one.end
    while at < end:
        while index < len(found) and found[index].first < at:
            index += 1
        glue = index < len(found) and found[index].first == at
        if glue and found[index].entry.role == "mark glue":
            at = found[index].end
        elif words.folded[at] == ":":
            at += 1
        else:
            break
    stop = at
    while stop < end and _CHARACTER.match(words.folded[stop]):
        stop += 1
    if stop > at + 1 and not one.characters:
        one.characters, one.end = words.between(at, stop), stop


def words_after(
    one: Seen, words: Words, found: list[Found[Entry]], index: int, tables: Tables
) -> int:
    """Take the mark words from `index` on that follow directly; where they stop."""
    at = one.end
    while index < len(found):
        match = found[index]
        if match.first > at and not _only_marks(words, at, match.first, allowed=",()-&"):
            break
        role = match.entry.role
        if role not in OF_A_MARK or role == "mark" or (role == "part" and one.place):
            break
        if "," in words.folded[at : match.first] and not _all_of_a_mark(words, found, index):
            break
        if role == "claim" and one.claim and "," in words.folded[one.end : match.first]:
            break
        at = match.end
        if role != "mark glue" or words.folded[match.first].startswith(_COUNTED):
            one.end = at
            gather(one, match, words, tables)
        index += 1
    return index


def _all_of_a_mark(words: Words, found: list[Found[Entry]], index: int) -> bool:
    """Whether all words from `found[index]` to the next comma speak of a mark.

    '..., drilled through' may; '..., drilled for a lamp', '..., base rubbed' and '..., gilt
    rubbed' speak of the piece.
    """
    at = found[index].first
    before = ""
    for match in found[index:]:
        if match.first > at and not _only_marks(words, at, match.first, allowed="()-&"):
            return "," in words.folded[at : match.first] and words.folded[at] == ","
        role = match.entry.role
        if role not in OF_A_MARK or role == "mark":
            return False
        if role == "legibility" and before in _OF_THE_PIECE_TOO:
            return False
        before = role
        at = match.end
    return at >= len(words) or words.folded[at] in _ENDS_OF_PHRASES


_OF_THE_PIECE_TOO = frozenset(("mark technique", "mark colour", "part"))
"""Roles of words that, with a word such as 'rubbed' after them, tell of the piece's condition."""
_ENDS_OF_PHRASES = frozenset(",.;:()\n")


def _signed_name(one: Seen, words: Words, end: int, tables: Tables) -> None:
    """'Signed Ellis Marr', 'signed Wm. Marr & Son': capitals that follow directly are the name."""
    stop, count = one.end, 0
    while count < _NAME_WORDS and _is_capital(words, stop, end):
        count += 1
        stop += 1
        joined = words.folded[stop : stop + 1] == ["&"] or _is_shortened(words, stop, tables)
        if joined and _is_capital(words, stop + 1, end):
            stop += 1
    if count:
        one.characters = words.between(one.end, stop)
        one.end = stop


def _is_capital(words: Words, index: int, end: int) -> bool:
    """Whether a word with a capital stands at token `index`."""
    return (
        index < end and words.folded[index].isalpha() and words.text[words.starts[index]].isupper()
    )


def _is_shortened(words: Words, index: int, tables: Tables) -> bool:
    """Whether the full stop at token `index` shortens the name before it: 'J.', 'Thos.'."""
    if words.folded[index : index + 1] != ["."] or words.starts[index] != words.ends[index - 1]:
        return False
    before = words.folded[index - 1]
    return len(before) == 1 or before in shortened_names(tables)


def _initials(one: Seen, words: Words, end: int) -> None:
    """'Marked AK', "maker's mark WC": a few capitals that follow directly are the mark."""
    if _is_initials(words, one.end, end):
        one.characters = words.between(one.end, one.end + 1)
        one.end += 1


def _is_initials(words: Words, index: int, end: int) -> bool:
    """Whether one to four capitals stand at token `index`, of which one alone is no word."""
    if index >= end:
        return False
    initials = words.between(index, index + 1)
    return initials.isalpha() and initials.isupper() and 1 < len(initials) <= _MOST_INITIALS


_MOST_INITIALS = 4
_COUNTED = ("column", "line", "row", "circle", "ring", "square", "cartouche")


def words_before(text: str) -> list[str]:
    """The words of a short stretch of text."""
    return re.findall(r"\w+", text)


def _only_marks(words: Words, first: int, end: int, allowed: str) -> bool:
    """Whether nothing but signs of `allowed` and a number of characters stands between."""
    return all(
        words.folded[i] in allowed or (words.folded[i].isdigit() and len(words.folded[i]) < 3)
        for i in range(first, end)
    )


def gather(one: Seen, match: Found[Entry], words: Words, tables: Tables) -> None:
    """Let one word say what it says of the mark; what was said nearer to it stands."""
    entry = match.entry
    if entry.role == "mark" and one.kind is MarkKind.UNDETERMINED:
        one.kind = MarkKind(entry.label)
    if entry.script and one.script is Script.UNSTATED:
        one.script = Script(entry.script)
    one.technique = one.technique or entry.technique
    one.colour = one.colour or entry.colour
    if entry.role == "legibility" and one.legibility is Legibility.UNSTATED:
        one.legibility = Legibility(entry.label)
    elif entry.role == "mark relation" and one.relation is MarkRelation.UNSTATED:
        one.relation = MarkRelation(entry.label)
    elif entry.role in ("part", "mark place"):
        one.place = one.place or entry.label
    elif entry.role == "claim":
        one.claim.append(words.between(match.first, match.end))
    elif entry.role == "hedge":
        one.certainty = entry.certainty
    elif entry.role == "number":
        _count(one, int(entry.label), words.folded[match.end : match.end + 2], tables)
    if entry.role in ("mark glue", "number", "counted character"):
        before = words.folded[match.first - 1] if match.first else ""
        if before.isdigit() and len(before) < 3:
            _count(one, int(before), words.folded[match.first : match.first + 1], tables)


def _count(one: Seen, number: int, following: list[str], tables: Tables) -> None:
    for word in following:
        if word in characters_words(tables):
            one.count = one.count or number
            return
        if word.startswith(("column", "line", "row")):
            one.columns = one.columns or number
            return


def _what_it_shows(
    one: Seen, words: Words, found: list[Found[Entry]], number: int, lowest: int, tables: Tables
) -> None:
    """'Sceptre mark', 'VOC monogram': the word before is of the mark, and capitals are the mark."""
    before = one.first - 1
    if before < lowest or (number and found[number - 1].end > before):
        return
    word = words.between(before, before + 1)
    if not word.isalpha() or word.lower() in fillers(tables):
        return
    if words.folded[one.first].endswith("ed"):
        return  # 'vase marked', 'bowl signed'
    one.first = before
    if word.isupper() and len(word) <= _MOST_INITIALS:
        one.characters = word


def _misspelt_claim(one: Seen, words: Words, lowest: int, tables: Tables) -> None:
    """A word before 'mark' that is no table word may still be a reign, misheard."""
    before = one.first - 1
    if before < lowest or not words.text[words.starts[before]].isupper():
        return
    word = words.between(before, before + 1)
    if len(word) > 4 and claimed_date(word, tables) is not None:
        one.first = before
        one.claim.append(word)
