"""Text as tokens: words, numbers and signs, each with the senses it may have in a date.

Tokens keep their place in the text. Words that no table knows stay as tokens without senses, so
that nothing is skipped unseen; numbers that are plainly something else (decimals, thousands,
stock numbers) come out as one token without senses and so are never taken for years.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from typing import NamedTuple

from archivist.reading.dates.words import (
    HUNDREDS,
    NO_SENSES,
    SHORT_DECADE,
    Lexicon,
    Sense,
    Senses,
)
from archivist.reading.spelling import fold

NUMBER = "number"
ROMAN = "roman"
DECADE = "decade"
ORDINAL_NUMBER = "ordinals"
NUMERIC_DATE = "numeric_date"
DASH = "dash"
SLASH = "slash"
COMMA = "comma"
SEMICOLON = "semicolon"
OPEN = "open"
CLOSE = "close"
QUERY = "query"
DOT = "dot"
TILDE = "tilde"
AMPERSAND = "and"
HAN = "han"
MONEY = "money"

ANY_LANGUAGE = frozenset({"en", "fr", "de", "it", "es", "nl"})
NOT_ENGLISH = ANY_LANGUAGE - {"en"}


class Token(NamedTuple):
    """A stretch of text, its folded spelling, what it may mean, and whether space goes before."""

    senses: Senses
    folded: str
    start: int
    end: int
    spaced: bool


_TOKEN = re.compile(
    r"""
      (?P<space>\s+)
    | (?P<han>[\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff\u3007]+)
    | (?P<dotted>(?<![^\W_])[A-Za-z](?:\.[A-Za-z]){1,3}(?:\.|(?![^\W_])))
    | (?P<slip>(?<![^\W_])[lI|](?P<slipnumber>\d)(?i:st|nd|rd|th)(?![^\W\d_]))
    | (?P<word>[^\W\d_]+(?:['’ʻʼ‘`´\u00ad]+[^\W\d_]+)*)
    | (?P<iso>(?<![\w.-])[12]\d{3}-(?:0[1-9]|1[0-2])-[0-3]\d(?![\w-]))
    | (?P<stock>(?<![\w.-])[12]\d{3}-\d{2}-\d{2}(?![\w-]))
    | (?P<numeric>(?<![\w./-])[0-3]?\d(?P<sep>[./-])[0-3]?\d(?P=sep)[12]\d{3}(?![\w./]|-\d))
    | (?P<supplied>(?<![\w\[])[12](?:\d|\[\d{1,3}(?:\?(?=\]))?\]){1,3}(?<=\])(?![\w\[]))
    | (?P<gap>(?<![\w.,/-])(?P<known>1\d{1,2})(?P<unknown>\?{1,2}|-{2}(?=\?))(?![\w?-]))
    | (?P<other>\d{1,3}(?:,\d{3})+(?!\d) | \d+\.\d[\d.]* | \d+/\d+(?=\s*(?:in\b|"|”|″|inch))
        | [12]?\d\s+\d/\d+)
    | (?P<decade>(?P<decadeyear>[12]?\d?\d0)(?:\s?['’´`]?[sS]|-?ern?)(?![^\W\d_]))
    | (?P<shortdecade>['’‘]?(?P<shortyear>\d0)['’]?s(?![^\W\d_]))
    | (?P<hundreds>(?<![\w'’‘])['’‘](?P<hundredsyear>[2-9]00)(?![\w]))
    | (?P<ordinal>(?P<ordinalnumber>\d{1,2})
        (?:\s?(?i:st|nd|rd|th)(?=[cC]?(?![^\W\d_])) |
           (?i:er|re|e|ère|eme|ème|ste|de|[º°ª])(?![^\W\d_])))
    | (?P<number>\d+)
    | (?P<dash>[-‐‑‒–—―−]+)
    | (?P<sign>[^\s])
    """,
    re.VERBOSE,
)

_SIGNS: dict[str, Senses] = {
    "/": {SLASH: Sense("", 0, ANY_LANGUAGE)},
    ",": {COMMA: Sense("", 0, ANY_LANGUAGE)},
    ";": {SEMICOLON: Sense("", 0, ANY_LANGUAGE)},
    "(": {OPEN: Sense(")", 0, ANY_LANGUAGE)},
    "[": {OPEN: Sense("]", 0, ANY_LANGUAGE)},
    "（": {OPEN: Sense(")", 0, ANY_LANGUAGE)},
    ")": {CLOSE: Sense("", 0, ANY_LANGUAGE)},
    "]": {CLOSE: Sense("", 0, ANY_LANGUAGE)},
    "）": {CLOSE: Sense("", 0, ANY_LANGUAGE)},
    "?": {QUERY: Sense("", 0, ANY_LANGUAGE)},
    "？": {QUERY: Sense("", 0, ANY_LANGUAGE)},
    ".": {DOT: Sense("", 0, ANY_LANGUAGE)},
    "~": {TILDE: Sense("", 0, ANY_LANGUAGE)},
    "≈": {TILDE: Sense("", 0, ANY_LANGUAGE)},
    "±": {TILDE: Sense("", 0, ANY_LANGUAGE)},
    "〜": {TILDE: Sense("", 0, ANY_LANGUAGE)},
    "～": {TILDE: Sense("", 0, ANY_LANGUAGE)},
    "&": {AMPERSAND: Sense("", 0, ANY_LANGUAGE)},
    "+": {AMPERSAND: Sense("", 0, ANY_LANGUAGE)},
    "$": {MONEY: Sense("", 0, ANY_LANGUAGE)},
    "£": {MONEY: Sense("", 0, ANY_LANGUAGE)},
    "€": {MONEY: Sense("", 0, ANY_LANGUAGE)},
    "¥": {MONEY: Sense("", 0, ANY_LANGUAGE)},
    "#": {MONEY: Sense("", 0, ANY_LANGUAGE)},
}
_DASH: Senses = {DASH: Sense("", 0, ANY_LANGUAGE)}
_HAN: Senses = {HAN: Sense("", 0, ANY_LANGUAGE)}

_POSSESSIVE = frozenset({"'s", "’s"})
SLIP = "slip"
"""The value of an ordinal whose first figure is a letter: 'l8th'."""
_ROMAN_YEAR = re.compile(r"M(CM|CD|DC{0,4}|C{0,4})(XC|XL|L?X{0,4})(IX|IV|V?I{0,4})")
_SHORTEST_ROMAN_YEAR = 4
"""Letters of the shortest: 'MD' and 'MCM' are other things too."""
_ROMAN_NUMERAL = re.compile(r"(?=[XVI])(X{0,2})(IX|IV|V?I{0,3})(e|eme|ème|er|th|c|°|º)?$")
_LOWER_NUMERAL = re.compile(r"(?=[xvi]{2})(x{0,2})(ix|iv|v?i{0,3})(e|eme|ème|er|th|°|º)?$")
_ITALIAN = frozenset({"it"})


@functools.lru_cache(maxsize=4096)
def roman_century(word: str) -> int | None:
    """The number of a Roman numeral from I to XXIX as centuries are written, else None.

    In small letters it has two at least ('xviii'), since 'i', 'v' and 'x' are other things.
    """
    match = _ROMAN_NUMERAL.fullmatch(word) or _LOWER_NUMERAL.fullmatch(word)
    if match is None or not match[1] + match[2]:
        return None
    units = {"": 0, "I": 1, "II": 2, "III": 3, "IV": 4, "V": 5}
    units |= {"VI": 6, "VII": 7, "VIII": 8, "IX": 9}
    return 10 * len(match[1]) + units[match[2].upper()]


@functools.lru_cache(maxsize=1024)
def roman_year(word: str) -> int | None:
    """The year that capitals of a Roman numeral say ('MDCCLXXXIV'), None where they say none."""
    match = _ROMAN_YEAR.fullmatch(word)
    if match is None or len(word) < _SHORTEST_ROMAN_YEAR:
        return None
    worth = {"M": 1000, "D": 500, "C": 100, "L": 50, "X": 10, "V": 5, "I": 1}
    values = [worth[letter] for letter in word]
    year = sum(
        -value if any(value < later for later in values[at + 1 : at + 2]) else value
        for at, value in enumerate(values)
    )
    return year if year >= _EARLIEST_ROMAN_YEAR else None


_EARLIEST_ROMAN_YEAR = 1400
"""Before this Roman years on pieces are rare, and short numerals initials. Common practice."""


@functools.lru_cache(maxsize=8192)
def _number(digits: str) -> Senses:
    if len(digits) > 5:
        return NO_SENSES
    return {NUMBER: Sense(digits, int(digits), ANY_LANGUAGE)}


@functools.lru_cache(maxsize=1024)
def _ordinal(digits: str) -> Senses:
    return {ORDINAL_NUMBER: Sense(digits, int(digits), ANY_LANGUAGE)}


@functools.lru_cache(maxsize=1024)
def _decade(digits: str) -> Senses:
    if len(digits) == 2:
        return {SHORT_DECADE: Sense(digits, int(digits), ANY_LANGUAGE)}
    return {DECADE: Sense(digits, int(digits), ANY_LANGUAGE)}


def tokenise(text: str, lexicon: Lexicon) -> list[Token]:
    """The tokens of `text` in order, phrases of the tables as one. Linear in its length."""
    return _with_phrases(_single_tokens(text, lexicon), lexicon)


def _single_tokens(text: str, lexicon: Lexicon) -> list[Token]:
    tokens: list[Token] = []
    words = lexicon.words
    spaced_from = -1
    for match in _TOKEN.finditer(text):
        group = match.lastgroup
        start, end = match.span()
        if group == "space":
            spaced_from = end
            continue
        spaced = start == spaced_from
        raw = match[0]
        folded = ""
        senses: Senses = NO_SENSES
        if group == "word":
            folded = fold(raw[:-2] if raw[-2:] in _POSSESSIVE else raw)
            senses = words.get(folded, NO_SENSES)
            if raw[0] in "XVIxvi" and (century := roman_century(raw)) is not None:
                senses = {**senses, ROMAN: Sense("", century, NOT_ENGLISH)}
            elif raw[0] == "M" and (year := roman_year(raw)) is not None:
                senses, folded = _number(str(year)), ""
        elif group == "number":
            senses = _number(raw)
        elif group == "dash":
            senses = _DASH
        elif group == "sign":
            senses = _SIGNS.get(raw, NO_SENSES)
        elif group == "ordinal":
            senses = _ordinal(match["ordinalnumber"])
        elif group == "decade":
            senses = _decade(match["decadeyear"])
        elif group == "hundreds":
            century = int("1" + match["hundredsyear"])
            senses = {HUNDREDS: Sense(str(century), century, _ITALIAN)}
        elif group == "slip":
            number = 10 + int(match["slipnumber"])
            senses = {ORDINAL_NUMBER: Sense(SLIP, number, ANY_LANGUAGE)}
        elif group == "supplied":
            _supplied(tokens, raw, start, spaced)
            continue
        elif group == "gap":
            senses, folded = _with_gaps(match["known"], match["unknown"]), raw
        elif group == "shortdecade":
            senses = _decade(match["shortyear"])
        elif group == "dotted":
            folded = fold(raw)
            senses = words.get(folded, NO_SENSES)
            if senses is NO_SENSES and len(folded) > 1:
                _letters(tokens, raw, start, spaced, words)
                continue
        elif group == "han":
            senses, folded = _HAN, raw
        elif group in ("numeric", "iso"):
            senses = {NUMERIC_DATE: Sense(raw, 0, ANY_LANGUAGE)}
        tokens.append(Token(senses, folded, start, end, spaced))
    return tokens


def _supplied(tokens: list[Token], raw: str, start: int, spaced: bool) -> None:
    """'17[56]', '17[56?]': figures that somebody supplied, and whether he was sure."""
    digits = "".join(c for c in raw if c.isdigit())
    asked = raw.find("?")
    end = start + (asked if asked > 0 else len(raw))
    senses = _number(digits) if len(digits) == 4 else NO_SENSES
    tokens.append(Token(senses, "", start, end, spaced))
    if asked > 0:
        tokens.append(Token(_SIGNS["?"], "", end, start + len(raw), False))


def _with_gaps(known: str, unknown: str) -> Senses:
    """'175?' is a decade, '17??' a century; '17?' is neither."""
    if len(known) + len(unknown) != 4:
        return NO_SENSES
    if len(known) == 3:
        return _decade(known + "0")
    return {HUNDREDS: Sense(known + "00", int(known) * 100, ANY_LANGUAGE)}


def _letters(
    tokens: list[Token], raw: str, start: int, spaced: bool, words: Mapping[str, Senses]
) -> None:
    """Single letters with full stops that are no known abbreviation, taken one by one."""
    for at, character in enumerate(raw, start):
        if character == ".":
            tokens.append(Token(_SIGNS["."], "", at, at + 1, False))
        else:
            folded = fold(character)
            tokens.append(Token(words.get(folded, NO_SENSES), folded, at, at + 1, spaced))
        spaced = False


def _with_phrases(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """Tokens that make up a phrase of the tables joined; full stops and dashes within are passed.

    The longest phrase wins. A phrase of one sense is never longer than the tables make it, so
    this stays linear.
    """
    phrases = lexicon.phrases
    if not any(token.folded in phrases for token in tokens):
        return tokens
    joined: list[Token] = []
    index = 0
    while index < len(tokens):
        token = tokens[index]
        end = index + 1
        if (seconds := phrases.get(token.folded)) is not None and (
            second := _next_word(tokens, end)
        ) is not None:
            for words, senses in seconds.get(tokens[second].folded, ()):
                if (stop := _phrase_end(tokens, second, words)) is not None:
                    end = stop
                    token = Token(
                        senses, " ".join(words), token.start, tokens[stop - 1].end, token.spaced
                    )
                    break
        joined.append(token)
        index = end
    return joined


def _next_word(tokens: list[Token], position: int) -> int | None:
    """The word at or soon after `position`; up to two full stops and dashes are passed."""
    for at in range(position, min(position + 3, len(tokens))):
        if tokens[at].folded:
            return at
        if DOT not in tokens[at].senses and DASH not in tokens[at].senses:
            return None
    return None


def _phrase_end(tokens: list[Token], second: int, words: tuple[str, ...]) -> int | None:
    """The token after the phrase `words` whose second word stands at `second`, if it is there."""
    end = second + 1
    for word in words[2:]:
        at = _next_word(tokens, end)
        if at is None or tokens[at].folded != word:
            return None
        end = at + 1
    return end
