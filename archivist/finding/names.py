"""Names that mean the same: 'Ch'ien-lung', 'Qianlong' and '乾隆' find each other.

The groups are those of the tables of the trade. A piece whose words hold any name of a group
bears the group's sign in the search index; whoever types another name of it finds the piece.
"""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from archivist.finding.folding import tokens
from archivist_schemas import schema_file

_TRADES = (
    "arms",
    "ceramics",
    "clocks",
    "furniture",
    "glass",
    "jewellery",
    "prints",
    "sculpture",
    "silver",
    "textiles",
)
TABLES: dict[str, tuple[str, ...]] = {
    "terms.csv": ("label", "variant"),
    **{f"terms_{trade}.csv": ("label", "variant") for trade in _TRADES},
    "places.csv": ("label", "variant"),
    "makers.csv": ("label", "variant"),
    "periods.csv": ("label", "variant", "characters"),
    "reigns.csv": ("label", "variant", "characters"),
    "eras.csv": ("label", "variant", "characters"),
    "european_periods.csv": ("label", "variant", "characters"),
}
"""The tables, and their columns that hold names."""

SIGN = "="
"""What a group's sign begins with in the index; no word can."""

Phrase = tuple[str, ...]


@dataclass(frozen=True)
class Names:
    """Groups of names: `groups` by sign, `signs` by phrase, `longest` in words."""

    groups: Mapping[str, tuple[str, ...]]
    signs: Mapping[Phrase, tuple[str, ...]]
    longest: int

    def in_words(self, words: Sequence[str]) -> Iterator[str]:
        """The signs of all groups of which a name stands in `words`."""
        for start in range(len(words)):
            for end in range(start + 1, min(start + self.longest, len(words)) + 1):
                yield from self.signs.get(tuple(words[start:end]), ())


def grouped(rows: Iterable[Sequence[str]]) -> Names:
    """The groups of `rows`, each the names of one thing; those with a single name are no group."""
    groups: dict[str, tuple[str, ...]] = {}
    signs: defaultdict[Phrase, list[str]] = defaultdict(list)
    for names in rows:
        phrases = dict.fromkeys(filter(None, (tuple(tokens(name)) for name in names)))
        if len(phrases) < 2:
            continue
        sign = SIGN + "-".join(next(iter(phrases)))
        known = groups.get(sign, ())
        groups[sign] = tuple(dict.fromkeys([*known, *(" ".join(p) for p in phrases)]))
        for phrase in phrases:
            if sign not in signs[phrase]:
                signs[phrase].append(sign)
    longest = max(map(len, signs), default=0)
    return Names(groups, {phrase: tuple(found) for phrase, found in signs.items()}, longest)


@cache
def names_of_the_trade() -> Names:
    """The groups of the tables that come with the program."""
    return grouped(_rows())


def _rows() -> Iterator[list[str]]:
    for table, columns in TABLES.items():
        text = schema_file("tables", table).read_text(encoding="utf-8")
        for row in csv.DictReader(io.StringIO(text, newline="")):
            yield [name for column in columns for name in (row[column] or "").split("|")]
