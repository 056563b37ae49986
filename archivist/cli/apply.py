"""`archivist apply`: does what a proposal says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.intake.work import Applied


@click.command()
@click.argument("proposal", required=False, default="", metavar="[PROPOSAL]")
@click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON.")
@pass_invocation
def apply(invocation: Invocation, proposal: str, as_json: bool) -> None:
    """Takes in what PROPOSAL says (default: the newest that was not applied).

    Files are copied first, then all records change at once or not at all. It can be repeated, and
    'archivist undo' takes it back.

    \b
    Example:
      archivist apply
    """
    from archivist.cli.context import progress, say_json
    from archivist.intake.apply import apply as do
    from archivist.intake.apply import size_of
    from archivist.intake.choose import chosen_proposal, newest_proposal
    from archivist.intake.proposal import read_proposal

    with invocation.open() as archive:
        path = chosen_proposal(archive, proposal) if proposal else newest_proposal(archive)
        if path is None:
            if as_json:
                say_json(None)
            else:
                echo("No proposal is waiting: nothing to do.")
            return
        what = read_proposal(path)
        with progress("Taking in", size_of(archive, what)) as advance:
            done = do(archive, what, path.name, invocation.author(archive), advance)
    if as_json:
        say_json(
            {
                "proposal": str(path),
                "action": done.action,
                "records": done.records,
                "changed": done.changed,
                "photographs": done.photographs,
                "files": done.files,
                "parties": done.parties,
                "open_questions": done.open_questions,
                "failures": done.failures,
            }
        )
    else:
        _tell(path, done)
    if done.failures:
        click.get_current_context().exit(1)


def _tell(path: Path, done: Applied) -> None:
    """What was done, in words."""
    from archivist.cli.told import counted

    if done.nothing:
        echo(f"Nothing to do: all of {path.name} is in the archive.")
    else:
        words = [
            counted(done.records, "record"),
            counted(done.photographs, "photograph"),
            counted(done.files, "file"),
            counted(done.parties, "person or firm", "persons and firms"),
        ]
        came = ", ".join(w for w in words if w)
        changed = counted(done.changed, "change")
        echo("; ".join(w for w in (f"Taken in: {came}" if came else "", changed) if w) + ".")
        echo(f"To take it back: archivist undo {done.action}")
    if done.open_questions:
        echo(f"{counted(done.open_questions, 'question')} open: archivist review {path.name} --ask")
    for failure in done.failures:
        secho(failure, fg="red", err=True)
