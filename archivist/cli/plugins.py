"""`archivist plugins`: what there is to read, write and check with."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Any

import click

from archivist.cli.context import say_json
from archivist.cli.saying import echo, secho

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
    for kind, alike in groupby(rows, key=lambda row: str(row["kind"])):
        secho(f"{kind}", bold=True)
        for row in alike:
            echo(f"  {row['name']:16} {row['title']}")
            for line in _details(row, losses):
                echo(f"  {'':16} {line}")
    for failure in failures:
        secho(f"not loaded: {failure['plugin']}: {failure['reason']}", fg="red", err=True)


def _details(row: dict[str, Any], losses: bool) -> Iterator[str]:
    """What stands below a plugin's title, a line each."""
    if row["standard"]:
        yield f"{row['standard']}  {row['uri']}".rstrip()
    for name, value in row["options"].items():
        yield f"--option {row['name']}.{name}={value}"
    if losses:
        yield from (f"has no place for: {loss}" for loss in row["losses"])
    yield f"from {row['from']}"
