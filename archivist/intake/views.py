"""Which view a photograph is, from the words of its name, its folder and its captions."""

from __future__ import annotations

import functools
import re
import unicodedata
from dataclasses import dataclass

from archivist.model import Certainty, View
from archivist.reading.tables import Tables

CLOSEST_FIRST = (
    View.DOCUMENT,
    View.GROUP,
    View.LABEL,
    View.MARK,
    View.DAMAGE,
    View.FOOT_RIM,
    View.BASE,
    View.INTERIOR,
    View.MOUTH,
    View.BACK,
    View.SIDE,
    View.DETAIL,
    View.OVERALL,
)
"""Where words name several views ('crack in the base'), the one that is meant comes first."""

_NUMBERED = re.compile(r"(?<![^\W_])no[\W_]{0,2}(?=\d)", re.IGNORECASE)
"""'No. 417' denies nothing."""

_CJK = re.compile("[\u2e80-\u9fff\uac00-\ud7af]")


@dataclass(frozen=True)
class Seen:
    """The view, how sure the words leave it, and which word said so."""

    view: View
    certainty: Certainty
    word: str


@functools.lru_cache(maxsize=1)
def _lexicon(tables: Tables) -> dict[tuple[str, ...], View]:
    lexicon: dict[tuple[str, ...], View] = {}
    for row in tables.terms("view"):
        for name in row.names:
            lexicon.setdefault(tuple(_words(name)), View(row.label))
    return lexicon


@functools.lru_cache(maxsize=1)
def _longest(tables: Tables) -> int:
    return max((len(words) for words in _lexicon(tables)), default=0)


@functools.lru_cache(maxsize=4)
def _words_of(tables: Tables, kind: str) -> frozenset[str]:
    return frozenset(
        word for row in tables.terms(kind) for name in row.names for word in _words(name)
    )


def view_in(words: str, tables: Tables) -> Seen | None:
    """The view that `words` name, or None.

    The longest names count first, so that 'foot rim' is no 'rim'; words of several views give
    the closest look, and are then no more than probable. So is a view that the words before it
    make a part of the piece ('vase with handle'); 'no mark' names none.
    """
    lexicon, parts = _lexicon(tables), _words(_NUMBERED.sub(" ", words))
    denying, joining = _words_of(tables, "denying word"), _words_of(tables, "joining word")
    found: dict[View, str] = {}
    of_piece: set[View] = set()
    place = 0
    while place < len(parts):
        for length in range(min(_longest(tables), len(parts) - place), 0, -1):
            view = lexicon.get(tuple(parts[place : place + length]))
            if view is not None:
                before = parts[place - 1] if place else ""
                if before not in denying:
                    found.setdefault(view, " ".join(parts[place : place + length]))
                if before in joining and place > 1:
                    of_piece.add(view)
                place += length
                break
        else:
            place += 1
    if not found:
        return None
    view = next(v for v in CLOSEST_FIRST if v in found)
    certain = len(found) == 1 and view not in of_piece
    certainty = Certainty.CERTAIN if certain else Certainty.PROBABLE
    return Seen(view, certainty, found[view])


def view_called(words: str, tables: Tables) -> Seen | None:
    """The view that these words call by its name alone: 'foot rim', not 'foot rim of a jar'."""
    parts = tuple(_words(words))
    numbered = any(character.isdigit() for character in words)
    view = None if numbered else _lexicon(tables).get(parts)
    return Seen(view, Certainty.CERTAIN, " ".join(parts)) if view is not None else None


def _words(text: str) -> list[str]:
    """The words of a text, folded; numbers left out, each character of CJK a word of its own."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    plain = unicodedata.normalize("NFKC", plain)
    plain = _CJK.sub(r" \g<0> ", plain)
    return re.findall(r"[^\W\d_]+", plain)
