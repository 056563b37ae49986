"""`archivist history`: every version of a record, or every action of the archive."""

from __future__ import annotations

from typing import Any

import click

from archivist.cli.context import Invocation, pass_invocation, say_json
from archivist.cli.saying import terminal


@click.command()
@click.argument("stock_number", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@pass_invocation
def history(invocation: Invocation, stock_number: str | None, as_json: bool) -> None:
    """Shows what was changed, when, by whom and why: of one record, or of the whole archive.

    \b
    Examples:
      archivist history                every action, the latest first; 'undo' takes its number
      archivist history "HW 0417"      every version of that record, with what changed
    """

    with invocation.open() as archive:
        rows = (
            _versions(archive.catalogue, stock_number)
            if stock_number
            else [_action(action) for action in archive.catalogue.actions()]
        )
        if as_json:
            say_json(rows)
            return
        console = terminal(highlight=False, soft_wrap=True)
        if not rows:
            console.print("Nothing was changed yet.")
        for row in rows:
            _show(console, row)


def _action(action: Any) -> dict[str, object]:
    return {
        "action": action.number,
        "kind": action.kind,
        "at": action.at,
        "who": action.who,
        "why": action.why,
        "undone_by": action.undone_by,
    }


def _versions(catalogue: Any, stock_number: str) -> list[dict[str, object]]:
    """The versions of a record and of those it took over, each with what came and went."""
    record = catalogue.object_named(stock_number, withdrawn=True)
    entities = catalogue.merged_into(record.id)
    return [row for entity in entities for row in _versions_of(catalogue, entity)]


def _versions_of(catalogue: Any, entity: str) -> list[dict[str, object]]:
    from archivist.catalogue.changes import Change, changes

    rows: list[dict[str, object]] = []
    before = None
    for version in catalogue.versions(entity):
        value = version.value()
        differences: list[Change] = [] if before is None else list(changes(before, value))
        told = [
            {
                "field": change.field.replace("_", " "),
                "gone": [_words(item) for item in change.gone if _words(item)],
                "come": [_words(item) for item in change.come if _words(item)],
            }
            for change in differences
        ]
        named = {"record": entity, "name": value.name, "version": version.number}
        rows.append({**named, **_action(version.action), "changes": told})
        before = value
    return rows


def _words(item: object) -> str:
    """A statement in the fewest words: as stated, else its value."""
    from archivist.model import Override, Statement

    if isinstance(item, Statement):
        label = getattr(getattr(item, "term", None), "label", "")
        return item.as_stated or getattr(item, "value", "") or label or type(item).__name__
    if isinstance(item, Override):
        sees = "sees" if item.shown else "does not see"
        return f"{item.audience} {sees} {item.field}"
    return "" if item is None else str(item)


def _show(console: Any, row: dict[str, Any]) -> None:
    from rich.markup import escape

    if row.get("version") == 1:
        console.print(f"[bold]{escape(row['name'])}[/]  {row['record']}")
    number = f"version {row['version']}" if "version" in row else f"action {row['action']}"
    why = f": {row['why']}" if row["why"] else ""
    undone = f" (undone by action {row['undone_by']})" if row["undone_by"] else ""
    by = f", action {row['action']}" if "version" in row else ""
    console.print(
        f"[bold]{number}[/]  {row['at'][:16].replace('T', ' ')}  {escape(row['who'])}, "
        f"{row['kind']}{by}{escape(why)}{undone}"
    )
    for change in row.get("changes", ()):
        for sign, colour, words in (("-", "red", change["gone"]), ("+", "green", change["come"])):
            for item in words:
                console.print(f"    [{colour}]{sign} {change['field']}: {escape(item)}[/]")
