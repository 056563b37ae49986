"""`archivist compare`: one view of many pieces side by side, on sheets to print."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, counted, pass_invocation, progress
from archivist.cli.finding import Asked, finding_options
from archivist.cli.saying import echo, secho

if TYPE_CHECKING:
    from archivist.model import View

PAPERS = {"a4": "a4", "letter": "us-letter"}


@click.command()
@finding_options(without=("view",), ordered=False)
@click.option(
    "--view",
    required=True,
    help="What to compare: overall, side, back, base, foot rim, mark, mouth, interior, detail …",
)
@click.option(
    "--to",
    required=True,
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The sheet: a .pdf, or a .png for a picture of each page.",
)
@click.option("--overwrite", is_flag=True, help="Replace a file that is there already.")
@click.option(
    "--paper",
    type=click.Choice(tuple(PAPERS)),
    default="a4",
    show_default=True,
    help="What it is to be printed on.",
)
@click.option("--landscape/--portrait", default=False, help="How the paper lies.")
@click.option(
    "--columns",
    type=click.IntRange(1, 12),
    help="How many stand side by side (default: what suits the paper).",
)
@click.option("--fit", is_flag=True, help="Each as large as it fits, and none to scale.")
@click.option("--title", default="", metavar="WORDS", help="What the sheet says it is of.")
@pass_invocation
@click.pass_context
def compare(
    ctx: click.Context,
    invocation: Invocation,
    asked: Asked,
    audience: str,
    view: str,
    to: Path,
    overwrite: bool,
    paper: str,
    landscape: bool,
    columns: int | None,
    fit: bool,
    title: str,
) -> None:
    """Sets one view of the pieces that 'find' would find side by side, in order of date.

    They stand at one scale where a photograph shows the whole piece square on and its size is
    recorded; a bar gives the scale, and what has none says so. A size that is only recalled is
    said to be. Under each stand its number, its date and who holds it, and what its mark says.

    The sheet holds what the audience may see and names the audience; what goes to others than the
    owner is entered in the register.

    \b
    Examples:
      archivist compare --view foot --made 1875/1908 --to feet.pdf
      archivist compare celadon --view base --for public --landscape --to bases.png
      archivist compare --object "HW 0417" --object "HW 0432" --view overall --to two.pdf
    """
    from archivist.cli.finding import asked_in_words, index_for, query_of
    from archivist.finding.comparing import Comparison, check_target
    from archivist.finding.comparing import compare as set_side_by_side
    from archivist.finding.search import search
    from archivist.plugins import load_plugins

    with invocation.open() as archive:
        check_target(archive, to, overwrite=overwrite)
        chosen = _view(view)
        with index_for(archive, audience) as (index, rule):
            query = query_of(archive, index, asked)
            found = search(index, query).found
        having = [one for one in found if chosen in one.entry.facets.get("view", ())]
        _refuse_nothing(len(found), len(having), chosen, audience)
        comparison = Comparison(
            chosen,
            tuple(one.entry.id for one in found),
            title or asked_in_words(asked),
            {
                "paper": PAPERS[paper],
                "landscape": "true" if landscape else "false",
                "columns": str(columns or 0),
                "scaled": "false" if fit else "true",
            },
        )
        with progress("Setting side by side", len(found), "pieces") as advance:
            done = set_side_by_side(archive, load_plugins(), rule, comparison, to, advance)
    for file in done.files:
        echo(str(file))
    left_out = len(found) - len(having)
    without = f"; {left_out} without a photograph of this view left out" if left_out else ""
    echo(f"{chosen.value}: {counted(len(having), 'piece')} for {audience}{without}.", err=True)
    for problem in done.problems:
        secho(f"left out   {problem}", fg="yellow", err=True)
    ctx.exit(1 if done.problems else 0)


def _view(typed: str) -> View:
    """The view that is meant: by its name, or by how it begins ('foot').

    Raises:
        SelectionError: where it is none, or may be several.
    """
    from archivist.errors import SelectionError
    from archivist.finding.search import meant
    from archivist.model import View

    found = meant(typed, View)
    if len(found) != 1:
        raise SelectionError(
            f"'{typed}' may be any of {', '.join(found)}."
            if found
            else f"There is no view '{typed}'.",
            f"Views are: {', '.join(View)}.",
        )
    return View(found[0])


def _refuse_nothing(found: int, having: int, view: View, audience: str) -> None:
    """Nothing cannot be compared, and why there is nothing is told."""
    from archivist.errors import SelectionError

    if not found:
        raise SelectionError(
            "No piece is what was asked for, so there is nothing to compare.",
            "Ask for less; 'archivist find' with the same words shows what there is.",
        )
    if not having:
        raise SelectionError(
            f"None of the {counted(found, 'piece')} found has a photograph of its {view.value} "
            f"that may be shown to '{audience}'.",
            "'archivist find --view ...' shows which have one; photographs that nobody reviewed "
            "are shown to the owner alone.",
        )
