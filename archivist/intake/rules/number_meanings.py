"""What a number in a name or caption is, where it is no stock number: a camera's folder, a price,
a count, a year, a page or lot, a size, a telephone's own name for a picture."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from archivist.reading.tables import Tables


@dataclass(frozen=True)
class Meaning:
    """Characters of a text that are a number of another kind, and which kind."""

    start: int
    end: int
    what: str


CAMERA_FOLDER, DAY, YEAR = "camera's folder", "day", "year"
PRICE, SIZE, TELEPHONE, MACHINE = "price", "size", "telephone", "machine"

_RUN = re.compile(r"\d+|[^\W\d_]+")

_BESIDE = 3
"""Characters that may stand between a number and the word that explains it."""

_LETTER = r"[^\W\d_]"
_NUMBER = r"\d{1,3}(?:[.,' ]\d{3})+(?!\d)|\d+"
_SIGNS = "€£$¥₩₤"

_SHAPES: tuple[tuple[str, re.Pattern[str]], ...] = (
    # DCF (JEITA CP-3461B, 3.2.1): 100 to 999 and five free characters, A to Z, 0 to 9 and '_'.
    (CAMERA_FOLDER, re.compile(r"(?<![^\W_])[1-9]\d\d(?=\w{0,4}[a-z_])[a-z0-9_]{5}(?![^\W_])")),
    # The same cut short or with a count: '100_0417', '102___04'.
    (CAMERA_FOLDER, re.compile(r"(?<![^\W_])[1-9]\d\d_+\d{2,4}(?![^\W_])")),
    # What telephones and messengers call what was sent (common practice, no source).
    (MACHINE, re.compile(r"(?<![^\W_])(?:img|vid|aud|ptt)[-_ ]\d{8}[-_ ]wa\d{3,}(?!\d)")),
    (MACHINE, re.compile(r"(?<![^\W_])(?:fb_img|received|signal|telegram|viber|snapchat|inshot|"
                         r"mms|photo|image|screenshot|pxl)[-_ ]\d{4,}[\d_. -]*")),
    # Letters and figures more than once by turns ('e141e5'): what machines call things.
    (MACHINE, re.compile(
        rf"(?=[^\W_]*\d{_LETTER}+\d|[^\W_]*{_LETTER}\d+{_LETTER}\d)[^\W_]{{5,}}")),
    (MACHINE, re.compile(r"(?<![^\W_])\d{7,}(?![^\W_])")),
    (TELEPHONE, re.compile(r"\+\d[\d ()/.-]{6,}\d|(?<![^\W_])0\d{2,4}[ /-]\d{5,}(?!\d)"
                           r"|(?<![^\W_])0\d{2,4}/[\d -]{4,}\d|\(0\d+\)[\d /-]{4,}")),
    (DAY, re.compile(r"(?<!\d)(?:19|20)\d{6}[-_. t]+(?:[01]\d|2[0-3])[0-5]\d(?:[0-5]\d)?\d*")),
    (DAY, re.compile(r"(?<!\d)(?:18|19|20)\d\d[-_.](?:0?[1-9]|1[0-2])"
                     r"(?:[-_.](?:0?[1-9]|[12]\d|3[01]))?(?!\d)")),
    (DAY, re.compile(r"(?<!\d)(?:0?[1-9]|[12]\d|3[01])[-_./](?:0?[1-9]|1[0-2])"
                     r"[-_./](?:(?:18|19|20)\d\d|\d\d)(?!\d)")),
    (DAY, re.compile(r"(?<!\d)(?:0?[1-9]|1[0-2])[-_./](?:19|20)\d\d(?!\d)")),
    (DAY, re.compile(r"(?<!\d)(?:19|20)\d\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?!\d)")),
    (PRICE, re.compile(rf"[{_SIGNS}]\s*(?:{_NUMBER})|(?:{_NUMBER})\s*(?:k\s*)?[{_SIGNS}]")),
    (PRICE, re.compile(r"(?<!\d)\d[\d.,' ]*(?:[.,][-\u2013\u2014]{1,2})(?![^\W_])")),
    (PRICE, re.compile(r"(?<![\w.])\d{1,3}[.,']\d{3}(?![\w])|(?<![\w.])\d+[.,]\d\d(?!\w)")),
    (SIZE, re.compile(r"\d+(?:[.,]\d+)?\s*[x×]\s*\d+(?:\s*[x×]\s*\d+)?")),
    (SIZE, re.compile(r"\d+\s*(?:[%°\"″]|'')")),
)  # fmt: skip


OF_MACHINES = frozenset({CAMERA_FOLDER, MACHINE, TELEPHONE})
"""Kinds of which letters before the number are a part, were they the dealer's own letters too."""


@functools.lru_cache(maxsize=1 << 15)
def number_meanings(text: str, tables: Tables) -> tuple[Meaning, ...]:
    """The numbers in `text` that are something else than a stock number, in their order."""
    plain = _plain(text)
    if not any(character.isdigit() for character in plain):
        return ()
    found = [
        Meaning(match.start(), match.end(), what)
        for what, shape in _SHAPES
        for match in shape.finditer(plain)
    ]
    found.extend(_worded(plain, tables))
    return tuple(sorted(found, key=lambda m: (m.start, m.end)))


def without_other_numbers(text: str, tables: Tables) -> str:
    """`text` of the same length, blanks where numbers of other kinds stand."""
    plain = list(unicodedata.normalize("NFKC", text))
    for meaning in number_meanings(text, tables):
        for place in range(meaning.start, min(meaning.end, len(plain))):
            plain[place] = " "
    return "".join(plain)


_NEVER_OF_THE_MAKING = OF_MACHINES | {PRICE, "lot"}
_SELDOM_OF_THE_MAKING = frozenset({"count", "page", "place"})
"""Kinds by words that are also those of pieces: 'Delft plate 1750' has no page."""

_YEARLIKE = re.compile(r"1\d{3}|20\d\d")


def not_of_the_making(text: str, tables: Tables) -> list[tuple[int, int]]:
    """Where figures stand that tell nothing of a piece itself: prices, pages and lots, counts,
    places, what machines call things, and 'sold 1890': words for what became of it, with a year.
    """
    found = [
        (m.start, m.end)
        for m in number_meanings(text, tables)
        if m.what in _NEVER_OF_THE_MAKING
        or (m.what in _SELDOM_OF_THE_MAKING and not _YEARLIKE.fullmatch(text[m.start : m.end]))
    ]
    for match in _after_history(tables).finditer(_plain(text)):
        found.append(match.span())
    return sorted(set(found))


@functools.lru_cache(maxsize=4)
def _after_history(tables: Tables) -> re.Pattern[str]:
    names = sorted(
        {re.escape(_plain(v)) for row in tables.terms("history word") for v in row.variants},
        key=len,
        reverse=True,
    )
    return re.compile(
        rf"(?<![^\W_])(?:{'|'.join(names)})[\s._:,'’-]{{0,2}}(?:in |im |en |nel |at |on )?"
        rf"(?P<number>\d{{4}})(?![^\W_])"
    )


Words = Mapping[str, str]
"""Words that explain a number, and as what."""


@functools.lru_cache(maxsize=4)
def _explaining(tables: Tables) -> tuple[Words, Words]:
    """The words that explain the number after them, and those that explain the one before."""
    codes = (n for row in tables.terms("currency") for n in row.names if n.rstrip(".").isalpha())
    before = dict.fromkeys((" ".join(_RUN.findall(_plain(code))) for code in codes), PRICE)
    after = dict(before)
    for kind, words in (("before number", before), ("after number", after)):
        for row in tables.terms(kind):
            for name in row.variants:
                words.setdefault(" ".join(_RUN.findall(_plain(name))), row.label)
    return before, after


def _worded(plain: str, tables: Tables) -> Iterator[Meaning]:
    """The numbers that the word before or after them explains ('lot 417', '417 pictures')."""
    before, after = _explaining(tables)
    runs = list(_RUN.finditer(plain))
    for place, run in enumerate(runs):
        if not run[0][0].isdigit():
            continue
        for words, near in ((before, runs[max(0, place - 2) : place]), (after, None)):
            beside = runs[place + 1 : place + 3] if near is None else near
            what = _explained(run, beside, words, plain, follows=near is None)
            if what:
                yield Meaning(run.start(), run.end(), what)


def _explained(
    number: re.Match[str],
    beside: Sequence[re.Match[str]],
    words: Words,
    plain: str,
    *,
    follows: bool,
) -> str:
    """What one or two words that stand directly beside a number make of it; '' for nothing."""
    for many in (2, 1):
        near = beside[:many] if follows else beside[-many:]
        what = words.get(" ".join(match[0] for match in near)) if len(near) == many else None
        if what:
            gap = (number.end(), near[0].start()) if follows else (near[-1].end(), number.start())
            if len(plain[gap[0] : gap[1]].strip("._:#- ")) == 0 and gap[1] - gap[0] <= _BESIDE:
                return what
    return ""


def _plain(text: str) -> str:
    """Folded without a change of length beyond that of compatibility forms."""
    return unicodedata.normalize("NFKC", text).lower()
