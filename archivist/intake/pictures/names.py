"""What the names of files and folders are worth: copies, dates, places, pieces."""

from __future__ import annotations

import datetime
import functools
import re
import unicodedata

from archivist.intake.rules.number_meanings import (
    CAMERA_FOLDER,
    OF_MACHINES,
    number_meanings,
    without_other_numbers,
)
from archivist.reading.tables import Tables

_RUN = re.compile(r"\d+|[^\W\d_]+")
_BRACKETS = re.compile(r"\s*[(\[]\s*(?:\d{1,2}|[^()\[\]\d]*)\s*[)\]]\s*$")
_DAY = re.compile(r"(?<!\d)((?:19|20)\d\d)[-_. ]?(0[1-9]|1[0-2])[-_. ]?(0[1-9]|[12]\d|3[01])(?!\d)")
_MOMENT = re.compile(
    r"(?<!\d)((?:19|20)\d\d)[-_.]?(0[1-9]|1[0-2])[-_.]?(0[1-9]|[12]\d|3[01])"
    r"[-_. T]+(?:(?:at|um|om|alle(?:[ _]ore)?|a[ _]las|a)[ _])?"
    r"([01]\d|2[0-3])[-_.h]?([0-5]\d)[-_.m]?([0-5]\d)(?:\d{3})?(?!\d)"
)


def folded(text: str) -> str:
    """Without case and accents, in one form of Unicode."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return unicodedata.normalize("NFKC", "".join(c for c in plain if not unicodedata.combining(c)))


def runs(text: str) -> list[str]:
    """The runs of letters and of digits, folded."""
    return _RUN.findall(folded(text))


@functools.lru_cache(maxsize=16)
def words_of(tables: Tables, kind: str) -> frozenset[str]:
    """All names of the rows of a kind, folded."""
    return frozenset(
        " ".join(runs(name)) for row in tables.terms(kind) for name in (row.label, *row.names)
    )


def plain_stem(stem: str, tables: Tables) -> tuple[str, bool]:
    """A name without what copies are called by, and whether there was any of it.

    'Copy of foot', 'foot copy', 'foot_small', 'foot (2)' and 'foot-edited' are all 'foot'.
    """
    text, worked = folded(stem), False
    while (bare := _BRACKETS.sub("", text)) != text and bare.strip():
        inside = text[len(bare) :]
        worked = worked or bool(re.search(r"[^\W\d_]", inside))
        if re.fullmatch(r"\s*[(\[]\s*\d{1,2}\s*[)\]]\s*", inside):
            # A count of copies ('foot - copy (2)') goes with them; 'foot (2)' may be another view.
            text = bare if plain_stem(bare, tables)[1] else text
            break
        text = bare
    parts = runs(text)
    copies = words_of(tables, "copy word")
    changed = True
    while changed and parts:
        changed = False
        for length in (3, 2, 1):
            for cut in (parts[:length], parts[-length:]):
                if len(parts) > length and " ".join(cut) in copies:
                    parts = parts[length:] if cut == parts[:length] else parts[:-length]
                    changed = worked = True
                    break
            if changed:
                break
    return " ".join(parts), worked


def moment_in(name: str) -> str:
    """The moment that a name states ('20171028_101112'), to the second; '' if none."""
    match = _MOMENT.search(name)
    if not match:
        return ""
    year, month, day, hour, minute, second = (int(part) for part in match.groups())
    try:
        return datetime.datetime(year, month, day, hour, minute, second).isoformat()  # noqa: DTZ001
    except ValueError:
        return ""


def day_in(name: str) -> str:
    """The day that a name states ('2009-03-14', '20090314'); '' if none."""
    match = _DAY.search(name)
    if not match:
        return ""
    try:
        return datetime.date(int(match[1]), int(match[2]), int(match[3])).isoformat()
    except ValueError:
        return ""


_FEWEST, _MOST = 3, 6
"""Digits of a dealer's own number."""


@functools.lru_cache(maxsize=16)
def _camera_words(tables: Tables) -> frozenset[str]:
    return words_of(tables, "camera word")


@functools.lru_cache(maxsize=1 << 15)
def own_numbers(text: str, tables: Tables) -> tuple[str, ...]:
    """What looks like a dealer's own numbers in a name: 'hw 417' of 'HW 0417 vase', '417' of
    '0417 foot'.

    A camera's numbers, years and dates are none. Without letters a number must stand first, or be
    one of several that follow each other.
    """
    plain_text = folded(without_other_numbers(text, tables))
    parts = [(m.group(), m.start(), m.end()) for m in _RUN.finditer(plain_text)]
    cameras = _camera_words(tables)
    found: list[str] = []
    for place, (run, start, _) in enumerate(parts):
        if not run.isdigit() or not _FEWEST <= len(run) <= _MOST:
            continue
        before = parts[place - 1] if place else ("", 0, -9)
        letters = before[0] if before[0].isalpha() else ""
        joined = start - before[2] <= 1
        plain = run.lstrip("0") or "0"
        if letters and joined and len(letters) <= 4 and letters not in cameras:
            found.append(f"{letters} {plain}")
        elif letters in cameras or (letters and start == before[2]):
            continue
        elif (place == 0 or (found and before[0].isdigit())) and not _is_year(run):
            prefix = found[-1].split()[0] + " " if found and " " in found[-1] else ""
            found.append(prefix + plain)
        elif letters and words_of(tables, "view").intersection({letters}):
            found.append(plain)
    return tuple(dict.fromkeys(found))


def _is_year(run: str) -> bool:
    return len(run) == 4 and run[:2] in ("19", "20")


@functools.lru_cache(maxsize=1 << 15)
def words_left(text: str, tables: Tables, *, copy: bool = False) -> str:
    """The words of a name that say which piece it is: without numbers, the words of views and what
    cameras call things. Of a `copy` what copies are called goes too; elsewhere 'small' may be said
    of the piece."""
    bare = folded(text)
    bare = _MOMENT.sub(" ", bare)
    for meaning in reversed(number_meanings(bare, tables)):
        if meaning.what in OF_MACHINES:
            bare = f"{bare[: meaning.start]} {bare[meaning.end :]}"
    parts = plain_stem(bare, tables)[0].split() if copy else runs(bare)
    parts = [run for run in parts if not run.isdigit()]
    drop = _camera_words(tables) | words_of(tables, "view")
    kept: list[str] = []
    place = 0
    while place < len(parts):
        for length in (3, 2, 1):
            if " ".join(parts[place : place + length]) in drop:
                place += length
                break
        else:
            kept.append(parts[place])
            place += 1
    left = " ".join(word for word in kept if len(word) > 1 or not word.isascii())
    return left if copy or not left or words_left(text, tables, copy=True) else ""


@functools.lru_cache(maxsize=4096)
def is_general_folder(name: str, tables: Tables) -> bool:
    """Whether a folder's name says nothing of a piece: a month, a camera card, 'for web'.

    A name with one general word and a year or date ('2014 fair') is general too.
    """
    if any(m.what == CAMERA_FOLDER for m in number_meanings(name, tables)):
        return True
    parts = runs(name)
    general = words_of(tables, "general folder")
    words = [p for p in parts if not p.isdigit()]
    if not words or " ".join(words) in general or all(w in general for w in words):
        return True
    dated = any(_is_year(p) or len(p) == 8 for p in parts if p.isdigit())
    return dated and any(w in general for w in words)
