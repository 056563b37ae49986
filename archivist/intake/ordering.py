"""The order in which a person would put files: numbers by their value, cards that began again."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import PurePosixPath

_NUMBERS = re.compile(r"(\d+)")
_OF_CAMERA = re.compile(r"(\d{4})(?!.*\d)")
_LAST, _FIRST = 9000, 1000
"""Numbers of a card from and up to which it may have begun again: they go from 0001 to 9999
(DCF, JEITA CP-3461B)."""

Natural = tuple[tuple[int, str], ...]


def natural(words: str) -> Natural:
    """Words in the order of a person: 'IMG_9' before 'IMG_10'."""
    parts = _NUMBERS.split(words.casefold())
    return tuple((int(p), "") if p.isdigit() else (-1, p) for p in parts)


def began_again(paths: Sequence[str]) -> bool:
    """Whether files of one folder are of a card whose numbers went past 9999 and began again."""
    numbers = {n for path in paths if (n := _number(path))}
    high = {n for n in numbers if n >= _LAST}
    low = {n for n in numbers if n <= _FIRST}
    return bool(high and low) and len(high) + len(low) == len(numbers) == len(set(paths))


def in_series(path: str, again: bool) -> tuple[bool, Natural]:
    """A file's place among those of its folder; of a card that began `again` low numbers come
    last."""
    return again and _number(path) <= _FIRST, natural(path)


def _number(path: str) -> int:
    """The four digits that a camera ends a name with, 0 where it has none."""
    match = _OF_CAMERA.search(PurePosixPath(path).stem)
    return int(match[1]) if match else 0
