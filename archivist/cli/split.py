"""`archivist split`: one record that is two pieces."""

from __future__ import annotations

import uuid

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.saying import echo


def _statement(
    _: click.Context, __: click.Parameter, given: tuple[str, ...]
) -> list[tuple[str, int]]:
    """'marks.2' as the field and the place from 0."""
    named = []
    for words in given:
        field, dot, number = words.rpartition(".")
        if not dot or not number.isdigit() or int(number) < 1:
            raise click.BadParameter(f"'{words}' is not of the form marks.2")
        named.append((field.replace(" ", "_"), int(number) - 1))
    return named


@click.command()
@click.argument("stock_number")
@click.option("--into", required=True, metavar="NUMBER", help="The stock number of the new record.")
@click.option("--title", default="", metavar="WORDS", help="The title of the new record.")
@click.option(
    "--move",
    "moved",
    multiple=True,
    metavar="FIELD.N",
    callback=_statement,
    help="A statement that goes over, as 'archivist show --json' has it: marks.2, measurements.1.",
)
@click.option(
    "--photograph",
    "digests",
    multiple=True,
    metavar="SHA256",
    help="A photograph that goes over, by the beginning of its digest.",
)
@click.option("--why", default="", metavar="WORDS", help="Why; kept in the history.")
@pass_invocation
def split(
    invocation: Invocation,
    stock_number: str,
    into: str,
    title: str,
    moved: list[tuple[str, int]],
    digests: tuple[str, ...],
    why: str,
) -> None:
    """Makes a new record of some statements and photographs of STOCK_NUMBER.

    'archivist undo' puts them together again.

    \b
    Example:
      archivist split "HW 0417" --into "HW 0417B" --title "Cover" --move marks.2
    """
    from archivist.catalogue.merging import split as part
    from archivist.intake.viewing import photograph_named
    from archivist.model import ObjectRecord, Title

    with invocation.open() as archive:
        record = archive.catalogue.object_named(stock_number)
        shown = archive.catalogue.photographs_of(record.id)
        chosen = [photograph_named(shown, record, digest) for digest in digests]
        titles = (Title(value=title, as_stated=title, preferred=True),) if title else ()
        new = ObjectRecord(id=str(uuid.uuid4()), stock_number=into, titles=titles)
        author = invocation.author(archive)
        made = part(archive.catalogue, record, new, chosen, moved, author, why)
        echo(
            f"{made.name} is a record of its own now: {len(moved)} statements and "
            f"{len(chosen)} photographs went over from {record.name}."
        )
