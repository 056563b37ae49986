"""What says of two files, whatever they look like, that a shutter opened twice.

Two exposures of one pot may be as alike as a picture and its copy. What a camera wrote down settles
it: a copy keeps the time of its original, or loses it, and a camera never gives one picture two
numbers.
"""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from archivist.intake.pictures.keeping import Picture
from archivist.intake.pictures.names import folded, runs, words_of
from archivist.reading.tables import Tables

_COUNTED = re.compile(r"\s*[(\[]\s*\d{1,2}\s*[)\]]\s*$")
_FEWEST = 3
"""Digits of the number that a camera or scanner gives a picture."""

_SECONDS = 19
"""Characters of a time to the second; what follows is its fraction."""


def told_apart(one: Picture, other: Picture) -> str:
    """Why two files cannot be one picture by what their cameras wrote down; '' where they may."""
    if clocks_differ(one.clock, other.clock):
        return "their cameras name two moments"
    same = same_clock(one.clock, other.clock) and len(one.clock) > _SECONDS
    if one.series and one.series == other.series and one.number != other.number and not same:
        return "the camera or scanner numbered them as two pictures"
    return ""


def clocks_differ(one: str, other: str) -> bool:
    """Whether two times cannot be one: other seconds, or other fractions where both have any."""
    if not one or not other:
        return False
    if one[:_SECONDS] != other[:_SECONDS]:
        return True
    parts = [clock[_SECONDS + 1 :].rstrip("0") for clock in (one, other)]
    return all(parts) and parts[0] != parts[1]


def same_clock(one: str, other: str) -> bool:
    """Whether both say when, and the same."""
    return bool(one) and bool(other) and not clocks_differ(one, other)


def numbered(path: str, tables: Tables) -> tuple[str, str]:
    """The series that a camera or scanner numbered a file in, and its number there; '' twice where
    a person named it.

    'trip/IMG_0417.JPG' is number '0417' of the series 'trip/img'. A counter in brackets is no part
    of the number: copying within a folder adds it.
    """
    place = PurePosixPath(path)
    parts = runs(_COUNTED.sub("", folded(place.stem)))
    letters = [part for part in parts if not part.isdigit()]
    digits = [part for part in parts if part.isdigit()]
    moment = [len(part) for part in digits[:2]] == [8, 6]
    if not all(word in words_of(tables, "numbering word") for word in letters):
        return "", ""
    if sum(map(len, digits)) < _FEWEST or not (moment or len(letters) == len(digits) == 1):
        return "", ""
    return f"{place.parent}/{' '.join(letters)}", " ".join(digits)
