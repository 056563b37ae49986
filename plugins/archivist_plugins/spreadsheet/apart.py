"""Workbooks read by a process of its own, so that none can take ours with it."""

from __future__ import annotations

import re
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from threading import Timer
from typing import Any

import msgspec

from archivist.errors import SourceError
from archivist.hooks import Trouble
from archivist_plugins.spreadsheet.child import received
from archivist_plugins.spreadsheet.grid import Grid, Range
from archivist_plugins.spreadsheet.limits import LARGEST_MEMORY, LONGEST_TIME

_PATIENCE = 20
"""Times the processor time that is waited in all, for whoever takes the rows slowly."""

_CELL = re.compile(rb'<(?:\w+:)?c\s[^>]*?\br="([A-Z]{1,3})(\d{1,7})"')
_STEP = 1 << 20
_MOST_LOOKED_AT = 1 << 28


class Workbook:
    """A workbook that is being read; use it in a `with` block.

    `count` is how many sheets it has; each must be read to its end before the next is asked for.

    Raises:
        SourceError: where it cannot be read, or costs more than it may.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._process = subprocess.Popen(
            [sys.executable, "-m", "archivist_plugins.spreadsheet.child", str(path.resolve())],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self._process.stdout is not None
        self._messages = received(self._process.stdout)
        self._timer = Timer(LONGEST_TIME * _PATIENCE, self._process.kill)
        self._timer.daemon = True
        self._timer.start()
        self._sheet: list[Any] | None = None
        try:
            (count,) = self._next("sheets")
        except BaseException:
            self._end()
            raise
        self.count = int(count)

    def __enter__(self) -> Workbook:
        return self

    def __exit__(self, *_: object) -> None:
        self._end()

    def _end(self) -> None:
        self._timer.cancel()
        self._process.kill()
        self._process.wait()
        if self._process.stdout is not None:
            self._process.stdout.close()

    def sheets(self) -> Iterator[Grid]:
        """The sheets in their order, their rows as they come."""
        message = self._message()
        while message[0] == "sheet":
            _, name, merged, troubles, comments, coloured = message
            following: list[list[Any]] = []
            yield Grid(
                name,
                self._rows(following),
                msgspec.convert(merged, tuple[Range, ...]),
                msgspec.convert(troubles, tuple[Trouble, ...]),
                msgspec.convert(comments, tuple[tuple[int, int, str], ...]),
                msgspec.convert(coloured, tuple[int, ...]),
            )
            message = following[0] if following else self._after_rows()

    def _rows(self, following: list[list[Any]]) -> Iterator[list[str]]:
        while (message := self._message())[0] == "rows":
            yield from message[1]
        following.append(message)

    def _after_rows(self) -> list[Any]:
        """Of a sheet that was not read to its end, what comes after it."""
        while (message := self._message())[0] == "rows":
            pass
        return message

    def _next(self, kind: str) -> list[Any]:
        message = self._message()
        if message[0] != kind:
            raise self._refused()
        return message[1:]

    def _message(self) -> list[Any]:
        """The next message.

        Raises:
            SourceError: where the other process ended without a word, or tells why it cannot go on.
        """
        message = next(self._messages, None)
        if message is None:
            raise self._refused()
        if message[0] == "refused":
            raise SourceError(str(message[1]), str(message[2]))
        return message

    def _refused(self) -> SourceError:
        far = _farthest(self._path)
        where = f" One of its cells stands at {far}, far from all others perhaps." if far else ""
        return SourceError(
            f"{self._path.name} takes more than {LARGEST_MEMORY >> 20} MB of memory or "
            f"{LONGEST_TIME} seconds to read, which are the limits for one spreadsheet, or it is "
            f"damaged.{where}",
            "It is kept as it is, and nothing of it was read. Delete what stands far outside the "
            "table, or save its sheets one by one, and survey that.",
        )


def _farthest(path: Path) -> str:
    """The cell of an xlsx file in the lowest row, as far as its first part tells; '' for none."""
    best, name = 0, ""
    try:
        with zipfile.ZipFile(path) as package:
            sheets = [n for n in package.namelist() if n.startswith("xl/worksheets/")]
            looked = 0
            for part in sheets:
                with package.open(part) as stream:
                    rest = b""
                    while looked < _MOST_LOOKED_AT and (data := stream.read(_STEP)):
                        looked += len(data)
                        for match in _CELL.finditer(rest + data):
                            if int(match[2]) > best:
                                best = int(match[2])
                                name = f"{match[1].decode()}{best}"
                        rest = data[-200:]
    except (zipfile.BadZipFile, OSError, EOFError, RuntimeError, NotImplementedError):
        return ""
    return name
