"""`archivist review`: shows a proposal, what is certain in a line, and asks about the rest."""

from __future__ import annotations

from pathlib import Path

import click

from archivist.cli.context import Invocation, pass_invocation


@click.command()
@click.argument("proposal", required=False, default="", metavar="[PROPOSAL]")
@click.option("--all", "everything", is_flag=True, help="Show every item.")
@click.option("--ask", is_flag=True, help="Ask each open question here.")
@click.option(
    "--answer",
    "answers",
    multiple=True,
    metavar="QUESTION=CHOICE",
    help="Answer a question: 2=b, or 2='the same'.",
)
@click.option("--refuse", multiple=True, metavar="ITEM", help="Refuse an item by its number.")
@click.option("--sources", is_flag=True, help="List the sources the archive knows.")
@click.option("--json", "as_json", is_flag=True, help="Print the proposal as JSON.")
@pass_invocation
def review(
    invocation: Invocation,
    proposal: str,
    everything: bool,
    ask: bool,
    answers: tuple[str, ...],
    refuse: tuple[str, ...],
    sources: bool,
    as_json: bool,
) -> None:
    """Shows what PROPOSAL says (default: the newest that was not applied).

    A proposal is a text file: it can also be edited in any editor before it is applied.

    \b
    Examples:
      archivist review
      archivist review --ask
      archivist review --answer 1=a --refuse 12
    """
    from archivist.cli import told
    from archivist.cli.context import say_json
    from archivist.intake.choose import chosen_proposal, newest_proposal
    from archivist.intake.decide import answer_question, refuse_item
    from archivist.intake.proposal import read_proposal, rewrite_proposal

    with invocation.open() as archive:
        if sources:
            told.tell_sources(archive.catalogue, as_json)
            return
        if proposal:
            path: Path | None = chosen_proposal(archive, proposal)
        else:
            path = newest_proposal(archive)
    if path is None:
        if as_json:
            say_json(None)
        else:
            click.echo("No proposal is waiting. 'archivist survey SOURCE' makes one.")
        return
    what = read_proposal(path)
    changed = what
    for number in refuse:
        changed = refuse_item(changed, number)
    for words in answers:
        changed = answer_question(changed, words)
    if ask:
        changed = told.ask_questions(changed)
    if changed != what:
        rewrite_proposal(path, changed)
    if as_json:
        say_json(changed)
        return
    told.tell_proposal(changed)
    told.tell_items(changed, everything)
    told.tell_questions(changed)
    told.tell_troubles(changed)
    click.echo(f"The proposal: {path}")
    click.echo(f"Next: archivist apply {path.name}")
