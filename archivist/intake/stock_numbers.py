"""Stock numbers as they are written in sheets, file names and captions, recognised as the same."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from archivist.model import Certainty, ObjectRecord
from archivist.reading.tables import Tables

_RUN = re.compile(r"\d+|[^\W\d_]+")

FEWEST_DIGITS = 3
"""Digits that a bare number must have before it is taken for a stock number without its letters."""

Key = tuple[str, ...]


@dataclass(frozen=True)
class Token:
    """A run of letters or of digits; `joined` says that it follows the one before it directly."""

    text: str
    raw: str
    start: int
    joined: bool

    @property
    def is_number(self) -> bool:
        return self.raw[0].isdigit()


def tokens(words: str) -> list[Token]:
    """The runs of letters and digits in `words`, folded, zeros before numbers left out."""
    plain = unicodedata.normalize("NFKC", words)
    found = []
    end = -1
    for match in _RUN.finditer(plain):
        raw = match.group()
        text = raw.lstrip("0") or "0" if raw[0].isdigit() else raw.casefold()
        found.append(Token(text, raw, match.start(), match.start() == end))
        end = match.end()
    return found


def number_key(number: str) -> Key:
    """What a stock number is compared by: 'HW 0417', 'hw-417' and 'HW417' are one."""
    return tuple(token.text for token in tokens(number))


@dataclass(frozen=True)
class Claim:
    """That words name one or more records by one number; `words` are those that do."""

    objects: tuple[str, ...]
    certainty: Certainty
    words: str
    first: int
    end: int


class NumberIndex:
    """The stock numbers of records, to be found in names and captions."""

    def __init__(self, records: Iterable[ObjectRecord], tables: Tables) -> None:
        self._full: dict[Key, list[str]] = {}
        self._bare: dict[str, list[str]] = {}
        self._letters: set[str] = set()
        self._longest = 1
        self._camera = frozenset(
            name.casefold() for row in tables.terms("camera word") for name in row.names
        )
        for record in records:
            for number in (record.stock_number, *record.other_numbers):
                self._add(number, record.id)

    def _add(self, number: str, object_id: str) -> None:
        key = number_key(number)
        if not key or not any(part.isdigit() for part in key):
            return
        known = self._full.setdefault(key, [])
        if object_id not in known:
            known.append(object_id)
        self._longest = max(self._longest, len(key))
        if not key[0].isdigit():
            self._letters.add(key[0])
        bare = self._bare.setdefault(key[-1], [])
        if key[-1].isdigit() and len(key) <= 2 and object_id not in bare:
            bare.append(object_id)

    def claims(self, words: str) -> list[Claim]:
        """The records that `words` name, from left to right."""
        found = tokens(words)
        claims: list[Claim] = []
        place = 0
        while place < len(found):
            claim = self._full_at(found, place, words) or self._bare_at(found, place)
            if claim is None:
                place += 1
            else:
                claims.append(claim)
                place = claim.end
        return claims

    def _full_at(self, found: list[Token], place: int, words: str) -> Claim | None:
        """A whole number, letters and all, that begins at a token."""
        for length in range(min(self._longest, len(found) - place), 0, -1):
            key = tuple(token.text for token in found[place : place + length])
            objects = self._full.get(key)
            if not objects or (found[place].joined and found[place].is_number):
                continue
            if length == 1 and len(found[place].raw) < FEWEST_DIGITS:
                continue
            if length == 1 and self._camera_before(found, place):
                continue
            raw = " ".join(token.raw for token in found[place : place + length])
            return Claim(tuple(objects), Certainty.CERTAIN, raw, place, place + length)
        return None

    def _bare_at(self, found: list[Token], place: int) -> Claim | None:
        """A number whose letters are left out, or are written where the record has none."""
        token = found[place]
        if not token.is_number or len(token.raw) < FEWEST_DIGITS or _is_year(token.raw):
            return None
        objects = self._bare.get(token.text)
        if not objects or self._camera_before(found, place):
            return None
        before = found[place - 1] if place else None
        if before and token.joined and before.text not in self._letters:
            return None
        return Claim(tuple(objects), Certainty.PROBABLE, token.raw, place, place + 1)

    def _camera_before(self, found: list[Token], place: int) -> bool:
        """Whether a number is a camera's or a scanner's own: IMG_0417, DSC 0417, scan0003."""
        if not place:
            return False
        before = found[place - 1].text
        return before in self._camera and before not in self._letters


def _is_year(raw: str) -> bool:
    return len(raw) == 4 and raw[:2] in ("19", "20")
