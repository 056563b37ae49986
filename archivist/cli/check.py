"""`archivist check`: what on the records wants a second look."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, pass_invocation, progress, say_json
from archivist.cli.saying import echo, echo_parts, secho, styled

if TYPE_CHECKING:
    from archivist.containment import PluginFailure
    from archivist.hooks import Finding


@click.command()
@click.argument("stock_numbers", nargs=-1, metavar="[STOCKNUMBER]...")
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@pass_invocation
@click.pass_context
def check(
    ctx: click.Context, invocation: Invocation, stock_numbers: tuple[str, ...], as_json: bool
) -> None:
    """Looks at every record, or at those named, and lists what cannot all be true.

    Nothing is changed: which of two statements gives way is for a person to say.

    \b
    Examples:
      archivist check
      archivist check "HW 0417"
    """
    from archivist.catalogue.search import Query, select
    from archivist.plugins import load_plugins
    from archivist.release.checking import check_pieces

    with invocation.open() as archive:
        ids = select(archive.catalogue, Query(names=stock_numbers))
        with progress("Checking", len(ids), "records") as advance:
            found, failures = check_pieces(archive, load_plugins(), ids, advance)
    if as_json:
        say_json(
            {
                "findings": [{"record": name, "finding": finding} for name, finding in found],
                "failures": [str(failure) for failure in failures],
            }
        )
    else:
        _show(found, failures, len(ids))
    ctx.exit(1 if found or failures else 0)


def _show(found: list[tuple[str, Finding]], failures: list[PluginFailure], looked_at: int) -> None:
    for name, finding in found:
        echo_parts((styled(name, bold=True), f"  {finding.message}"))
        echo(f"    {finding.level.value} {finding.code} at {finding.where}")
    for failure in failures:
        secho(f"failed     {failure}", fg="red", err=True)
    echo(f"{looked_at} records looked at, {len(found)} findings.")
