"""Who says what in a cell of opinions: 'I had it as 18th; Dr Tolling says c. 1900'."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from archivist.reading.tables import Tables

_CLAUSE = re.compile(r"[^;\n]+")
_NAME = r"(?:(?:[^\W\d_]\.\s?)|(?:[^\W\d_][\w.'’-]*\s)){0,3}[^\W\d_][\w'’-]*"


@dataclass(frozen=True)
class Opinion:
    """A clause from `start` to `end` of the text, and who says it; '' is the owner."""

    start: int
    end: int
    speaker: str


def opinions_in(text: str, tables: Tables) -> Iterator[Opinion]:
    """The clauses of `text` with their speakers.

    A speaker is a name before a verb of saying ('Tolling says'), before a colon ('Tolling: ...'),
    or after a word like 'according to' and at the end ('..., says Nishidera'). Each
    word of a name begins with a capital, and no word for the owner ('I', 'we') is one.
    """
    for clause in _CLAUSE.finditer(text):
        yield Opinion(clause.start(), clause.end(), _speaker(clause.group().strip(), tables))


def speaker_at(opinions: tuple[Opinion, ...], place: int) -> str:
    """Who says what stands at `place`, '' for the owner."""
    return next((o.speaker for o in opinions if o.start <= place < o.end), "")


def _speaker(clause: str, tables: Tables) -> str:
    patterns, selves = _patterns(tables)
    for pattern in patterns:
        found = pattern.search(clause)
        if found is None:
            continue
        name = found["name"].strip(" .,'’")
        if all(word[:1].isupper() for word in name.split()) and name.casefold() not in selves:
            return name
    return ""


@functools.lru_cache(maxsize=4)
def _patterns(tables: Tables) -> tuple[tuple[re.Pattern[str], ...], frozenset[str]]:
    verbs = _either(tables, "opinion verb")
    before = _either(tables, "opinion preposition")
    selves = frozenset(n.casefold() for row in tables.terms("opinion self") for n in row.names)
    return (
        re.compile(rf"^(?P<name>{_NAME})\s+(?:{verbs})\b"),
        re.compile(rf"^(?P<name>{_NAME})\s*:"),
        re.compile(rf"\b(?:{before})\s+(?P<name>{_NAME})[\s.]*$"),
    ), selves


def _either(tables: Tables, kind: str) -> str:
    names = {name for row in tables.terms(kind) for name in row.names}
    return "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
