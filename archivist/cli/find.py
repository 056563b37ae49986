"""`archivist find`: the library's search over the catalogue."""

from __future__ import annotations

import click

from archivist.cli.context import Invocation, pass_invocation
from archivist.cli.finding import Asked, finding_options
from archivist.cli.saying import echo

CAUTION = "An uncalibrated photograph is not a measurement: lamp and camera shift every colour."


@click.command()
@finding_options()
@click.option(
    "--like-colour",
    "like",
    metavar="COLOUR",
    help="Of a glaze like #7d9a86, or like that of STOCKNUMBER; the nearest first.",
)
@click.option(
    "--near",
    type=click.Choice(("close", "near", "loosely")),
    default="near",
    show_default=True,
    help="How near a colour must be.",
)
@click.option("--limit", type=click.IntRange(min=1), help="Show no more than so many.")
@click.option(
    "--as",
    "printed_as",
    type=click.Choice(("table", "json", "csv")),
    default="table",
    show_default=True,
    help="How to print what was found.",
)
@click.option("--json", "as_json", is_flag=True, help="The same as --as json.")
@pass_invocation
def find(
    invocation: Invocation,
    asked: Asked,
    audience: str,
    like: str | None,
    near: str,
    limit: int | None,
    printed_as: str,
    as_json: bool,
) -> None:
    """Finds pieces by WORDS, dates, sizes and what is known of them.

    The search is that of the reference library: words may be begun only ('cel'), accents and
    apostrophes do not count, and names that mean the same find each other, in any romanisation.
    Every option that is given must hold; of an option that is given more than once, any value
    will do. A value may be begun only, where no other is meant by it.

    \b
    Examples:
      archivist find celadon bowl
      archivist find "Ch'ien-lung" --seen hairline --part rim
      archivist find --made 1875/1908 --certainly --view "foot rim"
      archivist find --form vase --form bottle --height ../20cm
      archivist find --relation "of the period" --as csv > marks.csv
      archivist find --like-colour "HW 0417" --near close

    A piece is possibly made in the years asked for where its date may lie in them, certainly
    where all of its date does. A piece of which a size is told as a range may be as large as
    any size in it.

    Colours are measured from the photographs when they are first asked for. An uncalibrated
    photograph is not a measurement: lamp and camera shift every colour.

    JSON and CSV give years as ISO 8601 counts them (206 BCE is -205) and sizes in millimetres.
    """
    from archivist.cli.finding import index_for, of_colour, query_of, told_count
    from archivist.cli.found_shown import show
    from archivist.finding.search import search

    with invocation.open() as archive, index_for(archive, audience) as (index, rule):
        query = query_of(archive, index, asked)
        answer = search(index, query)
        if like is not None:
            answer = of_colour(archive, index, rule, answer, like, near)
    shown = answer.found[:limit]
    printed_as = "json" if as_json else printed_as
    show(shown, printed_as)
    if printed_as == "table":
        echo(told_count(len(answer.found), len(shown), answer.dateless), err=True)
        if like is not None:
            echo(CAUTION, err=True)
