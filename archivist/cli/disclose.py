"""`archivist disclose`: what an audience would see of a piece, and the owner's word on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, counted, pass_invocation, say_json
from archivist.cli.saying import echo, terminal

if TYPE_CHECKING:
    from rich.console import Console

    from archivist.catalogue.archive import Archive
    from archivist.model import ObjectRecord, Override
    from archivist.release.disclosure import Disclosure
    from archivist.release.preview import Line, Preview


def _pairs(
    _: click.Context, parameter: click.Parameter, given: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    """'buyer=record.sales' as an audience and a field."""
    found = []
    for words in given:
        audience, equals, field = (part.strip() for part in words.partition("="))
        if not (audience and equals and field):
            raise click.BadParameter(f"'{words}' is not of the form {parameter.metavar}")
        found.append((audience, field))
    return tuple(found)


FORM = "AUDIENCE=FIELD"


@click.command()
@click.argument("stock_number")
@click.option("--for", "audience", metavar="AUDIENCE", help="Whose eyes to look with.")
@click.option(
    "--let", "let", multiple=True, callback=_pairs, metavar=FORM, help="Let it see that field."
)
@click.option(
    "--keep-from",
    "kept",
    multiple=True,
    callback=_pairs,
    metavar=FORM,
    help="Keep that field from it.",
)
@click.option(
    "--as-in-table",
    "cleared",
    multiple=True,
    callback=_pairs,
    metavar=FORM,
    help="Take such a word of yours back.",
)
@click.option("--why", default="", metavar="WORDS", help="Why; kept with it and in the history.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@pass_invocation
def disclose(
    invocation: Invocation,
    stock_number: str,
    audience: str | None,
    let: tuple[tuple[str, str], ...],
    kept: tuple[tuple[str, str], ...],
    cleared: tuple[tuple[str, str], ...],
    why: str,
    as_json: bool,
) -> None:
    """Shows what an audience would see of the piece STOCK_NUMBER and what not; makes nothing.

    With --let and --keep-from you say otherwise than the table for this piece alone. Fields are
    named as here: record.sales, private_party.name, views.label.

    \b
    Examples:
      archivist disclose "HW 0417" --for buyer
      archivist disclose "HW 0417" --let museum=private_party.name --why "asked for by letter"
    """
    from archivist.model import Override
    from archivist.plugins import load_plugins
    from archivist.release.disclosure import disclosure_for
    from archivist.release.pieces import Discloser, rules_of
    from archivist.release.preview import preview

    if audience is None and not (let or kept or cleared):
        raise click.UsageError("Say whose eyes to look with: --for AUDIENCE.")
    with invocation.open() as archive:
        record = archive.catalogue.object_named(stock_number)
        rules = rules_of(archive, load_plugins())
        rule = disclosure_for(audience, rules) if audience else None
        changes = [
            Override(audience=name, field=field, shown=shown, why=why)
            for pairs, shown in ((let, True), (kept, False))
            for name, field in pairs
        ]
        if changes or cleared:
            record = _saved(invocation, archive, record, changes, cleared, rules, why)
        if rule is None:
            return
        told = preview(Discloser(archive, rule, copies=False), record)
        if as_json:
            say_json({"audience": audience, "name": record.name, "id": record.id, **_plain(told)})
        else:
            _show(told, record, rule)


def _saved(
    invocation: Invocation,
    archive: Archive,
    record: ObjectRecord,
    changes: list[Override],
    cleared: tuple[tuple[str, str], ...],
    rules: Mapping[str, Disclosure],
    why: str,
) -> ObjectRecord:
    from archivist.release.overriding import with_overrides, without_overrides

    changed = with_overrides(without_overrides(record, cleared), changes, rules)
    with archive.catalogue.action("disclose", invocation.author(archive), why) as action:
        action.save(changed)
    if changed == record:
        echo(f"{record.name}: that is so already.", err=True)
        return record
    for override in changes:
        does = "sees" if override.shown else "does not see"
        echo(f"{record.name}: {override.audience} {does} {override.field}.", err=True)
    for audience, field in cleared:
        echo(f"{record.name}: the table holds again for {audience}={field}.", err=True)
    number = archive.catalogue.actions()[0].number
    echo(f"To take it back: archivist undo {number}", err=True)
    return changed


def _plain(told: Preview) -> dict[str, object]:
    import msgspec

    plain: dict[str, object] = msgspec.to_builtins(told)
    return plain


def _show(told: Preview, record: ObjectRecord, rule: Disclosure) -> None:
    from rich.markup import escape

    console = terminal(highlight=False)
    console.print(f"[bold]{escape(record.name)}[/] for [bold]{escape(rule.audience)}[/]\n")
    _table(console, "Seen", _by_statement((*told.record, *told.parties, *told.photographs)))
    closed = [line for line in told.record if line.seen is None]
    _table(console, "Not seen", _by_field(closed))
    people = [line for line in told.parties if line.seen is None]
    _table(console, "Not seen of persons and firms", [(p.field, p.where) for p in people])
    altered = [
        line for line in (*told.record, *told.parties) if line.seen and line.seen != line.words
    ]
    _table(console, "Seen with words taken out", [(a.where, a.words) for a in altered])
    _table(
        console,
        "Seen, and perhaps the name of a private person (look, and say it in other words)",
        list(dict.fromkeys((d.words, f"{d.where}: {d.seen}") for d in told.doubtful)),
    )
    pictures = [line for line in told.photographs if line.seen is None]
    _table(
        console,
        "Photographs not seen",
        [(p.where, f"{p.words} ({p.field})") for p in pictures],
    )
    if told.never:
        _table(console, "Never seen by others than you", [("", ", ".join(told.never))])
    words = [
        (f"{o.audience} {'sees' if o.shown else 'does not see'}", f"{o.field}  {o.why}".rstrip())
        for o in record.overrides
    ]
    _table(console, "Otherwise than the table, for this piece", words)


def _by_statement(lines: tuple[Line, ...]) -> list[tuple[str, str]]:
    """What is seen, a row a statement, each of its words once."""
    rows: dict[str, dict[str, None]] = {}
    for line in lines:
        if line.seen and line.seen != "yes":
            first, _, rest = line.where.partition(" ")
            number = rest.partition(" ")[0]
            numbered = f"{first} {number}" if number.isdigit() else line.where
            rows.setdefault(numbered, {})[line.seen] = None
    return [(where, ", ".join(words)) for where, words in rows.items()]


def _by_field(lines: list[Line]) -> list[tuple[str, str]]:
    """Each field of the table once: what it holds, or how often it does and the first of it."""
    counts = Counter(line.field for line in lines)
    first = {line.field: line for line in reversed(lines)}
    return [
        (
            field,
            first[field].words
            if count == 1
            else f"{counted(count, 'time')}: {first[field].words} …",
        )
        for field, count in counts.items()
    ]


def _table(console: Console, heading: str, rows: list[tuple[str, str]]) -> None:
    from rich.markup import escape
    from rich.table import Table

    if not rows:
        return
    console.print(f"[bold]{heading}[/]")
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column(style="dim", max_width=38, overflow="fold")
    table.add_column(overflow="fold")
    for left, right in rows:
        table.add_row(escape(left), escape(right))
    console.print(table)
    console.print()
