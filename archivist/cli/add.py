"""`archivist add`: a record that comes from no old material."""

from __future__ import annotations

import uuid

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.edit import lines
from archivist.cli.saying import echo, secho


@click.command()
@click.argument("stock_number")
@click.option(
    "--set",
    "set_",
    multiple=True,
    callback=lines,
    metavar="HEADING=WORDS",
    help="What stands under a heading of the record: title, date, size, mark, condition …",
)
@click.option("--why", default="", metavar="WORDS", help="Why; kept in the history.")
@pass_invocation
def add(invocation: Invocation, stock_number: str, set_: dict[str, str], why: str) -> None:
    """Adds a record with STOCK_NUMBER; its words are read as those of a spreadsheet are.

    \b
    Example:
      archivist add "HW 0450" --set "title=Jug, salt glaze" --set "date=c. 1690"
    """
    from archivist.errors import RecordError
    from archivist.intake.editing import by_heading, edited
    from archivist.intake.vocabulary import tables_of
    from archivist.model import ObjectRecord
    from archivist.plugins import load_plugins

    with invocation.open() as archive:
        catalogue = archive.catalogue
        twins = [r for r in catalogue.keyed(ObjectRecord, stock_number) if not r.withdrawn]
        if twins:
            raise RecordError(
                f"The stock number {stock_number} is borne by '{twins[0].title}' already.",
                "Nothing was added. Edit that record, or choose another number.",
            )
        blank = ObjectRecord(id=str(uuid.uuid4()), stock_number=stock_number)
        cells = by_heading(set_)
        with catalogue.action("add", invocation.author(archive), why) as action:
            action.save(blank)
            done = edited(archive, blank, cells, tables_of(archive, load_plugins()))
            action.save(done.record)
            for party in done.parties:
                action.save(party)
        echo(f"Added {done.record.name}: {done.record.title or 'no title yet'}.")
        for question in done.questions:
            secho(f"question   {question.asks}", fg="yellow")
