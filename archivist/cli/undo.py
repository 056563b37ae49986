"""`archivist undo`: takes back an action."""

from __future__ import annotations

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.saying import echo


@click.command()
@click.argument("action", type=int, required=False)
@click.option("--why", default="", metavar="WORDS", help="Why; kept in the history.")
@pass_invocation
def undo(invocation: Invocation, action: int | None, why: str) -> None:
    """Takes back ACTION (default: the latest), an applied proposal or an edit.

    Nothing is lost by it: every version stays readable, originals stay, and undoing the undo does
    the action again. Where something was changed since, nothing is done and that is named.

    \b
    Examples:
      archivist undo           takes back the latest action
      archivist undo 12        takes back action 12 of 'archivist history'
    """
    from archivist.catalogue.undoing import last_undoable
    from archivist.catalogue.undoing import undo as take_back

    with invocation.open() as archive:
        catalogue = archive.catalogue
        facts = last_undoable(catalogue) if action is None else catalogue.action_numbered(action)
        done = take_back(catalogue, facts, invocation.author(archive), why)
        echo(
            f"Took back action {facts.number} ({facts.kind}, {facts.at[:10]}): "
            f"{done.changed} put back as they were, {done.withdrawn} withdrawn."
        )
