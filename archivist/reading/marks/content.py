"""What stands on the piece: the words, letters, figures or sign that follow the word for a mark.

'impressed mark WEDGE & CO', 'signed Ellis Marr London fecit', 'date letter Q', 'the initials
J K W', 'stamped with a crowned C', 'gemerkt met een klauw'.
"""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.reading.marks.entries import shortened_names
from archivist.reading.tables import Tables
from archivist.reading.words import Words, fillers, fold

_QUOTED = re.compile(
    r"[\"“„«]\s?([^\"”“»\n]{1,200})[\"”“»]|‘([^’\n]{1,200})’|(?<!\w)'((?:[^'\n]|'(?=\w)){2,200}?)'(?!\w)"
)
_REACH = 260
_MOST_LEADS = 6
_NAME_WORDS = 7
MOST_INITIALS = 4
_BOUNDARIES = frozenset(",.;:()\n")
_OPENS = frozenset("\"“„«‘'")
_TRADE_WORDS = ("form", "material", "technique", "glaze", "ware", "colour", "decoration", "part")
"""Kinds of words that describe a piece: in a caption of capitals they are no name on it."""


class Content(NamedTuple):
    """What is on the piece, the token after it, and the character where a quotation ends."""

    words: str
    end: int
    stop: int = 0


class Marking(NamedTuple):
    """Words of the tables that lead to, join, close or are what stands on a piece."""

    leads: frozenset[str]
    numbers: frozenset[str]
    letters: frozenset[str]
    particles: frozenset[str]
    makers: frozenset[str]
    crowned: frozenset[str]
    symbols: frozenset[str]
    trade: frozenset[str]


def quoted_after(words: Words, index: int, end: int, most: int = 3) -> Content | None:
    """What is quoted soon after token `index`, past `most` words."""
    if index >= end:
        return None
    said = words.starts[index]
    after = words.text[said : min(words.ends[end - 1] + 1, said + _REACH)]
    quoted = _QUOTED.search(after)
    if quoted is None or len(re.findall(r"\w+", after[: quoted.start()])) > most:
        return None
    stop = said + quoted.end()
    said_words = quoted.group(1) or quoted.group(2) or quoted.group(3)
    return Content(said_words.strip(), min(words.at(stop), end), stop)


def content_after(
    words: Words, index: int, end: int, tables: Tables, *, names: bool, free: bool = False
) -> Content | None:
    """What stands at token `index`, past 'with', 'the word', 'reading' and the like.

    `names`: words with a capital are a name on the piece, and not only words all in capitals.
    `free`: a name may be a text ('A Trifle from Ayle'), up to the next sign.
    """
    marking = marking_of(tables)
    at, numbered, lettered = _leads(words, index, end, marking)
    if at >= end:
        return None
    if words.folded[at] in _OPENS and (quoted := quoted_after(words, at, end, 0)) is not None:
        return _crowned(words, quoted, end, marking)
    if (number := _number(words, at, numbered)) is not None:
        return number
    if (sign := _symbol(words, at, end, marking)) is not None:
        return sign
    if free and _is_capital(words, index, end):
        at = stop = index
        while stop < end and words.folded[stop] not in _BOUNDARIES:
            stop += 1
        return Content(words.between(at, stop), stop)
    stop = _name(words, at, end, tables, names or lettered)
    if stop > at and not _is_common(words, at, stop, marking, tables):
        return Content(words.between(at, stop), stop)
    return None


def _leads(words: Words, index: int, end: int, marking: Marking) -> tuple[int, bool, bool]:
    """Past words that lead to what is written: where it begins, and what they say it is."""
    numbered = lettered = False
    at = index
    while at < end and at - index < _MOST_LEADS:
        word = words.folded[at]
        if word in marking.numbers:
            numbered = True
        elif word in marking.letters:
            lettered = True
        elif word not in marking.leads:
            break
        at += 1
        if numbered and at < end and words.folded[at] == ".":
            at += 1
    if at < end and words.text[words.starts[at]].isupper() and words.folded[at] in marking.leads:
        return at, numbered, lettered
    return at, numbered, lettered


def _number(words: Words, at: int, numbered: bool) -> Content | None:
    """'numbered 318', 'no. 12', 'Jahresstempel 803'; a year is left for the reader of dates."""
    word = words.folded[at]
    if not word.isdigit() or (len(word) == 4 and not numbered):
        return None
    return Content(word, at + 1) if numbered or len(word) < 4 else None


def _symbol(words: Words, at: int, end: int, marking: Marking) -> Content | None:
    """'a crowned C', 'C couronné', 'een klauw', 'a gold anchor'."""
    stop = at
    if words.folded[at] in marking.crowned and at + 1 < end:
        initial = words.between(at + 1, at + 2)
        if initial.isupper():
            return Content(words.between(at, at + 2), at + 2)
        stop = at + 1
    if words.folded[stop : stop + 1] and words.folded[stop] in marking.symbols and stop < end:
        return Content(words.between(at, stop + 1), stop + 1)
    return None


def _crowned(words: Words, content: Content, end: int, marking: Marking) -> Content:
    """'« C » couronné': the crown is of the sign."""
    at = content.end
    if at < end and words.folded[at] in marking.crowned:
        return Content(content.words, at + 1, 0)
    return content


def _name(words: Words, index: int, end: int, tables: Tables, names: bool) -> int:
    """Where a name in capitals that begins at `index` ends: 'Thos. Wyre & Son', 'J K W'."""
    marking = marking_of(tables)
    stop = count = 0
    stop = index
    while count < _NAME_WORDS and _is_of_the_name(words, stop, end, names):
        if count and words.folded[stop] in marking.trade:
            break
        count += 1
        stop += 1
        if _is_shortened(words, stop, tables):
            stop += 1
            names = True
            if stop < end and not _is_of_the_name(words, stop, end, names):
                break
        joint = stop
        while joint < end and joint - stop < 2 and words.folded[joint] in marking.particles:
            joint += 1
        firm = "&" in words.folded[stop:joint]
        if joint > stop and _is_of_the_name(words, joint, end, names or firm):
            stop = joint
            names = names or firm
    if stop == index:
        return index
    return _closed(words, stop, end, marking)


def _closed(words: Words, stop: int, end: int, marking: Marking) -> int:
    """Past what says that the name made it: 'ga', 'fecit', ', Londini fecit'."""
    if stop < end and words.folded[stop] in marking.makers:
        stop += 1
        return stop + (words.folded[stop : stop + 1] == [".."])
    if stop + 2 < end and words.folded[stop] == "," and words.folded[stop + 2] in marking.makers:
        return stop + 3
    return stop


def _is_of_the_name(words: Words, index: int, end: int, names: bool) -> bool:
    if not _is_capital(words, index, end):
        return False
    raw = words.between(index, index + 1)
    initial = words.folded[index + 1 : index + 2] == ["."] and _is_capital(words, index + 2, end)
    return names or (raw.isupper() and (len(raw) > 1 or initial))


def _is_capital(words: Words, index: int, end: int) -> bool:
    """Whether a word with a capital stands at token `index`."""
    return (
        index < end
        and words.text[words.starts[index]].isupper()
        and words.folded[index].replace("'", "").isalpha()
    )


def _is_shortened(words: Words, index: int, tables: Tables) -> bool:
    """Whether the full stop at token `index` shortens the name before it: 'J.', 'Thos.'."""
    if words.folded[index : index + 1] != ["."] or words.starts[index] != words.ends[index - 1]:
        return False
    before = words.folded[index - 1]
    return len(before) == 1 or before in shortened_names(tables)


def _is_common(words: Words, at: int, stop: int, marking: Marking, tables: Tables) -> bool:
    """Whether what begins with a capital is no name: a word of the trade, or the first of many
    capitals of a heading."""
    word = words.folded[at]
    if word in marking.trade or word in fillers(tables):
        return True
    raw = words.between(at, stop)
    return raw.isupper() and len(raw) > MOST_INITIALS and words.text.isupper()


def is_initials(words: Words, index: int, end: int) -> bool:
    """Whether two to four capitals stand at token `index`; one alone is more often a word."""
    if index >= end:
        return False
    initials = words.between(index, index + 1)
    return initials.isalpha() and initials.isupper() and 1 < len(initials) <= MOST_INITIALS


@functools.lru_cache(maxsize=8)
def marking_of(tables: Tables) -> Marking:
    """The words around what stands on a piece."""

    def of(kind: str) -> frozenset[str]:
        return frozenset(fold(name) for row in tables.terms(kind) for name in row.variants)

    trade = {
        fold(name)
        for row in tables.terms(*_TRADE_WORDS)
        for name in row.names
        if " " not in name and "-" not in name
    }
    return Marking(
        of("mark lead"),
        of("mark number"),
        of("mark letter"),
        of("name particle"),
        of("mark maker"),
        of("mark crowned"),
        of("mark sign"),
        frozenset(trade) - of("mark sign"),
    )
