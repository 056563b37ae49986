"""`archivist show`: the records there are, or one of them with all that is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import click

from archivist.cli.context import Invocation, pass_invocation, say_json
from archivist.cli.saying import echo, terminal

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from archivist.catalogue.archive import Archive
    from archivist.hooks import Piece
    from archivist.model import ObjectRecord, SaleFact


NOT_HELD = (
    ("What agrees with it, and what others hold", ("Agrees with it", "Other opinion"), "yellow"),
    ("What is not so", ("Rejected opinion",), "red"),
)
"""What stands apart from what is held of a piece: over it, under which headings, and its colour."""

BESIDE = frozenset(heading for _, headings, _ in NOT_HELD for heading in headings)


@click.command()
@click.argument("stock_number", required=False)
@click.option("--words", default="", help="Only records that have these words.")
@click.option(
    "--made", metavar="INTERVAL", help="Only pieces made then: 1875/1908, ../1900 (EDTF)."
)
@click.option("--statements", is_flag=True, help="Number the statements, as 'split --move' asks.")
@click.option(
    "--why",
    is_flag=True,
    help="Why photographs are held to show it, and which evidence was not held.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the records themselves as JSON.")
@pass_invocation
def show(
    invocation: Invocation,
    stock_number: str | None,
    words: str,
    made: str | None,
    statements: bool,
    why: bool,
    as_json: bool,
) -> None:
    """Lists the records, or shows the one of STOCK_NUMBER.

    \b
    Examples:
      archivist show                             every record
      archivist show --words celadon --made 1700/1800
      archivist show "HW 0417"                   all that is known of one
      archivist show "HW 0417" --why             why photographs are of it, or are not
    """

    with invocation.open() as archive:
        if stock_number is None:
            _list(archive, words, made, as_json)
            return
        record = archive.catalogue.object_named(stock_number)
        if why:
            _why(archive, record, as_json)
        elif as_json:
            say_json(_plain(archive, record))
        elif statements:
            _numbered(terminal(highlight=False, soft_wrap=True), record)
        else:
            _show(terminal(highlight=False), archive, record)


def _list(archive: Archive, words: str, made: str | None, as_json: bool) -> None:
    from rich.markup import escape
    from rich.table import Table

    from archivist.catalogue.search import Query, select, years_of_interval
    from archivist.model import ObjectRecord

    earliest, latest = years_of_interval(made) if made else (None, None)
    ids = select(archive.catalogue, Query((), earliest, latest, words))
    records = [r for r in (archive.catalogue.sound(i, ObjectRecord) for i in ids) if r is not None]
    if as_json:
        say_json(records)
        return
    console = terminal(highlight=False)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("number", "title", "date", "photographs"):
        table.add_column(heading, justify="right" if heading == "photographs" else "left")
    for record in records:
        count = len(archive.catalogue.photographs_of(record.id))
        number = record.stock_number or record.id[:8]
        table.add_row(escape(number), escape(record.title), escape(_date(record)), str(count or ""))
    console.print(table)
    loose = sum(1 for _ in archive.catalogue.unassigned_photographs())
    console.print(
        f"{len(records)} records." + (f" {loose} photographs show no piece yet." if loose else "")
    )


def _date(record: ObjectRecord) -> str:
    """The date held: as it was stated, or the years in which what was stated agrees."""
    from archivist.model import Aspect
    from archivist.wording import years_shown

    held = record.holding(Aspect.DATE)
    if held is None:
        return ""
    if held.date == held.leading.date or held.date is None:
        return held.leading.as_stated
    return years_shown(held.date)


def _plain(archive: Archive, record: ObjectRecord) -> dict[str, Any]:
    """The record with its photographs and parties, as scripts are given it."""
    from archivist.release.pieces import owners_piece

    piece = owners_piece(archive, record)
    return {
        "record": record,
        "photographs": archive.catalogue.photographs_of(record.id),
        "parties": piece.parties,
    }


def _why(archive: Archive, record: ObjectRecord, as_json: bool) -> None:
    """The evidence on which photographs are held to show a record, and what lost to it."""
    from archivist.intake.vocabulary import tables_of
    from archivist.intake.why import why_shown
    from archivist.plugins import load_plugins

    found = why_shown(archive, record, tables_of(archive, load_plugins()))
    if as_json:
        say_json(found)
        return
    if not found:
        echo(f"No photograph is held to show {record.name}, and no name of a file says so.")
    for one in found:
        held = f"held, {one.certainty.value}" if one.shown else "not held to show it"
        echo(f"{one.path}  {held}")
        for reason in (*one.held, *one.lost):
            echo(f"    {reason}")


def _numbered(console: Console, record: ObjectRecord) -> None:
    from rich.markup import escape

    from archivist.model import STATEMENT_FIELDS

    for field in STATEMENT_FIELDS:
        for place, statement in enumerate(getattr(record, field), start=1):
            said = statement.as_stated or str(getattr(statement, "value", ""))
            console.print(f"[bold]{field}.{place}[/]  {escape(said)}")


def _show(console: Console, archive: Archive, record: ObjectRecord) -> None:
    from rich.markup import escape

    from archivist.release.pieces import owners_piece
    from archivist.wording.facts import facts

    piece = owners_piece(archive, record)
    console.print(f"[bold]{escape(record.title or record.name)}[/]")
    told = facts(piece)
    held = [(f.heading.value, f.text) for f in told if f.heading not in BESIDE]
    held += [(stage.capitalize(), line) for stage, line in _dealings(piece)]
    for shown in piece.photographs:
        photograph = shown.photograph
        name = f"{shown.label}  {photograph.sha256[:12]}  {shown.width} × {shown.height}"
        held.append(("Photograph", name))
    held += [("Photograph", name) for name in _seen_by_preview(archive, record)]
    console.print(_headed(held))
    for title, headings, style in NOT_HELD:
        lines = [(f.heading.value, f.text) for f in told if f.heading in headings]
        if lines:
            console.print(f"[{style} bold]{title}[/]")
            console.print(_headed(lines), style=style)


def _headed(lines: Sequence[tuple[str, str]]) -> Table:
    """A table of headed lines; a heading that repeats is said once."""
    from rich.markup import escape
    from rich.table import Table

    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(style="dim", no_wrap=True)
    table.add_column(overflow="fold")
    last = ""
    for heading, text in lines:
        table.add_row("" if heading == last else heading, escape(text))
        last = heading
    return table


def _seen_by_preview(archive: Archive, record: ObjectRecord) -> Iterator[str]:
    """The photographs that no decoder here can show: raw files by the preview within them."""
    from archivist.imaging.preview import open_preview
    from archivist.release.pictures import shown_by_preview

    for photograph in archive.catalogue.photographs_of(record.id):
        if not photograph.undecodable:
            continue
        original = archive.original_path(photograph.sha256)
        found = open_preview(original, reduced_to=64) if shown_by_preview(photograph) else None
        size = f"raw, its preview is {found[1][0]} × {found[1][1]}" if found else "cannot be shown"
        for depiction in photograph.depictions_of(record.id):
            label = depiction.caption or depiction.view.value
            yield f"{label}  {photograph.sha256[:12]}  {size}"


def _dealings(piece: Piece) -> Iterator[tuple[str, str]]:
    """What the owner bought and sold, a line for what one row of the books says of one stage."""
    together: dict[tuple[str, str, str], list[SaleFact]] = {}
    for sale in piece.record.sales:
        origin = sale.source
        row = (origin.source, origin.row) if origin else ("", "")
        together.setdefault((sale.stage.value, *row), []).append(sale)
    for (stage, *_), sales in together.items():
        yield stage, _dealing(piece, stage, sales)


def _dealing(piece: Piece, stage: str, sales: Sequence[SaleFact]) -> str:
    """One line: '2004-03-09, from Mrs Trevanion, GBP 120'; words that were not read stand last."""
    from archivist.wording import date_shown, listed, party_name

    way = "from" if stage == "bought" else "to"
    days = [date_shown(sale.date, sale.as_stated) for sale in sales if sale.date]
    names = [f"{way} {party_name(piece, sale.party)}" for sale in sales if sale.party]
    amounts = [listed([sale.currency, sale.amount], " ") for sale in sales if sale.amount]
    invoices = [f"invoice {sale.invoice}" for sale in sales if sale.invoice]
    unread = [
        sale.as_stated
        for sale in sales
        if not (sale.date or sale.party or sale.amount or sale.invoice)
    ]
    return listed([*days, *names, *amounts, *invoices, *unread])
