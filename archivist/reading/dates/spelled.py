"""Years in words: 'sixteen-seventy', 'siebzehnhundertfünfzig', 'mil setecientos cincuenta'."""

from __future__ import annotations

from archivist.reading.dates.tokens import ANY_LANGUAGE, DASH, NUMBER, Token
from archivist.reading.dates.words import NOT_YEAR_AFTER, Sense
from archivist.reading.numerals import Numerals

FIRST, LAST = 1300, 2029
"""Numbers in words between these are years where nothing else says so; larger and smaller ones
are more often amounts. Common practice, no source."""
_MOST_TOKENS = 12


def spelled_years(tokens: list[Token], numerals: Numerals) -> list[Token]:
    """`tokens` with each year in words as one number."""
    heads, beginnings = numerals.heads, numerals.beginnings
    if not any(t.folded and (t.folded in heads or beginnings.match(t.folded)) for t in tokens):
        return tokens
    joined: list[Token] = []
    index = 0
    while index < len(tokens):
        token = tokens[index]
        found = _year(tokens, index, numerals) if token.folded else None
        if found is None:
            joined.append(token)
            index += 1
            continue
        year, end = found
        number = {NUMBER: Sense(str(year), year, ANY_LANGUAGE)}
        joined.append(Token(number, "", token.start, tokens[end - 1].end, token.spaced))
        index = end
    return joined


def _year(tokens: list[Token], index: int, numerals: Numerals) -> tuple[int, int] | None:
    head = tokens[index].folded
    if head not in numerals.heads and not numerals.beginnings.match(head):
        return None
    words: list[str] = []
    places: list[int] = []
    for at in range(index, min(len(tokens), index + _MOST_TOKENS)):
        if tokens[at].folded:
            words.extend(tokens[at].folded.split())
            places.extend([at] * (len(words) - len(places)))
        elif DASH not in tokens[at].senses:
            break
    found = numerals.at(words, 0, years=True)
    if found is None or not FIRST <= found.value <= LAST:
        return None
    end = places[found.end - 1] + 1
    if found.end < len(places) and places[found.end] < end:
        return None  # a phrase of the tables goes on behind the number
    after = end + (end < len(tokens) and DASH in tokens[end].senses)
    if after < len(tokens) and NOT_YEAR_AFTER in tokens[after].senses:
        return None  # 'fifteen twelve-inch plates'
    return found.value, end
