"""What every command is given: the archive to open, who is at work, and how to tell of progress."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.saying import echo, echo_json, secho, shown, terminal

if TYPE_CHECKING:
    from archivist.catalogue.archive import Archive


@dataclass(frozen=True)
class Invocation:
    """What was said before the command's name."""

    folder: str
    who: str
    debug: bool

    def open(self) -> Archive:
        """Opens the archive; use it in a `with` block."""
        from archivist.catalogue.archive import Archive

        archive = Archive.open(Path(self.folder))
        context = click.get_current_context(silent=True)
        if context is not None:
            context.call_on_close(partial(_tell_of_damage, archive))
        return archive

    def author(self, archive: Archive) -> str:
        """Who is at work: as said by --who, else the archive's owner."""
        return self.who or archive.settings.owner


def _tell_of_damage(archive: Archive) -> None:
    """Names what a command passed over, since it is damaged."""
    for problem in archive.catalogue.damaged.values():
        secho(f"passed over  {problem.message}", fg="red", err=True)
        echo(problem.remedy, err=True)


pass_invocation = click.make_pass_decorator(Invocation)


def say_json(value: object) -> None:
    """Prints `value` as JSON on one line, for scripts."""
    echo_json(value)


def counted(number: int, thing: str) -> str:
    """'1 piece', '2 pieces'."""
    return f"{number:,} {thing}" if number == 1 else f"{number:,} {thing}s"


@contextmanager
def progress(doing: str, total: int | None, unit: str = "bytes") -> Iterator[Callable[[int], None]]:
    """A progress bar with an estimate on a terminal, silence elsewhere; gives the way to advance.

    `unit` is 'bytes' or the plural of what is counted ('photographs').
    """
    if not sys.stderr.isatty():
        yield lambda amount: None
        return
    from rich.progress import (
        BarColumn,
        DownloadColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    amount = DownloadColumn() if unit == "bytes" else MofNCompleteColumn()
    columns = (TextColumn("{task.description}"), BarColumn(), amount, TimeRemainingColumn())
    with Progress(*columns, console=terminal(stderr=True), transient=True) as bar:
        task = bar.add_task(shown(doing), total=total)
        yield lambda step: bar.advance(task, step)
