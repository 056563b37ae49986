"""`archivist restore`: builds an archive again from the owner's packages."""

from __future__ import annotations

from pathlib import Path

import click

from archivist.cli.context import counted, progress
from archivist.cli.saying import echo, secho


@click.command()
@click.argument("package", nargs=-1, required=True, type=click.Path(path_type=Path, exists=True))
@click.option(
    "--into", required=True, type=click.Path(path_type=Path), help="The archive's folder."
)
@click.pass_context
def restore(ctx: click.Context, package: tuple[Path, ...], into: Path) -> None:
    """Builds the archive in --into from each PACKAGE that was released for the owner.

    A package of the whole archive makes a new archive, every record with all its versions. A
    package of single pieces is merged into an archive that is there; where both were changed, the
    archive's version stays and the record is named. What is damaged or gone in an archive that is
    there, and whole in the package, is mended.

    \b
    Example:
      archivist restore "Packages/tidewell-archive-owner-20260115" --into "Archive again"
    """
    from archivist.plugins import load_plugins
    from archivist.release.restore import restore as build

    size = sum(f.stat().st_size for path in package for f in path.rglob("*") if f.is_file())
    with progress("Checking the packages", size) as advance:
        done = build(load_plugins(), package, into, advance)
    echo(
        f"Restored into {into}: {counted(done.packages, 'package')}, "
        f"{counted(done.versions, 'version')} of records, {counted(done.originals, 'original')}."
    )
    if done.mended:
        echo(f"Mended: {counted(done.mended, 'thing')} of what was damaged.")
    for question in done.questions:
        secho(f"question   {question}", fg="yellow")
    ctx.exit(1 if done.questions else 0)
