"""The program that reads a workbook apart from ours: `python -m` this module, and a path.

A parser of foreign bytes may ask for any amount of memory, or end its process, which nothing can
catch. Here it ends a process of its own, with limits. What was read goes to standard output as
messages: four bytes of length (little-endian), then a list in MessagePack.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import IO, BinaryIO

import msgspec

from archivist.errors import SourceError
from archivist_plugins.spreadsheet.limits import (
    LARGEST_MEMORY,
    LONGEST_CELL,
    LONGEST_TIME,
    ROWS_AT_ONCE,
)


def main(path: Path, target: BinaryIO) -> None:
    """Reads the workbook at `path` and writes messages to `target`."""
    from archivist_plugins.spreadsheet import workbook

    _limit()
    try:
        sheets = list(workbook.grids(path))
        _send(target, ["sheets", len(sheets)])
        for sheet in sheets:
            about = [sheet.merged, sheet.troubles, sheet.comments, sheet.coloured]
            _send(target, ["sheet", sheet.name, *about])
            rows = iter(sheet.rows)
            while some := [_shortened(row) for row in islice(rows, ROWS_AT_ONCE)]:
                _send(target, ["rows", some])
    except SourceError as problem:
        _send(target, ["refused", problem.message, problem.remedy])
    except MemoryError:
        os._exit(1)  # whoever reads us tells of it
    _send(target, ["end"])


def _limit() -> None:
    """Sets the limits where the system has them; Windows has none that a process sets itself."""
    try:
        import resource
    except ImportError:
        return
    for kind, most in ((resource.RLIMIT_AS, LARGEST_MEMORY), (resource.RLIMIT_CPU, LONGEST_TIME)):
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(kind, (most, most))
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _shortened(row: Iterable[str]) -> list[str]:
    """The cells of a row; of one that is longer than any spreadsheet can hold, its length."""
    return [_cell(cell) for cell in row]


def _cell(cell: str) -> str:
    if len(cell) <= LONGEST_CELL:
        return cell
    return f"[a cell of {len(cell)} characters, of which at most {LONGEST_CELL} are read]"


def _send(target: BinaryIO, message: list[object]) -> None:
    data = msgspec.msgpack.encode(message)
    target.write(len(data).to_bytes(4, "little"))
    target.write(data)
    target.flush()


def received(source: IO[bytes]) -> Iterator[list[object]]:
    """The messages in a stream, up to its end."""
    while len(head := source.read(4)) == 4:
        data = source.read(int.from_bytes(head, "little"))
        yield msgspec.msgpack.decode(data)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.stdout.buffer)
