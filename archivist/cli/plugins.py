"""`archivist plugins`: what there is to read, write and check with."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from archivist.cli.context import say_json

if TYPE_CHECKING:
    from archivist.plugins import Offer


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


def _row(offer: Offer) -> dict[str, Any]:
    from archivist.hooks import ExporterDescription

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


def _show(rows: list[dict[str, Any]], failures: list[dict[str, str]], losses: bool) -> None:
    from rich.console import Console
    from rich.markup import escape

    console = Console(highlight=False, soft_wrap=True)
    for kind in dict.fromkeys(row["kind"] for row in rows):
        console.print(f"[bold]{PLURALS[kind]}[/]")
        for row in (row for row in rows if row["kind"] == kind):
            console.print(f"  [cyan]{row['name']}[/]  {escape(row['title'])}")
            told = [row["standard"], row["uri"], row["from"]]
            console.print(f"      [dim]{escape(' · '.join(filter(None, told)))}[/]")
            for name, default in row["options"].items():
                shown = f"(now {default})" if default else ""
                console.print(f"      --option {row['name']}.{name}=… [dim]{escape(shown)}[/]")
            for loss in row["losses"] if losses else ():
                console.print(f"      [yellow]not carried: {escape(loss)}[/]")
    for failure in failures:
        console.print(
            f"[red]not loaded: {escape(failure['plugin'])}: {escape(failure['reason'])}[/]"
        )


PLURALS = {
    "reader": "Readers",
    "exporter": "Exporters",
    "check": "Checks",
    "vocabulary": "Vocabularies",
    "audience": "Audiences",
}
