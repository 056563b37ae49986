"""The search: the same as the reference library's, over the index that an archive keeps.

`plugins/archivist_plugins/reference_library/js/index.js` answers alike; a test asks both.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

import msgspec

from archivist.errors import SelectionError
from archivist.finding.entry import Entry
from archivist.finding.folding import fold, tokens
from archivist.finding.names import SIGN, names_of_the_trade
from archivist.finding.order import in_order
from archivist.finding.query import Query, Sizes, Years
from archivist.imaging.colour.values import GlazeColours

LEAST_TYPED = 3
"""Letters from which on a name counts as begun (as JavaScript counts them, in UTF-16 units)."""

_LAST = "\U0010ffff"
"""After every word that begins with what stands before it."""


@dataclass(frozen=True)
class Found:
    """A piece found: what is known of it, and whether it lies in whole in the years asked for.

    `certainly` is None where no years were asked for; `difference` (CIEDE2000) and the colours of
    the `glaze` where no colour was.
    """

    entry: Entry
    certainly: bool | None = None
    difference: float | None = None
    glaze: GlazeColours | None = None


@dataclass(frozen=True)
class Answer:
    """The pieces found, in order; how many were left out only because they have no date."""

    found: tuple[Found, ...]
    dateless: int = 0


@dataclass(frozen=True)
class Need:
    """What must be found: a sign of names that mean the same, or each of the words begun."""

    signs: tuple[str, ...]
    words: tuple[str, ...]


def search(index: sqlite3.Connection, query: Query) -> Answer:
    """The pieces of `index` that `query` asks for.

    Raises:
        SelectionError: for words without a letter or digit.
    """
    fitting: set[int] | None = None
    for met in _conditions(index, query):
        fitting = met if fitting is None else fitting & met
    rows = index.execute("SELECT row, id, earliest, latest FROM piece")
    dated = query.made != (None, None)
    certain: dict[int, bool | None] = {}
    dateless = 0
    for row in rows:
        if fitting is not None and row["row"] not in fitting:
            continue
        if not dated:
            certain[row["row"]] = None
            continue
        possibly, certainly = within((row["earliest"], row["latest"]), query.made)
        dateless += row["earliest"] is None and row["latest"] is None
        if certainly if query.certainly else possibly:
            certain[row["row"]] = certainly
    entries = _entries(index, certain)
    ordered = in_order(entries, query.order)
    return Answer(tuple(Found(entries[place], certain[place]) for place in ordered), dateless)


def within(dated: Years, asked: Years) -> tuple[bool, bool]:
    """Whether a date may lie in the years `asked` for, and whether it certainly does."""
    (earliest, latest), (first, last) = dated, asked
    if earliest is None and latest is None:
        return False, False
    possibly = (last is None or earliest is None or earliest <= last) and (
        first is None or latest is None or latest >= first
    )
    certainly = (first is None or (earliest is not None and earliest >= first)) and (
        last is None or (latest is not None and latest <= last)
    )
    return possibly, certainly


def _conditions(index: sqlite3.Connection, query: Query) -> Iterator[set[int]]:
    """The rows that each part of the query lets stand, but for the years."""
    if query.words.strip():
        needs = needs_of(query.words, _names_there(index))
        if not needs:
            raise SelectionError(
                f"'{query.words}' has no letter or digit to look for.", "Name a word of the record."
            )
        for need in needs:
            yield _meeting(index, need)
    for name, values in query.facets.items():
        yield {row for value in values for row in _rows(index, _WITH_VALUE, (name, value))}
    for column, sizes in (("height", query.height), ("across", query.across)):
        if sizes != (None, None):
            yield _sized(index, column, sizes)
    if query.ids is not None:
        known = msgspec.json.encode(query.ids).decode("utf-8")
        yield _rows(
            index, "SELECT row FROM piece WHERE id IN (SELECT value FROM json_each(?))", (known,)
        )


_WITH_VALUE = "SELECT piece FROM facet WHERE name = ? AND value = ?"


def _rows(index: sqlite3.Connection, sql: str, values: Sequence[object]) -> set[int]:
    return {row[0] for row in index.execute(sql, values)}


def _sized(index: sqlite3.Connection, column: str, sizes: Sizes) -> set[int]:
    """What may be as large as asked for: a size that is told as a range may be any within it."""
    least, most = sizes
    return _rows(
        index,
        f"SELECT row FROM piece WHERE {column}_low IS NOT NULL "
        f"AND {column}_high >= ? AND {column}_low <= ?",
        (float(least or 0), float(most) if most is not None else float(Decimal("Infinity"))),
    )


def _names_there(index: sqlite3.Connection) -> dict[str, tuple[str, ...]]:
    """The signs of each name of those groups of which a piece bears a name."""
    groups = names_of_the_trade().groups
    end = chr(ord(SIGN) + 1)
    there = index.execute(
        "SELECT DISTINCT word FROM word WHERE word >= ? AND word < ?", (SIGN, end)
    )
    names: dict[str, tuple[str, ...]] = {}
    for (sign,) in there.fetchall():
        for name in groups.get(sign, ()):
            names[name] = (*names.get(name, ()), sign)
    return names


def needs_of(text: str, names: Mapping[str, tuple[str, ...]]) -> list[Need]:
    """What must be found for the words of `text`: each word begun, or a name that means the same.

    The longest run of words that is a name counts as one; so does all that is left where it begins
    one, which is what somebody types who has not come to its end.
    """
    words = list(tokens(text))
    needs: list[Need] = []
    place = 0
    while place < len(words):
        rest = " ".join(words[place:])
        long = len(rest.encode("utf-16-le")) // 2 >= LEAST_TYPED
        begun = [name for name in names if name.startswith(rest)] if long else []
        length = len(words) - place
        while not begun and length > 1 and " ".join(words[place : place + length]) not in names:
            length -= 1
        part = tuple(words[place : place + length])
        known = begun or [" ".join(part)]
        signs = dict.fromkeys(sign for name in known for sign in names.get(name, ()))
        needs.append(Need(tuple(signs), part))
        place += length
    return needs


def _meeting(index: sqlite3.Connection, need: Need) -> set[int]:
    """The rows that bear one of the signs, or have every word begun."""
    named: set[int] = set()
    for sign in need.signs:
        named |= _rows(index, "SELECT piece FROM word WHERE word = ?", (sign,))
    worded: set[int] | None = None
    for word in need.words:
        begun = _rows(
            index,
            "SELECT DISTINCT piece FROM word WHERE word >= ? AND word < ?",
            (word, f"{word}{_LAST}"),
        )
        worded = begun if worded is None else worded & begun
    return named | (worded or set())


def _entries(index: sqlite3.Connection, places: Iterable[int]) -> dict[int, Entry]:
    """What is known of the pieces in those rows."""
    decoder = msgspec.json.Decoder(Entry)
    wanted = msgspec.json.encode(list(places)).decode("utf-8")
    rows = index.execute(
        "SELECT row, entry FROM piece WHERE row IN (SELECT value FROM json_each(?))", (wanted,)
    )
    return {row["row"]: decoder.decode(row["entry"]) for row in rows}


def facet_values(index: sqlite3.Connection, name: str) -> dict[str, int]:
    """The values of a facet, and how many pieces have each, the most first."""
    rows = index.execute(
        "SELECT value, count(*) AS pieces FROM facet WHERE name = ? GROUP BY value "
        "ORDER BY pieces DESC, value",
        (name,),
    )
    return {row["value"]: row["pieces"] for row in rows}


def meant(typed: str, values: Iterable[str]) -> tuple[str, ...]:
    """Which of a facet's `values` are meant by what was typed.

    The value itself, whatever its case and marks; else names that mean the same; else those that
    begin so.
    """
    asked = fold(typed)
    known = {value: fold(value) for value in values}
    same = tuple(value for value, folded in known.items() if folded == asked)
    if same or not asked:
        return same
    signs = names_of_the_trade().signs
    wanted = set(signs.get(tuple(tokens(typed)), ()))
    named = tuple(v for v in known if wanted.intersection(signs.get(tuple(tokens(v)), ())))
    return named or tuple(value for value, folded in known.items() if folded.startswith(asked))
