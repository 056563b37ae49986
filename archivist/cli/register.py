"""`archivist register`: what was handed out to whom when, and which of it something is."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, counted, pass_invocation, say_json
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from collections.abc import Callable

    from archivist.catalogue.events import ReleaseFacts


@click.command()
@click.option(
    "--recognise",
    type=click.Path(path_type=Path),
    metavar="PACKAGE",
    help="Tell which release a package (folder or zip) or a document of one is.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON for scripts.")
@pass_invocation
@click.pass_context
def register(
    ctx: click.Context, invocation: Invocation, recognise: Path | None, as_json: bool
) -> None:
    """Lists what was handed out to which audience when, with its digests.

    \b
    Examples:
      archivist register
      archivist register --recognise "Found again.zip"
    """
    from archivist.catalogue.events import releases
    from archivist.model import ObjectRecord
    from archivist.plugins import load_plugins
    from archivist.release.register import recognised

    with invocation.open() as archive:

        def name(object_id: str) -> str:
            record = archive.catalogue.sound(object_id, ObjectRecord)
            return record.name if record else object_id

        if recognise is None:
            found = list(releases(archive.catalogue))
            digest = ""
        else:
            digest, found = recognised(archive, load_plugins(), recognise)
        if as_json:
            say_json([_plain(facts, name) for facts in found])
        elif found:
            if recognise is not None:
                echo(f"{recognise.name} was handed out by this archive:\n")
            for facts in found:
                _show(facts, name)
        elif recognise is not None:
            echo(
                f"Nothing in the register has the digest of {recognise.name}:\n  {digest}\n"
                "It was altered, or another archive made it. 'archivist verify' tells more."
            )
        else:
            echo("Nothing was handed out yet.")
    ctx.exit(0 if found or recognise is None else 1)


MOST = 6
"""Pieces named in a line; of more, how many there are."""


def _plain(facts: ReleaseFacts, name: Callable[[str], str]) -> dict[str, object]:
    return {
        "id": facts.id,
        "at": facts.at,
        "audience": facts.audience,
        "exporters": facts.exporters,
        "location": facts.location,
        "digests": facts.digests,
        "objects": [{"id": object_id, "name": name(object_id)} for object_id in facts.objects],
    }


def _show(facts: ReleaseFacts, name: Callable[[str], str]) -> None:
    secho(f"{facts.at}  for {facts.audience}", bold=True)
    few = len(facts.objects) <= MOST
    pieces = ", ".join(map(name, facts.objects)) if few else counted(len(facts.objects), "piece")
    echo(f"  {pieces or 'the whole archive'}: {', '.join(facts.exporters)}")
    echo(f"  {facts.location}")
    for digest in facts.digests[:MOST]:
        echo(f"  {digest}")
    if len(facts.digests) > MOST:
        echo(f"  and {counted(len(facts.digests) - MOST, 'more digest')}; --json has all")
