"""`archivist survey`: looks at old material and proposes what to make of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from archivist.cli.context import Invocation, pass_invocation

if TYPE_CHECKING:
    from archivist.intake.survey import Told
from archivist.cli.saying import echo


@click.command()
@click.argument("sources", nargs=-1, metavar="[SOURCE]...", type=click.Path(path_type=Path))
@click.option(
    "--reader", default="", metavar="NAME", help="The reader to use (default: the surest)."
)
@click.option(
    "--mapping",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="A column file of an earlier survey, edited or for another sheet alike.",
)
@click.option(
    "--source-id", default="", metavar="UUID", help="The source this was before it moved."
)
@click.option(
    "--again",
    is_flag=True,
    help="Read the kept words of all tables once more, and propose to correct what is read "
    "otherwise now and nobody touched.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON.")
@pass_invocation
def survey(
    invocation: Invocation,
    sources: tuple[Path, ...],
    reader: str,
    mapping: Path | None,
    source_id: str,
    again: bool,
    as_json: bool,
) -> None:
    """Reads spreadsheets and folders of photographs and proposes what is new in them.

    Nothing is taken in yet, and nothing is ever written to a SOURCE. With --again the words that
    are kept of every table are read as they are read today; what a person edited stays.

    \b
    Example:
      archivist survey "Stock book.xlsx" "Old photographs"
      archivist survey --again
    """
    from archivist.cli.context import progress, say_json
    from archivist.cli.told import tell_columns, tell_proposal, tell_troubles
    from archivist.intake.choose import has_photographs, waiting_records
    from archivist.intake.files import size_below
    from archivist.intake.survey import survey as look
    from archivist.intake.survey import survey_again
    from archivist.plugins import load_plugins

    if bool(sources) is again:
        raise click.UsageError("Name a SOURCE, or give --again and no SOURCE.")
    if again:
        with invocation.open() as archive:
            told = survey_again(archive, load_plugins())
        _tell_again(told, as_json)
        return
    with invocation.open() as archive:
        waiting = waiting_records(archive)
    size = size_below(path for path in sources if path.exists())
    with invocation.open() as archive, progress("Looking", size) as advance:
        told = look(
            archive,
            sources,
            load_plugins(),
            reader=reader,
            source_id=source_id,
            mapping=mapping,
            progress=advance,
        )
    troubles = [t for t in told.proposal.troubles if not t.trouble.harmless]
    if as_json:
        say_json(
            {
                **_figures(told),
                "troubles": [t.trouble for t in told.proposal.troubles],
                "mappings": [str(path) for path in told.mappings],
            }
        )
    else:
        if told.path is None:
            echo(f"Nothing new: all {told.unchanged} rows and files are known.")
        else:
            tell_proposal(told.proposal)
        tell_troubles(told.proposal)
        tell_columns(told.proposal, told.mappings)
        if told.path is not None:
            echo(f"The proposal: {told.path}")
            if waiting and has_photographs(told.proposal):
                names = ", ".join(path.name for path in waiting[-3:])
                echo(
                    f"Records that wait to be applied: {names}. Photographs are matched with "
                    "records that are in the archive: apply those first, then survey the "
                    "photographs again."
                )
            echo("Next: archivist review, then archivist apply")
    if troubles:
        click.get_current_context().exit(1)


def _figures(told: Told) -> dict[str, object]:
    """What every survey says as JSON: where its proposal is and how much is in it."""
    return {
        "proposal": str(told.path) if told.path else None,
        "items": len(told.proposal.items),
        "questions": len(told.proposal.questions),
        "unchanged": told.unchanged,
    }


def _tell_again(told: Told, as_json: bool) -> None:
    """What reading the kept words once more came to."""
    from archivist.cli.context import say_json
    from archivist.cli.told import counted, tell_proposal

    if as_json:
        say_json(_figures(told))
        return
    if told.unchanged:
        echo(
            f"{counted(told.unchanged, 'cell')} would be read otherwise and was edited or answered "
            "by a person: left as it is."
        )
    if told.path is None:
        echo("Nothing to correct: all else that was taken in is read as it was.")
        return
    tell_proposal(told.proposal)
    echo(f"The proposal: {told.path}")
    echo("Next: archivist review, then archivist apply")
