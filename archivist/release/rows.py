"""Rows of the catalogue written out, a JSON object a line; what is damaged stands apart.

A row that is not what was recorded cannot be restored as if it were. It is kept, as it lies, in a
file of its own beside the others, for a person to read.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from typing import Any

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.catalogue.stored import any_text, flaw_of
from archivist.hooks import PayloadFile


def written_out(
    catalogue: Catalogue, table: str, folder: str, query: str, values: tuple[object, ...] = ()
) -> Iterator[PayloadFile]:
    """The rows of `query` as `tables/TABLE.jsonl` below `folder`, and what of them is damaged."""
    whole: list[bytes] = []
    damaged: list[bytes] = []
    missing: list[PayloadFile] = []
    for number, row in enumerate(_rows(catalogue.connection, query, values), start=1):
        flaw = _flaw(table, row)
        if not flaw:
            whole.append(msgspec.json.encode(row, order="sorted") + b"\n")
            continue
        damaged.append(json.dumps(row, sort_keys=True).encode() + b"\n")
        name = f"{folder}tables/{table}.jsonl/{number}"
        missing.append(PayloadFile(name, missing=f"{_called(table, row)}: {flaw}"))
    yield PayloadFile(f"{folder}tables/{table}.jsonl", None, b"".join(whole))
    if damaged:
        yield PayloadFile(f"{folder}damaged/{table}.jsonl", None, b"".join(damaged))
    yield from missing


def _flaw(table: str, row: dict[str, Any]) -> str:
    """What is wrong with a row; '' where nothing is that could be seen from it alone."""
    try:
        msgspec.json.encode(row)
    except UnicodeEncodeError:
        return "its words are no Unicode"
    except TypeError:
        return "it holds what no text can"
    if table != "version":
        return ""
    if not isinstance(row["json"], str):
        return "its words are no text"
    return flaw_of({**row, "json": row["json"].encode()})


def _called(table: str, row: dict[str, Any]) -> str:
    if table == "version":
        return f"version {row['number']} of the {row['kind']} {row['entity']}"
    return f"a row of the table '{table}'"


def _rows(
    connection: sqlite3.Connection, query: str, values: tuple[object, ...]
) -> Iterator[dict[str, Any]]:
    """Every row; text that is no Unicode is handed over with its bytes escaped."""
    try:
        rows = [dict(row) for row in connection.execute(query, values)]
    except sqlite3.OperationalError:
        with any_text(connection):
            rows = [dict(row) for row in connection.execute(query, values)]
    yield from rows
