"""How a proposal is told on the terminal: what is certain in a line, the rest by itself."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from archivist.catalogue.catalogue import Catalogue
    from archivist.intake.proposal import AnyItem, Asked, Proposal

MOST = 20
"""Lines of one kind that are shown before the rest is counted."""


def counted(number: int, one: str, many: str = "") -> str:
    """'1 record', '2 records', '' for none."""
    if not number:
        return ""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def tell_proposal(proposal: Proposal) -> None:
    """A line for the items, a line for the questions."""
    counts = Counter(type(item).__name__ for item in proposal.items)
    words = [
        counted(counts["CreateObject"], "new record"),
        counted(counts["ChangeObject"], "change of a record", "changes of records"),
        counted(counts["AddPhotograph"], "photograph"),
        counted(counts["LinkPhotograph"], "photograph shows another piece"),
        counted(counts["KeepFile"], "file to keep", "files to keep"),
        counted(counts["SaveParty"], "person or firm", "persons and firms"),
    ]
    click.echo("Proposed: " + (", ".join(w for w in words if w) or "nothing") + ".")
    refused = sum(not item.accept for item in proposal.items)
    if refused:
        click.echo(f"Refused: {counted(refused, 'item')}.")
    if proposal.questions:
        open_ = sum(not question.answer for question in proposal.questions)
        click.echo(f"{counted(len(proposal.questions), 'question')}, {open_} open.")


def tell_items(proposal: Proposal, everything: bool) -> None:
    """The items that are less than certain, or all, as a table; the certain ones as a number."""
    from rich.console import Console
    from rich.table import Table

    numbered = list(enumerate(proposal.items, start=1))
    doubtful = [(n, i) for n, i in numbered if i.certainty.value != "certain" or not i.accept]
    shown = numbered if everything else doubtful[:MOST]
    certain = len(numbered) - len(doubtful)
    if certain:
        click.echo(f"{certain} of {len(numbered)} items are certain.")
    if not shown:
        return
    table = Table(box=None, pad_edge=False, header_style="bold", padding=(0, 2, 0, 0))
    table.add_column("item", justify="right")
    table.add_column("what", overflow="fold")
    table.add_column("name", overflow="fold")
    table.add_column("certainty")
    table.add_column("because", overflow="fold")
    for number, item in shown:
        what = _what(item) if item.accept else f"refused: {_what(item)}"
        reasons = "; ".join(item.reasons)
        table.add_row(str(number), what, _name(item), item.certainty.value, reasons)
    Console(highlight=False, markup=False, emoji=False).print(table)
    if not everything and len(doubtful) > MOST:
        click.echo(f"and {len(doubtful) - MOST} more: archivist review --all")


def _what(item: AnyItem) -> str:
    """What an item is, as the file calls it."""
    return str(type(item).__struct_config__.tag)


def _name(item: AnyItem) -> str:
    """What an item is about."""
    from archivist.intake.proposal import (
        AddPhotograph,
        ChangeObject,
        CreateObject,
        DescribeView,
        LinkPhotograph,
        SaveParty,
    )

    match item:
        case CreateObject():
            number = item.record.stock_number
            return f"{number}  {item.record.title}".strip()
        case ChangeObject():
            return item.name
        case SaveParty():
            return item.party.name
        case AddPhotograph():
            views = ", ".join(dict.fromkeys(d.view.value for d in item.photograph.depictions))
            return f"{item.path} ({views})" if views else item.path
        case LinkPhotograph() | DescribeView():
            return item.path
        case _:
            return item.file.path


def tell_questions(proposal: Proposal) -> None:
    """Each question with its choices; answered ones with their answer."""
    from archivist.intake.decide import letter

    for number, question in enumerate(proposal.questions, start=1):
        click.echo()
        click.secho(f"{number}. {question.asks}", bold=not question.answer)
        click.echo(f"   {question.about}")
        if question.answer:
            click.echo(f"   Answered: {question.answer}")
            continue
        for place, choice in enumerate(question.choices):
            click.echo(f"   {letter(place)}: {choice.answer}")
    if any(question.choices and not question.answer for question in proposal.questions):
        click.echo("\nTo answer: archivist review --ask, or --answer 1=a")


def ask_questions(proposal: Proposal) -> Proposal:
    """Asks each open question that has choices; an empty answer leaves it open."""
    from archivist.intake.decide import with_answer

    for place, question in enumerate(proposal.questions):
        if question.answer or not question.choices:
            continue
        answer = _asked(place, question)
        proposal = with_answer(proposal, place, answer)
    return proposal


def _asked(place: int, question: Asked) -> str:
    """One question put to the person at the terminal."""
    from archivist.intake.decide import letter

    click.secho(f"\n{place + 1}. {question.asks}", bold=True)
    click.echo(f"   {question.about}")
    answers = {letter(n): choice.answer for n, choice in enumerate(question.choices)}
    for mark, answer in answers.items():
        click.echo(f"   {mark}: {answer}")
    while True:
        said = click.prompt("   (empty: leave it open)", default="", show_default=False).strip()
        if not said or said in answers:
            return answers.get(said, "")
        click.echo(f"   Please say one of {', '.join(answers)}.")


def tell_troubles(proposal: Proposal) -> None:
    """What could not be read, by place; what is harmless only as a number."""
    real = [t for t in proposal.troubles if not t.trouble.harmless]
    for told in real[:MOST]:
        source = Path(told.location).name
        where = "" if told.trouble.place == source else f"{told.trouble.place}: "
        click.secho(f"{source}: {where}{told.trouble.reason}", fg="yellow", err=True)
        if told.trouble.remedy:
            click.echo(f"    {told.trouble.remedy}", err=True)
    if len(real) > MOST:
        click.echo(f"and {len(real) - MOST} more, all in the proposal.", err=True)
    reasons = Counter(t.trouble.reason for t in proposal.troubles if t.trouble.harmless)
    for reason, count in reasons.items():
        click.echo(f"{count} x {reason}", err=True)


def tell_sources(catalogue: Catalogue, as_json: bool) -> None:
    """The sources that the archive knows: UUID, reader, where they lie."""
    from archivist.catalogue.sources import sources
    from archivist.cli.context import say_json

    known = sources(catalogue)
    if as_json:
        say_json(list(known))
        return
    for source in known:
        click.echo(f"{source.id}  {source.reader}  {source.location}")
    if not known:
        click.echo("Nothing was taken in yet.")
