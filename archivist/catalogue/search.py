"""Which objects are meant: by stock number, by date, by words, by view."""

from __future__ import annotations

import re
from dataclasses import dataclass

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.entities import searchable
from archivist.errors import SelectionError
from archivist.model import View


@dataclass(frozen=True)
class Query:
    """What is asked for; every part that is given must hold.

    `names` are stock numbers or UUIDs; `earliest` and `latest` astronomical years that the date
    held may fall between; `words` must all stand in the record; `view` one that is photographed.
    """

    names: tuple[str, ...] = ()
    earliest: int | None = None
    latest: int | None = None
    words: str = ""
    view: str = ""


_INTERVAL_END = re.compile(r"(-?[0-9]{4})(?:-\d\d)?(?:-\d\d)?|\.\.|")


def years_of_interval(interval: str) -> tuple[int | None, int | None]:
    """The first and last year of an EDTF level 0 or open interval: '1875/1908', '../1900', '1881'.

    Raises:
        SelectionError: where it is none.
    """
    begin, slash, end = interval.strip().partition("/")
    parts = (begin, end if slash else begin)
    matches = [_INTERVAL_END.fullmatch(part) for part in parts]
    if None in matches or not interval.strip("/."):
        raise SelectionError(
            f"'{interval}' is not a range of dates.",
            "Write years as 1875/1908, 1881, ../1900 or 1875/.. (EDTF).",
        )
    first, last = (int(m.group(1)) if m and m.group(1) else None for m in matches)
    if first is not None and last is not None and first > last:
        raise SelectionError(f"'{interval}' ends before it begins.", "Swap its two ends.")
    return first, last


def select(catalogue: Catalogue, query: Query) -> tuple[str, ...]:
    """The UUIDs of the objects that `query` asks for, by stock number and then UUID.

    Raises:
        SelectionError: for a stock number that is not there or is borne by several; for a view
            that is none, and for words without a letter or digit.
    """
    conditions = ["kind = 'object'", "state = 'present'"]
    values: list[object] = []
    if query.names:
        named = [catalogue.object_named(name).id for name in query.names]
        conditions.append(f"entity IN ({', '.join('?' * len(named))})")
        values.extend(named)
    if query.earliest is not None or query.latest is not None:
        conditions.append("(earliest IS NOT NULL OR latest IS NOT NULL)")
    if query.latest is not None:
        conditions.append("(earliest IS NULL OR earliest <= ?)")
        values.append(query.latest)
    if query.earliest is not None:
        conditions.append("(latest IS NULL OR latest >= ?)")
        values.append(query.earliest)
    if query.words.strip():
        conditions.append("row IN (SELECT rowid FROM words WHERE words MATCH ?)")
        values.append(_as_phrases(query.words))
    if query.view:
        conditions.append(_SHOWN_IN_VIEW)
        values.append(_view(query.view))
    rows = catalogue.connection.execute(
        f"SELECT entity FROM current WHERE {' AND '.join(conditions)} ORDER BY key, entity", values
    )
    return tuple(row["entity"] for row in rows)


_SHOWN_IN_VIEW = """
    entity IN (
        WITH RECURSIVE shown (object) AS (
            SELECT depiction.object FROM depiction
            JOIN current AS picture ON picture.entity = depiction.photograph
            WHERE depiction.view = ? AND picture.state = 'present'
            UNION
            SELECT taken.merged_into FROM current AS taken JOIN shown ON taken.entity = shown.object
            WHERE taken.merged_into IS NOT NULL)
        SELECT object FROM shown)
"""
"""Also what shows a record that was merged into another shows that other."""


def _view(name: str) -> str:
    """The view of that name, whatever its case."""
    view = name.strip().lower()
    if view not in set(View):
        raise SelectionError(f"There is no view '{name}'.", f"There are: {', '.join(View)}.")
    return view


def _as_phrases(words: str) -> str:
    """Words as FTS5 asks for them: each a quoted prefix, so that none is taken for an operator."""
    parts = [
        '"{}"*'.format(word.replace('"', '""').replace("\0", " "))
        for word in searchable(words).split()
        if any(character.isalnum() for character in word)
    ]
    if not parts:
        raise SelectionError(
            f"'{words}' has no letter or digit to look for.", "Name a word of the record."
        )
    return " ".join(parts)
