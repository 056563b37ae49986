"""Names across romanisations: pinyin, Wade-Giles, trade spellings, characters, mis-hearings.

An index finds a name however it is divided and hyphenated. An aspirate that is written tells names
apart ('Chia-ching' and "Chia-ch'ing" are two reigns); where it is not written, all that it may be
are returned, and the caller asks. Approximate matches are looked for only where the caller knows
that a name must stand, and carry their distance.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from typing import Generic, NamedTuple, TypeVar

from archivist.reading.spelling import fold

Entry = TypeVar("Entry")

_APOSTROPHES = str.maketrans(dict.fromkeys("’ʻʼ‘`´", "'"))
_BETWEEN = re.compile(r"[\s\-‐‑–.]+")


@functools.lru_cache(maxsize=16384)
def aspirated_key(name: str) -> str:
    """The spelling without case, spaces, hyphens and diacritics, aspirates kept."""
    plain = unicodedata.normalize("NFKD", name.translate(_APOSTROPHES)).casefold()
    kept = "".join(c for c in plain if c.isalnum() or c == "'")
    return kept.strip("'")


def loose_key(name: str) -> str:
    """The spelling without aspirates as well."""
    return fold(name)


# From memory of how English speakers and recognisers hear and spell Chinese and Japanese names;
# letters that romanisations use for the same sounds (Wade-Giles hs, pinyin x) become one.
_SOUNDS = tuple(
    (re.compile(pattern), plain)
    for pattern, plain in (
        (r"ngu(?=e)", "n"),
        (r"hs|sh|x", "s"),
        (r"zh|ch|q|j|tz|ts|z|c(?![h])", "c"),
        (r"g(?!h?$)", "k"),
        (r"(?<=n)k(?![aeiouy])|(?<=n)k$|(?<=n)g$", ""),
        (r"b", "p"),
        (r"d", "t"),
        (r"w", "u"),
        (r"y", "i"),
        (r"(?<=[aeiou])h", ""),
        (r"ee|ea|ie", "i"),
        (r"ai|ei|ay|ey|ae", "e"),
        (r"oo|ou|o", "u"),
        (r"(.)\1+", r"\1"),
    )
)


@functools.lru_cache(maxsize=16384)
def sound_key(key: str) -> str:
    """A rough spelling by sound of a loose key."""
    for pattern, plain in _SOUNDS:
        key = pattern.sub(plain, key)
    return key


def edit_distance(one: str, other: str, limit: int) -> int:
    """Letters inserted, left out, changed or swapped with their neighbour between two words.

    Stops at `limit` + 1, which then means 'more'. (Optimal string alignment distance.)
    """
    if abs(len(one) - len(other)) > limit:
        return limit + 1
    before: list[int] = []
    previous = list(range(len(other) + 1))
    for i, a in enumerate(one, 1):
        current = [i]
        for j, b in enumerate(other, 1):
            cost = min(previous[j] + 1, current[j - 1] + 1, previous[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            current.append(cost)
        if min(current) > limit:
            return limit + 1
        before, previous = previous, current
    return previous[-1]


class Approximate(NamedTuple, Generic[Entry]):
    """An entry found by sound or by a slip of spelling, and how near it is (1: the same)."""

    entries: tuple[Entry, ...]
    nearness: float
    spelling: str


class NameIndex(Generic[Entry]):
    """Entries by every spelling of their names. Built once, never changed."""

    def __init__(self, names: Iterable[tuple[str, Entry]]) -> None:
        aspirated: dict[str, list[Entry]] = {}
        loose: dict[str, list[Entry]] = {}
        starts: dict[str, int] = {}
        for name, entry in names:
            for keys, key in ((aspirated, aspirated_key(name)), (loose, loose_key(name))):
                if key and entry not in (at := keys.setdefault(key, [])):
                    at.append(entry)
            words = [w for w in map(fold, _BETWEEN.split(name)) if w]
            for split in range(1, len(words) + 1):
                start = "".join(words[:split])
                starts[start] = max(starts.get(start, 0), len(words) - split + 1)
        self._aspirated = {key: tuple(found) for key, found in aspirated.items()}
        self._loose = {key: tuple(found) for key, found in loose.items()}
        self._starts = starts
        sounds: dict[str, set[str]] = {}
        for key in loose:
            if key.isascii() and len(key) >= 5:
                sounds.setdefault(sound_key(key), set()).add(key)
        self._sounds = {sound: tuple(sorted(keys)) for sound, keys in sounds.items()}

    def begins(self, folded: str) -> bool:
        """Whether any name begins with this (folded) word."""
        return folded in self._starts

    def longest(self, words: Sequence[str], texts: Sequence[str]) -> tuple[int, tuple[Entry, ...]]:
        """How many of the folded `words` make up the longest name, and what it may be.

        `texts` are the same words as written, with what stands before them since the first: a
        written aspirate decides between names that differ in nothing else.
        """
        most = self._starts.get(words[0], 0) if words else 0
        key = ""
        best: tuple[int, tuple[Entry, ...]] = (0, ())
        for count, word in enumerate(words[: most + 1], 1):
            key += word
            found = self._loose.get(key)
            if found is not None:
                if len(found) > 1:
                    found = self._narrowed(texts[count - 1], found)
                best = (count, found)
        return best

    def _narrowed(self, written: str, found: tuple[Entry, ...]) -> tuple[Entry, ...]:
        key = aspirated_key(written)
        exact = self._aspirated.get(key, ())
        return exact if "'" in key and exact else found

    def exactly(self, name: str) -> tuple[Entry, ...]:
        """What the whole of `name` may be."""
        key = loose_key(name)
        found = self._loose.get(key, ())
        return self._narrowed(name, found) if len(found) > 1 else found

    def approximately(self, name: str) -> Approximate[Entry] | None:
        """The one name that `name` is near to, by sound first and then by spelling.

        None where it is a name as it stands, is shorter than five letters, or is as near to two.
        One slip is allowed in five letters, two in eight.
        """
        key = loose_key(name)
        if len(key) < 5 or len(key) > 24 or key in self._loose:
            return None
        sound = sound_key(key)
        limit = 1 if len(key) < 8 else 2
        ranked: list[tuple[float, int, str]] = []
        for other_sound, spellings in self._sounds.items():
            if other_sound[0] != sound[0] or len(other_sound) < 4:
                continue
            heard = edit_distance(sound, other_sound, limit)
            for spelling in spellings:
                slips = edit_distance(key, spelling, limit)
                distance = min(slips, heard + 1.0)
                if distance <= limit:
                    ranked.append((distance, heard + slips, spelling))
        if not ranked:
            return None
        ranked.sort()
        nearest = ranked[0][:2]
        entries, spelling = self._loose[ranked[0][2]], ranked[0][2]
        rivals = (self._loose[other] for *rank, other in ranked if tuple(rank) == nearest)
        if any(rival != entries for rival in rivals):
            return None
        return Approximate(entries, max(0.1, 1 - ranked[0][0] / len(key)), spelling)

    def names(self) -> Mapping[str, tuple[Entry, ...]]:
        """Every loose spelling and what it may be."""
        return self._loose
