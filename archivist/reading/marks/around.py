"""A word for a mark, and the mark words before and after it."""

from __future__ import annotations

import re

from archivist.model.marks import Legibility, MarkKind, MarkRelation, Script
from archivist.reading.dates import claimed_date
from archivist.reading.marks.content import (
    MOST_INITIALS,
    Content,
    content_after,
    is_initials,
    quoted_after,
)
from archivist.reading.marks.entries import (
    OF_A_MARK,
    PERIOD_WORDS,
    WRITTEN_WITH,
    Entry,
    Seen,
    characters_words,
)
from archivist.reading.tables import Tables
from archivist.reading.words import CJK, Found, Words, fillers

_CHARACTER = re.compile(rf"[{CJK}]")

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
        if match.entry.role in _WITHOUT_A_MARK:
            made = _without_a_word(words, found, number, lowest, end, tables)
            if made is not None:
                lowest = made.end
                seen.append(made)
            continue
        if match.entry.role != "mark" or _names_a_period(words, match):
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


def _names_a_period(words: Words, match: Found[Entry]) -> bool:
    """'Red anchor period': a time that is named after a mark."""
    following = words.folded[match.end : match.end + 1]
    return match.entry.label == MarkKind.SYMBOL and not PERIOD_WORDS.isdisjoint(following)


def _without_a_word(
    words: Words, found: list[Found[Entry]], number: int, lowest: int, end: int, tables: Tables
) -> Seen | None:
    """'Impressed WEDGE', 'stamped 1868', 'gemerkt met een klauw', 'two characters, "Da Ji"': a
    mark that no word calls one."""
    match = found[number]
    if match.entry.role == "counted character":
        return _counted(words, found, number, lowest, end, tables)
    marking = match.entry.role == "mark trigger" and match.entry.label == "undetermined"
    marking = marking or match.entry.label == "impressed"
    one = Seen(match.first, match.end)
    if match.entry.role == "mark said":
        one.kind = MarkKind.INSCRIPTION
        content = quoted_after(words, match.end, end, 0) or content_after(
            words, match.end, end, tables, names=False
        )
    elif marking or match.entry.label in _CUT or match.entry.label == "written":
        content = content_after(words, match.end, end, tables, names=False)
        if content is None and match.entry.label in _WRITTEN:
            content = quoted_after(words, match.end, end, 0)
        if content is not None and not marking and not _is_written(content):
            content = None
    elif match.entry.label in _WRITTEN:
        comma = words.folded[match.end : match.end + 1] == [","]
        content = quoted_after(words, match.end + comma, end, 0)
    else:
        content = None
        if is_initials(words, match.end, end):
            content = Content(words.between(match.end, match.end + 1), match.end + 1)
    if content is None and marking and _is_year(words, match.end, end):
        one.dated = one.characters = words.folded[match.end]
    elif content is None:
        return None
    gather(one, match, words, tables)
    if content is not None:
        _take_content(one, content, words, end)
    words_after(one, words, found, _next(found, number, one.end), tables)
    return one


def _counted(
    words: Words, found: list[Found[Entry]], number: int, lowest: int, end: int, tables: Tables
) -> Seen | None:
    """'Six characters in iron red', 'drei Buchstaben, J K W': characters counted and no 'mark'."""
    match = found[number]
    before = match.first - 1
    counted = before >= lowest and (
        (words.folded[before].isdigit() and len(words.folded[before]) < 3)
        or (
            number > 0
            and found[number - 1].entry.role == "number"
            and found[number - 1].end > before
        )
    )
    if not counted or any(
        f.entry.role == "mark"
        for f in found[number + 1 : number + 1 + _NEAR_WORDS]
        if not _BOUNDARY.intersection(words.folded[match.end : f.first])
    ):
        return None
    one = Seen(before, match.end)
    if number and found[number - 1].entry.role == "number":
        gather(one, found[number - 1], words, tables)
    gather(one, match, words, tables)
    words_after(one, words, found, number + 1, tables)
    at = one.end + (words.folded[one.end : one.end + 1] == [","])
    content = content_after(words, at, end, tables, names=False)
    if content is not None:
        _take_content(one, content, words, end)
    return one if one.characters or one.technique or one.colour or one.place else None


def _take_content(one: Seen, content: Content, words: Words, end: int) -> None:
    one.characters, one.end = content.words, max(content.end, one.end)
    if content.stop:
        one.stop = content.stop
    if _is_year(words, one.end, end):
        one.dated = words.folded[one.end]


def _is_written(content: Content) -> bool:
    """Whether content is quoted or in capitals: what is cut may also be a picture."""
    return bool(content.stop) or content.words.replace(" ", "").replace(".", "").isupper()


def _is_year(words: Words, index: int, end: int) -> bool:
    """A year that stands on the piece is left for the reader of dates, and is what is claimed."""
    return index < end and len(words.folded[index]) == 4 and words.folded[index].isdigit()


def _next(found: list[Found[Entry]], number: int, at: int) -> int:
    following = number + 1
    while following < len(found) and found[following].first < at:
        following += 1
    return following


_WITHOUT_A_MARK = ("mark technique", "mark trigger", "mark said", "counted character")
_CUT = ("incised",)
_WRITTEN = WRITTEN_WITH | {"written"}
_NEAR_WORDS = 5
_BOUNDARY = frozenset(",.;:")


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
    quoted = None if one.characters else quoted_after(words, one.end, end, _reach_of(one))
    if quoted is not None:
        _take_content(one, quoted, words, end)
    elif not one.claim and not one.characters and words.folded[one.end - 1] != "in":
        content = content_after(
            words,
            one.end,
            end,
            tables,
            names=one.kind is MarkKind.SIGNATURE or not _is_title_case(words, one.first, end),
            free=words.folded[one.end - 1] in _INSCRIBED,
        )
        if content is not None:
            _take_content(one, content, words, end)
        elif one.kind is MarkKind.WORKSHOP and _is_year(words, one.end, end):
            one.dated = words.folded[one.end]
    if one.characters:
        while following < len(found) and found[following].first < one.end:
            following += 1
        words_after(one, words, found, following, tables)


def _reach_of(one: Seen) -> int:
    """Words between a mark and what is quoted of it: 'the label, since fallen off, read ...'."""
    return _LABEL_REACH if one.kind in (MarkKind.LABEL, MarkKind.TAG) else _QUOTE_REACH


def _is_title_case(words: Words, first: int, end: int) -> bool:
    """'Kangxi Mark Blue and White Bowl': where every noun has a capital, none is a name."""
    letters = [
        i
        for i in range(max(0, first - _AROUND), min(end, first + _AROUND))
        if words.folded[i].isalpha() and len(words.folded[i]) > 3
    ]
    capitals = sum(words.text[words.starts[i]].isupper() for i in letters)
    return len(letters) > _FEW and capitals * 4 > len(letters) * 3


_QUOTE_REACH, _LABEL_REACH = 3, 9
_AROUND, _FEW = 8, 3
_INSCRIBED = frozenset(("inscribed", "lettered"))


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
        if match.first > at and not _only_marks(words, at, match.first, allowed=",()-&:"):
            break
        role = match.entry.role
        if role not in OF_A_MARK or role == "mark" or (role == "part" and one.place):
            break
        if "," in words.folded[at : match.first] and not _all_of_a_mark(words, found, index):
            break
        if role == "claim" and one.kind in _CLAIM_NOTHING:
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


_CLAIM_NOTHING = (MarkKind.SYMBOL, MarkKind.NUMBER, MarkKind.SIGNATURE)
"""Kinds of marks beside which a reign is the date of the piece: 'conch mark, Yongzheng'."""
_OF_THE_PIECE_TOO = frozenset(("mark technique", "mark colour", "part"))
"""Roles of words that, with a word such as 'rubbed' after them, tell of the piece's condition."""
_ENDS_OF_PHRASES = frozenset(",.;:()\n")


_COUNTED = ("column", "line", "row", "circle", "ring", "square", "cartouche")


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
    if word.isupper() and len(word) <= MOST_INITIALS:
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
