"""`archivist merge`: two records that are one piece."""

from __future__ import annotations

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.saying import echo


@click.command()
@click.argument("kept")
@click.argument("taken")
@click.option("--why", default="", metavar="WORDS", help="Why; kept in the history.")
@pass_invocation
def merge(invocation: Invocation, kept: str, taken: str, why: str) -> None:
    """Makes the record TAKEN part of KEPT: every statement and photograph goes over.

    What KEPT prefers stays preferred; the number and identifier of TAKEN lead to KEPT from then
    on. 'archivist undo' parts them again.

    \b
    Example:
      archivist merge "HW 0417" "HW 0622" --why "the same bowl, bought back"
    """
    from archivist.catalogue.merging import merge as join

    with invocation.open() as archive:
        first, second = (archive.catalogue.object_named(name) for name in (kept, taken))
        join(archive.catalogue, first, second, invocation.author(archive), why)
        echo(f"{second.name} is now part of {first.name}.")
