"""Proposes what each column holds, from its heading and from what its cells are like."""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from archivist.hooks import FoundRow
from archivist.intake.days import looks_like_day, order_of
from archivist.intake.mapping import NOTHING_SAYS, Column
from archivist.intake.money import currency_in, read_amount
from archivist.intake.roles import ONE_ONLY, PRIVATE, Role
from archivist.model import Unit
from archivist.reading.tables import Tables

SAMPLE = 200
"""Cells of a column that are looked at."""

_UNITS = {
    "cm": Unit.CENTIMETRE,
    "cms": Unit.CENTIMETRE,
    "mm": Unit.MILLIMETRE,
    "in": Unit.INCH,
    "ins": Unit.INCH,
    "inch": Unit.INCH,
    "inches": Unit.INCH,
    '"': Unit.INCH,
    "kg": Unit.KILOGRAM,
    "g": Unit.GRAM,
    "gr": Unit.GRAM,
    "oz": Unit.OUNCE,
    "lb": Unit.POUND,
    "ml": Unit.MILLILITRE,
    "l": Unit.LITRE,
    "m": Unit.METRE,
}
_MEASURED = re.compile(
    r"\d\s*(?:[½¼¾⅛⅜⅝⅞]|\d/\d)?\s*(?:cm|mm|in\b|in\.|ins|inch|\"|″|kg|g\b|ml)|\d\s*[x×]\s*\d",
    re.IGNORECASE,
)
_NUMBERED = re.compile(r"[^\W\d_]{0,5}[\s./-]?\d{1,7}(?:[./-]\d{1,6})*[a-z]?", re.IGNORECASE)
_CENTURY = re.compile(
    r"\b(?:c\.|ca\.?|circa|century|cent\.|\d{1,2}(?:st|nd|rd|th)|Jh\.?|siècle|secolo|siglo|eeuw|"
    r"period|dynasty|Edo|Meiji|Ming|Qing|Kangxi)\b|世紀|世纪|\b1[0-8]\d\d\b",
    re.IGNORECASE,
)
_MAIL = re.compile(
    r"(?:mailto:)?[^\s@]+@[^\s@]+\.[^\s@]+|(?:tel\.?\s*)?\+\d[\d ()/-]{6,}", re.IGNORECASE
)
_YEAR = re.compile(r"(1[89]\d\d|20\d\d)\??")
RECENT = 1950
"""The first year that, in a column called only 'Date', is taken for one of business. A choice of
ours."""

_PRIVATE = re.compile(r"\b(?:private|confidential|privat|privé|riservato|vertraulich)\b", re.I)


@dataclass
class Sample:
    """The first cells of one column."""

    table: str
    heading: str
    texts: list[str] = field(default_factory=list)


def samples(rows: Iterable[FoundRow]) -> list[Sample]:
    """A sample of every column, in the order in which columns appear."""
    found: dict[tuple[str, str], Sample] = {}
    for row in rows:
        for cell in row.cells:
            key = (row.table, cell.column)
            sample = found.get(key)
            if sample is None:
                sample = found[key] = Sample(row.table, cell.column)
            if len(sample.texts) < SAMPLE:
                sample.texts.append(cell.text)
    return list(found.values())


@dataclass(frozen=True)
class _Guess:
    score: float
    role: Role
    because: str


def propose(columns: Sequence[Sample], tables: Tables) -> list[Column]:
    """A column description for each sample, the best guess of each.

    What a record has one of goes to the column that is most like it. A column that nothing fits
    is kept word for word, and with the owner, as nobody has said what is in it.
    """
    result: list[Column] = []
    taken: dict[tuple[str, Role], float] = {}
    chosen: list[_Guess] = []
    for sample in columns:
        guesses = _guesses(sample, tables)
        chosen.append(guesses[0])
        first = guesses[0]
        if first.role in ONE_ONLY:
            key = (sample.table, first.role)
            taken[key] = max(taken.get(key, 0.0), first.score)
    given: set[tuple[str, Role]] = set()
    for sample, guess in zip(columns, chosen, strict=True):
        key = (sample.table, guess.role)
        if guess.role in ONE_ONLY:
            if guess.score < taken[key] or key in given:
                guess = next(g for g in _guesses(sample, tables) if g.role not in ONE_ONLY)
            else:
                given.add(key)
        result.append(_column(sample, guess, tables))
    return result


def _column(sample: Sample, guess: _Guess, tables: Tables) -> Column:
    """The column description that a guess comes to."""
    private = guess.role in PRIVATE or bool(_PRIVATE.search(sample.heading))
    role = guess.role
    if role is Role.NOTE and private:
        role = Role.PRIVATE_NOTE
    example = next((t for t in sample.texts if t.strip()), "")
    return Column(
        table=sample.table,
        heading=sample.heading,
        role=role,
        private=private,
        unit=_unit(sample.heading),
        currency=currency_in(sample.heading, tables),
        days=order_of(sample.texts) if role in (Role.BOUGHT_ON, Role.SOLD_ON) else "",
        because=guess.because,
        example=" ".join(example.split())[:60],
    )


def _unit(heading: str) -> Unit | None:
    """The unit that a heading names: 'Height (cm)', 'H. in inches'."""
    for word in reversed(re.findall(r"[a-z]+|\"", heading.casefold())[1:]):
        if word in _UNITS:
            return _UNITS[word]
    return None


def _guesses(sample: Sample, tables: Tables) -> list[_Guess]:
    """What a column may be, the most likely first; 'keep' is always among them."""
    like = _like(sample.texts, tables)
    words: Sequence[_Headword] = _headwords(tables)
    plain = _folded(sample.heading)
    bare = _folded(re.sub(r"\(.*?\)|\[.*?\]|[£€$¥]", " ", sample.heading))
    guesses = [_Guess(0.2, Role.KEEP, NOTHING_SAYS)]
    if like["contact"] > _SOME:
        return [_Guess(1.0, Role.BUYER_CONTACT, "its cells look like addresses of mail")]
    words = _as_accented(words, sample.heading)
    for variant, role, content, _ in words:
        if content == _ERA_ONLY and like["recent"] > _SOME:
            continue
        if variant in (plain, bare):
            score, how = 1.0, f"its heading says '{sample.heading}'"
        elif len(variant) > 3 and variant in plain and _as_word(variant).search(plain):
            share = len(variant) / max(len(plain), 1)
            score, how = 0.45 + 0.3 * share, f"its heading has the word '{variant}'"
        else:
            continue
        if role in _OF_PERSONS and score < _WHOLE:
            score += 0.5
        if content:
            fits = like.get(content.partition(" ")[0], 0.0)
            score += 0.4 * fits - (0.15 if fits < 0.3 else 0.0)
            if fits >= 0.5:
                how += f", and its cells look like {_CONTENTS[content.partition(' ')[0]]}"
        guesses.append(_Guess(score, role, how))
    guesses = _without_contradictions(guesses)
    if len(guesses) == 1 and not any(v in (plain, bare) for v, *_ in words):
        guesses.extend(_by_content(like))
    guesses.sort(key=lambda g: -g.score)
    return guesses


_A_NAME = 4
_SEVERAL = re.compile(r"[;/|\n]\s|,\s.*,\s")
"""What parts the several things that a cell may hold."""

_WHOLE = 1.0
"""The score of a heading that is one of the words."""

_SOME = 0.3
"""The share of cells from which a kind of content decides what a column is not."""

_ERA_ONLY = "era only"
"""The content of headings that may be of any day ('Date'): of making only where cells say so."""

_OF_PERSONS = frozenset({Role.BUYER_CONTACT, Role.BUYER_ADDRESS, Role.SELLER_ADDRESS})

_SELLING = frozenset({Role.PRICE_SOLD, Role.SOLD_ON, Role.BUYER})
_BUYING = frozenset({Role.PRICE_PAID, Role.BOUGHT_ON, Role.BOUGHT_FROM})


def _as_accented(words: Sequence[_Headword], heading: str) -> Sequence[_Headword]:
    """Where a heading is one of the words with its very accents, only those: 'Email', 'Émail'."""
    accented = " ".join(heading.casefold().split())
    plain = _folded(heading)
    if not any(word.written == accented for word in words):
        return words
    return [w for w in words if w.written == accented or w.variant != plain]


def _without_contradictions(guesses: Sequence[_Guess]) -> list[_Guess]:
    """A heading that has a word for selling or buying is of no price asked and no date of making:
    'Sold price', 'Date bought'."""
    roles = {guess.role for guess in guesses}
    if not roles & (_SELLING | _BUYING):
        return list(guesses)
    whole = {guess.role for guess in guesses if guess.score >= _WHOLE - 0.15}
    wrong = {Role.PRICE_ASKED, Role.DATE} - whole
    return [guess for guess in guesses if guess.role not in wrong]


_CONTENTS = {
    "number": "stock numbers",
    "words": "words",
    "era": "dates of making",
    "date": "days",
    "money": "amounts",
    "size": "sizes",
}


def _by_content(like: dict[str, float]) -> list[_Guess]:
    """Guesses for a heading that says nothing, by cells alone; only what is hard to mistake."""
    guesses = []
    if like["size"] > 0.8:
        guesses.append(_Guess(0.6, Role.SIZE, "its cells look like sizes"))
    if like["era"] > 0.8:
        guesses.append(_Guess(0.55, Role.DATE, "its cells look like dates of making"))
    if like["unique number"] > 0.95:
        guesses.append(_Guess(0.5, Role.STOCK_NUMBER, "its cells are numbers, each used once"))
    return guesses


def _like(texts: Sequence[str], tables: Tables) -> dict[str, float]:
    """For each kind of content the part of the cells that are like it."""
    cells = [t.strip() for t in texts if t.strip()]
    if not cells:
        return dict.fromkeys([*_CONTENTS, "unique number", "contact", "recent"], 0.0)

    def part(count: int) -> float:
        return count / len(cells)

    days = sum(looks_like_day(t) for t in cells)
    sizes = sum(bool(_MEASURED.search(t)) for t in cells)
    eras = sum(bool(_CENTURY.search(t)) for t in cells)
    amounts = sum(_amount(t, tables) for t in cells)
    numbers = [t for t in cells if _NUMBERED.fullmatch(t)]
    lettered = part(sum(any(c.isalpha() for c in t) for t in numbers))
    distinct = len(set(numbers)) / len(cells)
    return {
        "number": min(part(len(numbers)), distinct + 0.2),
        "contact": part(sum(bool(_MAIL.fullmatch(t)) for t in cells)),
        "recent": part(sum(_is_recent(t) for t in cells)),
        "unique number": distinct if lettered > 0.5 else 0.0,
        "words": part(sum(_is_wordy(t) for t in cells)),
        "era": part(eras),
        "date": part(days),
        "money": part(amounts),
        "size": part(sizes),
    }


def _is_wordy(text: str) -> bool:
    """Whether a cell is of words: more letters than all else, or a name among days and sums."""
    letters = sum(c.isalpha() for c in text)
    return letters * 2 > len(text) or (letters >= _A_NAME and bool(_SEVERAL.search(text)))


def _is_recent(text: str) -> bool:
    """A day, or a year of the time in which a dealer deals: of a sale rather than of the making."""
    year = _YEAR.fullmatch(text)
    return looks_like_day(text) if year is None else int(year[1]) >= RECENT


def _amount(text: str, tables: Tables) -> bool:
    return len(text) < 24 and not looks_like_day(text) and read_amount(text, tables) is not None


class _Headword(NamedTuple):
    """A heading word, folded, what it may mean, what cells are then like, and as it is written."""

    variant: str
    role: Role
    content: str
    written: str


@functools.lru_cache(maxsize=1)
def _headwords(tables: Tables) -> tuple[_Headword, ...]:
    """Each heading word, what it may mean, and what cells are then like."""
    return tuple(
        _Headword(
            _folded(name),
            Role(row.label),
            row.more.get("content", ""),
            " ".join(name.casefold().split()),
        )
        for row in tables.terms("column")
        for name in row.names
    )


@functools.lru_cache(maxsize=1024)
def _as_word(variant: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(variant)}(?!\w)")


def _folded(heading: str) -> str:
    """A heading as it is compared: no case, accents, or marks around it."""
    plain = unicodedata.normalize("NFKD", heading.casefold().replace("’", "'"))
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join(re.sub(r"[_:.*#]+", " ", plain).split()).strip(" -")
