"""Which objects are meant: by stock number, by date, by words, by view."""

from __future__ import annotations

import re
from dataclasses import dataclass

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.entities import searchable
from archivist.errors import SelectionError


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


_INTERVAL_END = re.compile(r"(-?\d{4})(?:-\d\d)?(?:-\d\d)?|\.\.|")


def years_of_interval(interval: str) -> tuple[int | None, int | None]:
    """The first and last year of an EDTF level 0 or open interval: '1875/1908', '../1900', '1881'.

    Raises:
        SelectionError: where it is none.
    """
    begin, slash, end = interval.partition("/")
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
        SelectionError: for a stock number that is not there or is borne by several.
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
        conditions.append("entity IN (SELECT object FROM depiction WHERE view = ?)")
        values.append(query.view)
    rows = catalogue.connection.execute(
        f"SELECT entity FROM current WHERE {' AND '.join(conditions)} ORDER BY key, entity", values
    )
    return tuple(row["entity"] for row in rows)


def _as_phrases(words: str) -> str:
    """Words as FTS5 asks for them: each a quoted prefix, so that none is taken for an operator."""
    parts = ('"{}"*'.format(word.replace('"', '""')) for word in searchable(words).split())
    return " ".join(parts)
