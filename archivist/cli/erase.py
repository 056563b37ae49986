"""`archivist erase`: removes a name for good."""

from __future__ import annotations

import click

from archivist.cli.context import Invocation, counted, pass_invocation
from archivist.cli.saying import echo


@click.command()
@click.argument("party")
@click.option("--yes", is_flag=True, help="Erase now; without it, only show what would be done.")
@pass_invocation
def erase(invocation: Invocation, party: str, yes: bool) -> None:
    """Removes the name of PARTY from every version, the index, the proposals and free space.

    This is the one thing that cannot be undone. Originals and packages that were handed out are
    not changed; those that hold the name are listed, for you to decide. Whether somebody may ask
    for this, and what must be kept by law, depends on where you live: ask a licensed adviser.

    \b
    Examples:
      archivist erase "Edith Harrow"           shows what would be changed
      archivist erase "Edith Harrow" --yes     does it
    """
    from archivist.catalogue.erasure import erase as remove
    from archivist.catalogue.erasure import party_to_erase, preview
    from archivist.copies.places import forget_in_copies

    with invocation.open() as archive:
        found = party_to_erase(archive, party)
        if yes:
            with archive.at_work():
                done = remove(archive, found, invocation.author(archive))
        else:
            done = preview(archive, found)
        owing = forget_in_copies(archive) if yes else ()
        doing = "Erased" if yes else "Would erase"
        echo(f"{doing}: {', '.join(done.names)}")
        echo(
            f"  in {counted(done.versions, 'version')}, {counted(done.cells, 'cell')} as taken in, "
            f"and {counted(len(done.proposals), 'proposal')}."
        )
        for heading, items in (
            ("These originals still hold the name, or may:", done.originals),
            ("These were handed out before and name the party, or may:", done.releases),
            ("These copies hold the name until 'archivist copies add' finds them again:", owing),
        ):
            if items:
                echo(heading)
                for item in items:
                    echo(f"  {item}")
        if not yes:
            echo("Nothing was changed. Add --yes to do it; it cannot be undone.")
