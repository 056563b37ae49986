"""All that reading dates needs of the tables, compiled once for each set of tables."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import NamedTuple

from archivist.reading.conventions import Conventions
from archivist.reading.dates.calendars import sexagenary_position
from archivist.reading.dates.words import Lexicon, build_lexicon, mendable
from archivist.reading.names import NameIndex
from archivist.reading.numerals import Numerals, numerals_of
from archivist.reading.tables import PeriodRow, Tables

_MISHEARD = frozenset({"China", "Japan", "Korea", "Vietnam"})


class Lore(NamedTuple):
    """Words, names and conventions in the form in which the grammar asks for them.

    `misheard` are the names that are looked for by sound: those of reigns of East Asia and of the
    periods of Japan and Korea, without the many short-lived Japanese eras, which would be near to
    too much. `characters` gives periods by their characters, `cycle` the place in the cycle of 60
    by its two characters, `numerals` numbers by character, `han_words` the words for century, time
    and part by kind and characters. `mendable` are the words that are looked for when misspelt,
    each with its meaning, `spelled` the numbers in words.
    """

    conventions: Conventions
    lexicon: Lexicon
    periods: NameIndex[PeriodRow]
    misheard: NameIndex[PeriodRow]
    dynasties: Mapping[int, PeriodRow]
    characters: Mapping[str, tuple[PeriodRow, ...]]
    cycle_names: NameIndex[int]
    cycle: Mapping[str, int]
    numerals: Mapping[str, int]
    han_words: Mapping[tuple[str, str], str]
    mendable: tuple[tuple[str, str], ...]
    spelled: Numerals


@functools.lru_cache(maxsize=16)
def lore_of(tables: Tables) -> Lore:
    """What the grammar needs of `tables`."""
    characters: dict[str, tuple[PeriodRow, ...]] = {}
    for row in tables.periods:
        for written in row.characters:
            characters[written] = (*characters.get(written, ()), row)
    names, cycle = _sexagenary(tables)
    lexicon = build_lexicon(tables.date_words)
    return Lore(
        conventions=tables.conventions,
        lexicon=lexicon,
        mendable=mendable(lexicon),
        spelled=numerals_of(tables),
        periods=NameIndex((n, row) for row in tables.periods for n in (row.label, *row.variants)),
        misheard=NameIndex(
            (n, row)
            for row in tables.periods
            if row.culture in _MISHEARD
            and row.vocabulary != "eras"
            and row.bare == "yes"
            and (row.kind in ("reign", "era") or row.culture in ("Japan", "Korea"))
            for n in (row.label, *row.variants)
        ),
        dynasties={
            int(number): row
            for row in tables.periods
            if row.culture == "Egypt" and (number := row.label.removeprefix("Dynasty ")).isdigit()
        },
        characters=characters,
        cycle_names=names,
        cycle=cycle,
        numerals={v: int(row.code) for row in tables.terms("numeral") for v in row.variants},
        han_words={
            (row.kind.removeprefix("han "), written): row.label
            for row in tables.terms("han century", "han time", "han part")
            for written in row.variants
        },
    )


def _sexagenary(tables: Tables) -> tuple[NameIndex[int], dict[str, int]]:
    spelled: list[tuple[str, int]] = []
    written: dict[str, int] = {}
    for stem in tables.terms("stem"):
        for branch in tables.terms("branch"):
            place = sexagenary_position(int(stem.code), int(branch.code))
            if place is None:
                continue
            (wade_stem, stem_character, *_), (wade_branch, branch_character, *_) = (
                stem.variants,
                branch.variants,
            )
            written[stem_character + branch_character] = place
            spelled.append((f"{stem.label}-{branch.label}", place))
            spelled.append((f"{wade_stem}-{wade_branch}", place))
    return NameIndex(spelled), written
