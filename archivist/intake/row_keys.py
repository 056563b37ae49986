"""Which row of a source is which: known again by its number, else by its words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence

from archivist.catalogue.sources import ImportedCell
from archivist.hooks import FoundRow

ALIKE = 0.5
"""The part of its cells that a row must share with an imported one to be taken for it, perhaps."""

COMMON = 200
"""Rows that may have the same cell before the cell says nothing of which row it is."""

Imported = Mapping[str, Mapping[str, ImportedCell]]
"""The cells of a source as last taken in: by row key, then by column."""


def row_keys(
    rows: Sequence[FoundRow], numbers: Sequence[str], imported: Imported
) -> tuple[list[str], dict[str, str]]:
    """A key for each row, and for rows that may be imported ones changed, the key of those.

    A number that is used once is the key. Rows that share a number, or have none, are known
    again by all their words; else they get the next free key of their number.
    """
    used = Counter(numbers)
    keys = [number if number and used[number] == 1 else "" for number in numbers]
    again = _by_content(rows, keys, imported)
    for place, key in again.items():
        keys[place] = key
    free = set(imported) - set(keys)
    alike = _Alike(imported, free)
    reviewed: dict[str, str] = {}
    taken = set(keys) | set(imported)
    counters: Counter[str] = Counter()
    for place, row in enumerate(rows):
        if not keys[place]:
            number = numbers[place]
            key = number
            while not key or key in taken or (used[number] > 1 and "#" not in key):
                counters[number] += 1
                key = f"{number}#{counters[number]}"
            keys[place] = key
            taken.add(key)
        if keys[place] not in imported and free:
            like = alike.most(row, numbers[place], free)
            if like:
                reviewed[keys[place]] = like
                free.discard(like)
    return keys, reviewed


def _by_content(
    rows: Sequence[FoundRow], keys: Sequence[str], imported: Imported
) -> dict[int, str]:
    """Rows without a key of their own that are, word for word, imported ones."""
    if not imported:
        return {}
    known: dict[frozenset[tuple[str, str]], list[str]] = {}
    settled = set(keys)
    for key, cells in imported.items():
        if key not in settled:
            known.setdefault(_content((c.column, c.text) for c in cells.values()), []).append(key)
    found: dict[int, str] = {}
    for place, row in enumerate(rows):
        if keys[place] not in imported:
            same = known.get(_content((c.column, c.text) for c in row.cells))
            if same:
                found[place] = same.pop(0)
    return found


class _Alike:
    """Finds imported rows by the words that they share with another row."""

    def __init__(self, imported: Imported, keys: Iterable[str]) -> None:
        self._imported = imported
        self._with: dict[tuple[str, str], list[str]] = {}
        for key in keys:
            for cell in imported[key].values():
                self._with.setdefault((cell.column, cell.text), []).append(key)

    def most(self, row: FoundRow, number: str, free: Collection[str]) -> str:
        """The free row that shares most of its words with `row`, '' if none shares enough.

        Words that very many rows have say nothing of which one it is.
        """
        words = {(cell.column, cell.text) for cell in row.cells if cell.text}
        votes: Counter[str] = Counter()
        for word in words:
            keys = self._with.get(word, ())
            if len(keys) <= COMMON:
                votes.update(key for key in keys if key in free)
        best, most = "", ALIKE
        for key in votes:
            cells = self._imported[key]
            same = sum((c.column, c.text) in words for c in cells.values())
            share = same / max(len(cells), len(words))
            if number and key.partition("#")[0] == number:
                share += 0.3
            if share > most:
                best, most = key, share
        return best


def _content(cells: Iterable[tuple[str, str]]) -> frozenset[tuple[str, str]]:
    """All words of a row, by column; empty cells do not count."""
    return frozenset((column, text) for column, text in cells if text)
