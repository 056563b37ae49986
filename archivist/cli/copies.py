"""`archivist copies`: further copies of the archive, on other disks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, counted, pass_invocation, progress
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.copies.places import Standing


@click.group()
def copies() -> None:
    """Keeps further copies of the archive, compares them, and mends from them.

    A copy is a folder, best on another disk. It holds every original under its digest, and the
    catalogue with settings and proposals as of the last three times. It is not encrypted: use a
    disk that the system encrypts (LUKS, FileVault, BitLocker).

    \b
    Examples:
      archivist copies add "E:/Archive copy"     keeps a copy there, or brings it up to date
      archivist copies check                     compares all of them, byte for byte
      archivist copies mend                      mends the archive from them, and them from it
    """


@copies.command()
@click.argument("place", type=click.Path(path_type=Path))
@pass_invocation
@click.pass_context
def add(ctx: click.Context, invocation: Invocation, place: Path) -> None:
    """Keeps a copy in PLACE, a new or empty folder, or brings the one there up to date.

    \b
    Example:
      archivist copies add "E:/Archive copy"
    """
    from archivist.copies.places import add as keep

    with invocation.open() as archive, archive.at_work():
        with progress("Copying", None) as advance:
            standing = keep(archive, place, advance)
        echo(f"{counted(standing.copied, 'original')} copied to {standing.place}.")
        _show(standing)
    ctx.exit(1 if standing.problems else 0)


@copies.command()
@pass_invocation
@click.pass_context
def check(ctx: click.Context, invocation: Invocation) -> None:
    """Compares every copy with what the archive records, byte for byte.

    \b
    Example:
      archivist copies check
    """
    from archivist.copies.places import check as compare

    with invocation.open() as archive, progress("Comparing", None) as advance:
        found = compare(archive, advance)
    if not found:
        echo("No copy is kept: 'archivist copies add PLACE' makes one.")
    for standing in found:
        if standing.problems:
            secho(f"{standing.place}: {counted(len(standing.problems), 'problem')}", fg="red")
        else:
            secho(f"{standing.place}: whole and up to date", fg="green")
        _show(standing)
    ctx.exit(1 if any(standing.problems for standing in found) else 0)


@copies.command()
@click.option(
    "--from",
    "place",
    type=click.Path(path_type=Path, exists=True),
    help="Put the catalogue of this copy in the place of one that is gone, damaged or old.",
)
@pass_invocation
@click.pass_context
def mend(ctx: click.Context, invocation: Invocation, place: Path | None) -> None:
    """Mends what is damaged in the archive from a copy that has it whole, then the copies.

    With --from the catalogue of the archive is put aside first, and the newest whole one of that
    copy takes its place: for a catalogue that cannot be opened any more, or is an old one.

    \b
    Examples:
      archivist copies mend
      archivist copies mend --from "E:/Archive copy"
    """
    from archivist.copies.mending import mend as do
    from archivist.copies.mending import put_back_catalogue
    from archivist.copies.places import add as keep

    if place is not None:
        back = put_back_catalogue(Path(invocation.folder), place)
        echo(f"The catalogue is that of {back.listed.made}; the one before is kept beside it.")
    with invocation.open() as archive, archive.at_work():
        if place is not None:
            keep(archive, place)
        done = do(archive)
    echo(
        f"Mended: {counted(done.originals, 'original')} and {counted(done.facts, 'fact')} of the "
        f"archive, {counted(done.in_copies, 'file')} in copies."
    )
    for problem in done.problems:
        secho(problem, fg="red", err=True)
    ctx.exit(1 if done.problems else 0)


def _show(standing: Standing) -> None:
    for problem in standing.problems:
        secho(f"  {problem}", fg="red", err=True)
    for remark in standing.remarks:
        echo(f"  {remark}")
