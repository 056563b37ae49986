"""A text as what matters for sizes: numbers, units, dimensions, parts and the words around them."""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from archivist.model.base import Certainty
from archivist.model.measurements import Dimension, Unit
from archivist.reading.measurements.numbers import FRACTIONS, NUMBER, Number, parse_number
from archivist.reading.measurements.spelled import SpelledSizes, spelled_sizes
from archivist.reading.tables import Tables
from archivist.reading.words import fold

_WORD_ROLES = (
    "dimension",
    "either dimension",
    "order",
    "whole",
    "measured part",
    "approximate",
    "basis",
    "which",
    "includes",
    "excludes",
    "times",
    "range",
    "joins",
    "between",
)
_ORDER_LETTERS = {
    "h": Dimension.HEIGHT,
    "w": Dimension.WIDTH,
    "d": Dimension.DEPTH,
    "l": Dimension.LENGTH,
    "diam": Dimension.DIAMETER,
    "ø": Dimension.DIAMETER,
}
_TOKEN = re.compile(
    rf"(?P<number>{NUMBER})|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)?)|(?P<line>\n)|(?P<mark>[^\s])"
)
_SHORT_UNIT = 3
_LABEL_REACH = 24
"""Characters between the word for a dimension and its number: 'H. incl. cover 10.8'."""
_INCH_MARKS = frozenset('"”″＂')
_FOOT_MARKS = frozenset("'’′")


class Item(NamedTuple):
    """One thing in the text: its `role`, what it stands for, and where it is.

    `weak` is a unit that needs company to be one ('in', 'm', 'feet'); `style` is 'after' for a
    dimension that can only follow its size ('high').
    """

    role: str
    value: object
    start: int
    end: int
    weak: bool = False
    style: str = ""


class _Phrase(NamedTuple):
    words: tuple[str, ...]
    role: str
    value: object
    weak: bool
    style: str
    dotted: bool
    lower: bool


class MeasurementWords(NamedTuple):
    """The table's words by their first word, longest first, and the numbers among them."""

    phrases: dict[str, list[_Phrase]]
    figures: re.Pattern[str]
    spelled: re.Pattern[str]
    roots: tuple[str, ...]
    in_words: SpelledSizes
    labelled: re.Pattern[str]
    pointed: re.Pattern[str]
    compared: frozenset[str]
    troy: frozenset[str]

    def sizes(self, text: str) -> list[tuple[int, int]]:
        """Where `text` may state sizes: figures beside a unit, or number words beside one.

        Quick, and wide rather than narrow: it only says where to look.
        """
        found = [m.span() for m in self.figures.finditer(text)]
        lowered = text.casefold()
        if any(root in lowered for root in self.roots):
            found.extend(m.span() for m in self.spelled.finditer(text))
        found.extend(m.span() for m in self.labelled.finditer(text))
        found.extend(m.span() for m in self.pointed.finditer(lowered))
        found.sort()
        return found


def order_of(letters: str) -> tuple[Dimension, ...]:
    """The dimensions that an order of letters stands for: 'HxWxD', 'hwd', 'H x W'.

    Letters that stand for no dimension are passed over.
    """
    found = re.findall(r"diam|[hwdlø]", letters.lower())
    return tuple(_ORDER_LETTERS[letter] for letter in found)


@functools.lru_cache(maxsize=8)
def measurement_words(tables: Tables) -> MeasurementWords:
    """What the tables say of units, dimensions and the words around them."""
    phrases: dict[str, list[_Phrase]] = {}
    units: list[str] = []
    numbers: list[str] = []
    for row in tables.terms("unit", "number word", *_WORD_ROLES, "hedge"):
        weak = set(row.more.get("weak", "").split("|"))
        for name in row.names:
            value: object = row.label
            if row.kind == "unit":
                value = Unit(row.label)
                units.append(name)
            elif row.kind == "dimension":
                value = Dimension(row.label)
            elif row.kind == "order":
                value = order_of(name)
            elif row.kind == "hedge":
                value = Certainty(row.more["certainty"])
            elif row.kind == "number word":
                value = row.more["value"]
                numbers.append(name)
            tokens = [m.group() for m in _TOKEN.finditer(name)]
            dotted = len(tokens) > 1 and tokens[-1] == "."
            while len(tokens) > 1 and tokens[-1] == ".":
                tokens.pop()
            folded = tuple(fold(t) for t in tokens)
            short = len(name) == 1 and name.isascii() and name.islower()
            lower = short and row.kind in ("unit", "approximate", "range")
            phrases.setdefault(folded[0], []).append(
                _Phrase(
                    folded, row.kind, value, name in weak, row.more.get("style", ""), dotted, lower
                )
            )
    for found in phrases.values():
        found.sort(key=lambda p: -len(p.words))
    longest = sorted({re.escape(u.rstrip(".")) for u in units}, key=len, reverse=True)
    words = sorted((re.escape(n) for n in numbers), key=len, reverse=True)
    unit = rf"(?:(?:{'|'.join(longest)})(?![^\W\d_])|[\"'”″’′])"
    gap = r"[^\w\n]{0,4}(?:and\s+a\s+half\s+|[^\W\d]{1,8}[^\w\n]{1,4})?"
    figures = re.compile(rf"[\d{FRACTIONS}]{gap}{unit}", re.IGNORECASE)
    full = "|".join(u for u in longest if len(u) > _SHORT_UNIT)
    words.append(r"[^\W\d_]{3,}")
    spelled = re.compile(
        rf"\b(?:{'|'.join(words)})[^\w\n]{{1,3}}(?:and\s+a\s+half\s+)?(?:{full})(?![^\W\d_])",
        re.IGNORECASE,
    )
    nouns = sorted(
        {
            re.escape(n.rstrip("."))
            for row in tables.terms("dimension")
            for n in row.names
            if row.more.get("style") == "noun"
        },
        key=len,
        reverse=True,
    )
    labelled = re.compile(
        rf"(?<![^\W_])(?:{'|'.join(nouns)})(?![^\W\d_])[^\d\n,;()]{{0,{_LABEL_REACH}}}\d+[.,]\d"
        rf"|(?<![^\W_])(?:[cm]m|kg|gr?)\.?\s\d",
        re.IGNORECASE,
    )
    in_words = spelled_sizes(tables)
    points = "|".join(sorted(in_words.numerals.points))
    long_units = sorted({u.casefold() for u in units if len(u) > 3}, key=len)
    roots: list[str] = []
    for name in long_units:
        if not any(root in name for root in roots):
            roots.append(name)
    return MeasurementWords(
        phrases,
        figures,
        spelled,
        tuple(roots),
        in_words,
        labelled,
        re.compile(rf"[^\W\d_]\s+(?:{points})\s+[^\W\d_]"),
        frozenset(fold(n) for row in tables.terms("compared size") for n in row.variants),
        frozenset(fold(n) for row in tables.terms("smaller troy weight") for n in row.variants),
    )


def items_of(text: str, words: MeasurementWords, start: int = 0) -> list[Item]:
    """`text` from `start` on as items; everything in it is in one of them, white space apart."""
    raw = [(m.lastgroup or "", m.group(), *m.span()) for m in _TOKEN.finditer(text, start)]
    folded = [fold(word) for _, word, _, _ in raw]
    items: list[Item] = []
    quotes = 0
    index = 0
    while index < len(raw):
        kind, word, start, end = raw[index]
        if kind == "number":
            in_word = bool(items) and items[-1].role == "word" and items[-1].end == start
            number = None if in_word else parse_number(word)
            items.append(Item("number" if number else "word", number, start, end))
        elif kind == "line":
            items.append(Item("line", None, start, end))
        elif word in _INCH_MARKS or word in _FOOT_MARKS:
            after_number = bool(items) and items[-1].role == "number" and items[-1].end == start
            doubled = word in _FOOT_MARKS and text[end : end + 1] == word
            inch = word in _INCH_MARKS or doubled
            if after_number and (quotes % 2 == 0 or word not in _INCH_MARKS):
                stop = end + doubled
                items.append(Item("unit", Unit.INCH if inch else Unit.FOOT, start, stop, not inch))
                index += doubled
            elif word in _INCH_MARKS and items and items[-1].role == "unit":
                items[-1] = items[-1]._replace(end=end)
            else:
                quotes += word in _INCH_MARKS
                items.append(Item("mark", word, start, end))
        elif kind == "word" and (said := words.in_words.at(raw, index)) is not None:
            number, after = said
            style = folded[index]
            items.append(Item("number word", number, start, raw[after - 1][3], style=style))
            index = after
            continue
        elif folded[index] in words.phrases:
            index = _phrase(index, raw, folded, text, words, items)
            continue
        else:
            items.append(Item("word" if kind == "word" else "mark", word, start, end))
        index += 1
    return items


def _phrase(
    index: int,
    raw: list[tuple[str, str, int, int]],
    folded: list[str],
    text: str,
    words: MeasurementWords,
    items: list[Item],
) -> int:
    """Append the longest phrase at `index`, else the bare token; return where to go on."""
    kind, word, start, end = raw[index]
    for phrase in words.phrases[folded[index]]:
        length = len(phrase.words)
        if length > 1 and tuple(folded[index : index + length]) != phrase.words:
            continue
        if phrase.lower and not word.islower():
            continue
        after = index + length
        end = raw[after - 1][3]
        dot = after < len(raw) and raw[after][1] == "." and raw[after][2] == end
        if phrase.dotted and not dot and not _stands_without_dot(phrase, word):
            continue
        role = phrase.role
        if length == 1 and _is_list_letter(text, start, end):
            continue
        takes_dot = dot and (role in ("unit", "either dimension") or phrase.dotted)
        takes_dot = takes_dot or (dot and role == "dimension" and len(word) <= 4)
        weak = phrase.weak and not takes_dot
        if role == "number word":
            number = parse_number(str(phrase.value))
            items.append(Item("number word", number, start, end, style=folded[index]))
            return after
        if takes_dot:
            end += 1
            after += 1
            while role == "unit" and text[end : end + 1] == ".":
                end += 1
                after += 1
        items.append(Item(role, phrase.value, start, end, weak, phrase.style))
        return after
    items.append(Item("word" if kind == "word" else "mark", word, start, end))
    return index + 1


def _is_list_letter(text: str, start: int, end: int) -> bool:
    """Whether a letter only counts parts, as in 'D) glove: ...' or 'D-E) stockings'."""
    if end - start > 1 or text[end : end + 1] not in (")", "-"):
        return False
    line = text.rfind("\n", 0, start) + 1
    if text.rfind("(", line, start) > text.rfind(")", line, start):
        return False
    before = text[line:start].rstrip()
    return text[end] == ")" or not before


def _stands_without_dot(phrase: _Phrase, word: str) -> bool:
    """Whether an abbreviation is known without its point: all but those that are words too."""
    return phrase.role == "unit" and len(word) > 1


def number_of(item: Item) -> Number:
    """The number an item of role 'number' or 'number word' holds."""
    assert isinstance(item.value, Number)
    return item.value
