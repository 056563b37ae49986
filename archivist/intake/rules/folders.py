"""What the words of a folder's name speak of: a piece, or the history of its photographs.

A sale, a backup, a website, a customer or a year says what became of photographs, and nothing of a
piece; a word of the trade (a form, a ware, a material) says that a piece is meant.
"""

from __future__ import annotations

import functools

from archivist.intake.pictures.names import is_general_folder, runs, words_of
from archivist.intake.rules.number_meanings import CAMERA_FOLDER, DAY, number_meanings
from archivist.reading.tables import Tables

_OF_A_PIECE = (
    "form", "ware", "material", "technique", "glaze", "decoration", "subject", "colour", "kiln",
)  # fmt: skip
"""The kinds of terms by which a piece is called."""


@functools.lru_cache(maxsize=4)
def _piece_words(tables: Tables) -> frozenset[str]:
    general = words_of(tables, "general folder") | words_of(tables, "history word")
    words: set[str] = set()
    for kind in _OF_A_PIECE:
        words |= words_of(tables, kind)
    return frozenset(words - general - words_of(tables, "view"))


@functools.lru_cache(maxsize=4096)
def says_a_piece(name: str, tables: Tables) -> bool:
    """Whether a name has a word of the trade for a piece ('blue vase', 'moon jar')."""
    parts = runs(name)
    known = _piece_words(tables)
    return any(
        " ".join(parts[place : place + length]) in known
        for length in (1, 2, 3)
        for place in range(len(parts) - length + 1)
    ) or any(part[:-1] in known for part in parts if part.endswith("s") and len(part) > 3)


@functools.lru_cache(maxsize=4096)
def says_history(name: str, tables: Tables) -> bool:
    """Whether a name speaks of what became of photographs or pieces: a sale, a backup, a website;
    or of a number that is a price, a count, a page, and no day."""
    parts = runs(name)
    known = words_of(tables, "history word")
    if any(
        " ".join(parts[place : place + length]) in known
        for length in (1, 2)
        for place in range(len(parts) - length + 1)
    ):
        return True
    return any(m.what not in (DAY, CAMERA_FOLDER) for m in number_meanings(name, tables))


@functools.lru_cache(maxsize=4096)
def is_witness_of_time(name: str, tables: Tables, *, exact: bool) -> bool:
    """Whether a folder's name may tell when the photographs in it were taken: it has no word of
    what became of them, and beside a bare year (not `exact`: no month, no day) none but words of
    taking photographs; the year of a customer or a place is another one."""
    if says_history(name, tables):
        return False
    taking = words_of(tables, "taking word") | words_of(tables, "general folder")
    return exact or all(part.isdigit() or part in taking for part in runs(name))


def says_nothing_of_a_piece(name: str, tables: Tables) -> bool:
    """Whether a folder's name is general or of history, and has no word of a piece."""
    if is_general_folder(name, tables):
        return True
    return says_history(name, tables) and not says_a_piece(name, tables)
