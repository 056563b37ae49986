"""The search index: sixteen classic scripts, each of the pieces whose UUID begins with its digit.

A changed piece changes one of them. Each holds its pieces as columns, and two lists of where
something stands: the words, and the values of facets. `js/index.js` reads it.

Where something stands is a row of numbers, rising, each told as its distance from the one before
in digits of five bits, the highest first but for a sixth bit that says 'more to come'.

Measured at 20,000 invented pieces, on two busy cores (`tests/benchmarks/library.py`): 4.9 MB
with cards, years, sizes and facets (1.4 MB by gzip), opened and searched for the first time in
0.3 s, from a key to painted results in 70 ms at most. MiniSearch 7.2 over the same words alone
takes 10.8 MB (3.0 by gzip), is opened in 0.4 s, and changes as a whole. Pagefind 1.5 writes 20,184
files of 20 MB and loads them as modules and by fetch, both of which Chromium refuses from a disk.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import msgspec

from archivist.finding.facets import FACETS
from archivist.finding.names import SIGN, names_of_the_trade
from archivist_plugins.reference_library.digits import DIGITS
from archivist_plugins.reference_library.entry import LibraryEntry
from archivist_plugins.reference_library.glaze import signs

CHUNKS = "0123456789abcdef"

CARD_SIZES = (240, 480)
"""Longest side in pixels that a card's picture has at least, at one and two dots a pixel."""


def chunk_of(entry_id: str) -> str:
    """The digit of the chunk that a piece belongs to."""
    return entry_id[0].lower()


def rows(numbers: Iterable[int]) -> str:
    """Rising numbers as text."""
    text: list[str] = []
    last = -1
    for number in numbers:
        distance, last = number - last - 1, number
        digits = [distance & 31]
        while distance := distance >> 5:
            digits.append(distance & 31)
        text.extend(DIGITS[digit | 32] for digit in reversed(digits[1:]))
        text.append(DIGITS[digits[0]])
    return "".join(text)


def chunk(digit: str, entries: Iterable[LibraryEntry]) -> str:
    """One chunk as a script; entries in order of their UUID."""
    pieces = sorted(entries, key=lambda entry: entry.id)
    words: defaultdict[str, list[int]] = defaultdict(list)
    values: dict[str, defaultdict[str, list[int]]] = {f.name: defaultdict(list) for f in FACETS}
    for row, piece in enumerate(pieces):
        for word in piece.words:
            words[word].append(row)
        for name, found in piece.facets.items():
            for value in found:
                values[name][value].append(row)
    made = {
        "ids": [piece.id for piece in pieces],
        "titles": [piece.title for piece in pieces],
        "numbers": [piece.number for piece in pieces],
        "dates": [piece.date for piece in pieces],
        "earliest": [piece.earliest for piece in pieces],
        "latest": [piece.latest for piece in pieces],
        "heights": [piece.height for piece in pieces],
        "across": [piece.across for piece in pieces],
        "pictures": [card_picture(piece) for piece in pieces],
        "colours": " ".join(signs(piece.colours.glaze) for piece in pieces),
        "words": " ".join(sorted(words)),
        "rows": " ".join(rows(words[word]) for word in sorted(words)),
        "facets": {name: _told(found) for name, found in values.items() if found},
    }
    return _call("chunk", digit, made)


def _told(found: Mapping[str, list[int]]) -> dict[str, str]:
    return {value: rows(numbers) for value, numbers in sorted(found.items())}


def card_picture(piece: LibraryEntry) -> str:
    """'BASE WxH WxH ALT': the picture of a card in one or two sizes; '' where there is none."""
    picture = piece.picture
    if picture is None:
        return ""
    sizes = dict.fromkeys(picture.size(wanted) for wanted in CARD_SIZES)
    told = " ".join(f"{size.width}x{size.height}" for size in sizes)
    return f"{picture.base} {told} {picture.view}"


def names_script(entries: Iterable[LibraryEntry]) -> str:
    """The names that mean the same, of those groups that stand in the collection."""
    signs = {word for piece in entries for word in piece.words if word.startswith(SIGN)}
    groups = names_of_the_trade().groups
    return _call("names", {sign: groups[sign] for sign in sorted(signs) if sign in groups})


def chunks(entries: Iterable[LibraryEntry]) -> Iterator[tuple[str, str]]:
    """The digit and script of every chunk, also of those that hold nothing."""
    by_digit: dict[str, list[LibraryEntry]] = {digit: [] for digit in CHUNKS}
    for piece in entries:
        by_digit[chunk_of(piece.id)].append(piece)
    for digit, pieces in by_digit.items():
        yield digit, chunk(digit, pieces)


def _call(name: str, *arguments: Any) -> str:
    told = ",".join(msgspec.json.encode(argument).decode("utf-8") for argument in arguments)
    return f"library.{name}({told});\n"
