"""`archivist plugins`: what there is to read, write and check with."""

from __future__ import annotations

import click

from archivist.cli.context import say_json


@click.command()
@click.option("--losses", is_flag=True, help="Also list what each format has no place for.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@click.pass_context
def plugins(ctx: click.Context, losses: bool, as_json: bool) -> None:
    """Lists every plugin: what it brings, the standard it follows, and its version.

    \b
    Example:
      archivist plugins
    """
    from archivist.plugins import load_plugins

    found = load_plugins()
    rows = [_row(offer) for offer in found.offers]
    rows.sort(key=lambda row: (str(row["kind"]), str(row["name"])))
    failures = [{"plugin": str(f.origin), "reason": f.reason} for f in found.failures]
    if as_json:
        say_json({"plugins": rows, "failures": failures})
    else:
        _show(rows, failures, losses)
    ctx.exit(1 if failures else 0)


def _row(offer: object) -> dict[str, object]:
    from archivist.hooks import ExporterDescription
    from archivist.plugins import Offer

    assert isinstance(offer, Offer)
    described = offer.description
    standard = described.standard
    options = getattr(described, "options", None)
    fields = getattr(options, "__struct_fields__", ())
    defaults = options() if fields and options else None
    return {
        "kind": offer.kind,
        "name": described.name,
        "title": described.title,
        "standard": f"{standard.name} {standard.version}".strip() if standard else "",
        "uri": standard.uri if standard else "",
        "from": f"{offer.origin.distribution} {offer.origin.version}".strip(),
        "options": {f.replace("_", "-"): str(getattr(defaults, f)) for f in fields},
        "losses": list(described.losses) if isinstance(described, ExporterDescription) else [],
    }


def _show(rows: list[dict[str, object]], failures: list[dict[str, str]], losses: bool) -> None:
    from rich.console import Console
    from rich.markup import escape
    from rich.table import Table

    console = Console(highlight=False)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("", "name", "what it is", "standard", "options", "from"):
        table.add_column(heading, overflow="fold")
    for row in rows:
        options = row["options"]
        assert isinstance(options, dict)
        shown = "\n".join(f"{name} = {value or '(empty)'}" for name, value in options.items())
        cells = (row["kind"], row["name"], row["title"], row["standard"], shown, row["from"])
        table.add_row(*(escape(str(cell)) for cell in cells))
        lost = row["losses"]
        if losses and isinstance(lost, list):
            for loss in lost:
                table.add_row("", "", f"[yellow]no place for: {escape(str(loss))}[/]", "", "", "")
    console.print(table)
    for failure in failures:
        console.print(
            f"[red]not loaded: {escape(failure['plugin'])}: {escape(failure['reason'])}[/]"
        )
