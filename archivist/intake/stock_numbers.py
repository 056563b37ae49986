"""Stock numbers as they are written in sheets, file names and captions, recognised as the same."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from archivist.catalogue.numbers import Key, Token, number_key, tokens
from archivist.intake.rules.number_meanings import OF_MACHINES, Meaning, number_meanings
from archivist.model import Certainty, ObjectRecord
from archivist.reading.tables import Tables

FEWEST_DIGITS = 3
"""Digits that a bare number must have before it is taken for a stock number without its letters."""


@dataclass(frozen=True)
class Claim:
    """That words name one or more records by one number; `words` are those that do."""

    objects: tuple[str, ...]
    certainty: Certainty
    words: str
    first: int
    end: int


class NumberIndex:
    """The stock numbers of records, to be found in names and captions.

    A number is one of these only if it stands where such numbers stand: with its letters; by its
    figures alone only at the beginning of words, or written with its noughts; and where nothing
    says that it is a price, a count, a year, a page or a camera's folder.
    """

    def __init__(self, records: Iterable[ObjectRecord], tables: Tables) -> None:
        self._full: dict[Key, list[str]] = {}
        self._bare: dict[str, list[str]] = {}
        self.letters: set[str] = set()
        """The letters with which numbers of these records begin."""
        self._firsts: set[str] = set()
        self._claimed: dict[str, list[Claim]] = {}
        self._likenesses: dict[str, list[Key]] | None = None
        self._longest = 1
        self._tables = tables
        self._camera = _words(tables, "camera word")
        self._opening = _words(tables, "view") | _words(tables, "copy word") | {"no", "nr", "inv"}
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
        self._firsts.add(key[0])
        self._longest = max(self._longest, len(key))
        if not key[0].isdigit():
            self.letters.add(key[0])
        bare = self._bare.setdefault(key[-1], [])
        if key[-1].isdigit() and len(key) <= 2 and object_id not in bare:
            bare.append(object_id)

    def claims(self, words: str) -> list[Claim]:
        """The records that `words` name, from left to right."""
        known = self._claimed.get(words)
        if known is None:
            known = self._claimed[words] = self._claims(words)
        return list(known)

    def _claims(self, words: str) -> list[Claim]:
        found = tokens(words)
        others = number_meanings(words, self._tables) if self._may_claim(found) else ()
        claims: list[Claim] = []
        place = 0
        while place < len(found):
            claim = self._full_at(found, place, others, claims) or self._bare_at(
                found, place, others, claims
            )
            if claim is None:
                place += 1
            else:
                claims.append(claim)
                place = claim.end
        return claims

    def slips(self, words: str) -> tuple[str, ...]:
        """The records whose numbers differ from one in `words` by a typing slip: a letter that
        looks like a figure ('O' for '0'), or two characters exchanged; () where a number fits."""
        if self._likenesses is None:
            self._likenesses = _by_likeness(self._full)
        found = tokens(words)
        near: dict[str, None] = {}
        for place in range(len(found)):
            for length in range(2, min(self._longest + 2, len(found) - place) + 1):
                written = "".join(t.raw.casefold() for t in found[place : place + length])
                alike = self._likenesses.get(_likeness(written), ())
                if not alike or self.claims(words):
                    continue
                slips = _slips_of(written)
                for key in alike:
                    if key in slips and not self._is_another(number_key(written), key):
                        near |= dict.fromkeys(self._full[key])
        return tuple(near)

    def _is_another(self, written: Key, key: Key) -> bool:
        """Whether what was written is rather the number of another piece, which is not listed yet,
        than a slip in `key`: both look like the book's, and the book is no row without gaps."""
        if len(written) != 2 or len(key) != 2 or written[0] != key[0] or not written[1].isdigit():
            return False
        listed = [int(k[1]) for k in self._full if k[0] == key[0] and k[1:] and k[1].isdigit()]
        if len(listed) < _SMALL_BOOK:
            return False
        share = len(listed) / (max(listed) - min(listed) + 1)
        return share < _FEW_GAPS or not min(listed) < int(written[1]) < max(listed)

    def _may_claim(self, found: list[Token]) -> bool:
        """Whether any run is one with which a number begins or ends: only then it is looked what
        figures mean."""
        return any(token.text in self._bare or token.text in self._firsts for token in found)

    def _full_at(
        self, found: list[Token], place: int, others: Sequence[Meaning], before: list[Claim]
    ) -> Claim | None:
        """A whole number, letters and all, that begins at a token."""
        first = found[place]
        for length in range(min(self._longest, len(found) - place), 0, -1):
            key = tuple(token.text for token in found[place : place + length])
            objects = self._full.get(key)
            if not objects or (first.joined and first.is_number):
                continue
            if length == 1 and not (
                self._may_stand_alone(found, place, others) and self._opens(found, place, before)
            ):
                continue
            last = found[place + length - 1]
            machine = [m for m in others if m.what in OF_MACHINES]
            if length > 1 and any(m.start <= first.start and m.end > last.start for m in machine):
                continue
            raw = " ".join(token.raw for token in found[place : place + length])
            return Claim(tuple(objects), Certainty.CERTAIN, raw, place, place + length)
        return None

    def _bare_at(
        self, found: list[Token], place: int, others: Sequence[Meaning], before: list[Claim]
    ) -> Claim | None:
        """A number whose letters are left out, or are written where the record has none."""
        token = found[place]
        objects = self._bare.get(token.text) if token.is_number else None
        if not objects or _is_year(token.raw) or not self._may_stand_alone(found, place, others):
            return None
        if not self._opens(found, place, before):
            return None
        return Claim(tuple(objects), Certainty.PROBABLE, token.raw, place, place + 1)

    def _opens(self, found: list[Token], place: int, before: list[Claim]) -> bool:
        """Whether figures stand where numbers stand without letters: before any other word than
        for a view, after another number, or written with their noughts."""
        if found[place].raw.startswith("0") or (before and before[-1].end == place):
            return True
        return all(t.text in self.letters or t.text in self._opening for t in found[:place])

    def _may_stand_alone(self, found: list[Token], place: int, others: Sequence[Meaning]) -> bool:
        """Whether figures alone may be a stock number there: they are enough, no camera's or
        scanner's own (IMG_0417, scan0003), part of no longer word, and nothing else."""
        token = found[place]
        if not token.is_number or len(token.raw) < FEWEST_DIGITS:
            return False
        if any(m.start <= token.start < m.end for m in others):
            return False
        after = found[place + 1] if place + 1 < len(found) else None
        if after is not None and after.joined and len(after.text) > 1:
            return False
        before = found[place - 1] if place else None
        if before is None or before.text in self.letters:
            return True
        letters = before.raw.isascii() and before.raw.isalpha() and before.raw.isupper()
        if letters and len(before.raw) <= _LETTERS and before.text not in self._opening:
            return False  # the number of another book, or one with a slip in its letters
        return before.text not in self._camera and not token.joined


_SMALL_BOOK, _FEW_GAPS = 20, 0.5
"""Records below which a book does not show how its numbers run, and the share of numbers in use
from which on one that is missing is striking. Our judgement, no source."""

_LETTERS = 4
"""Letters that stand before numbers at most."""

LIKE_FIGURES = str.maketrans("oilsbzq", "0115829")
"""Letters that are written where a figure is meant, by their likeness. Our judgement, no source."""


def _likeness(written: str) -> str:
    """What is the same of a number and of that number with one slip: its characters, those that
    look like figures taken for them, noughts left out."""
    return "".join(sorted(written.translate(LIKE_FIGURES).replace("0", "")))


def _by_likeness(keys: Iterable[Key]) -> dict[str, list[Key]]:
    """Numbers with letters, by what a slip leaves as it is."""
    found: dict[str, list[Key]] = {}
    for key in keys:
        if len(key) > 1:
            found.setdefault(_likeness("".join(key)), []).append(key)
    return found


def _slips_of(written: str) -> set[Key]:
    """The keys of numbers from which what was written differs by one slip."""
    variants = {
        written[:n] + written[n + 1] + written[n] + written[n + 2 :]
        for n in range(len(written) - 1)
    }
    figures = re.search(r"\d", written)
    for cut in range(1, (figures.start() if figures else 0) + 1):
        variants.add(written[:cut] + written[cut:].translate(LIKE_FIGURES))
    return {number_key(variant) for variant in variants if variant != written}


@functools.lru_cache(maxsize=16)
def _words(tables: Tables, kind: str) -> frozenset[str]:
    """The single words of a kind of terms, in small letters."""
    return frozenset(
        word for row in tables.terms(kind) for name in row.names for word in name.casefold().split()
    )


def _is_year(raw: str) -> bool:
    return len(raw) == 4 and raw[:2] in ("19", "20")
