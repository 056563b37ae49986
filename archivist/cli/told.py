"""How a proposal is told on the terminal: what is certain in a line, the rest by itself."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from archivist.intake.proposal import AnyItem, Asked, Proposal

MOST = 12
"""Lines of one kind that are shown before the rest is counted."""


def tell_proposal(proposal: Proposal) -> None:
    """A summary of the items."""
    counts = _counts(proposal)
    words = [
        _counted(counts["create object"], "new record"),
        _counted(counts["change object"], "changed record"),
        _counted(counts["add photograph"], "photograph"),
        _counted(counts["keep file"], "file"),
        _counted(counts["save party"], "person or firm", "persons and firms"),
    ]
    click.echo("Proposed: " + (", ".join(w for w in words if w) or "nothing") + ".")
    if proposal.questions:
        click.echo(f"{_counted(len(proposal.questions), 'question')} to answer.")


def tell_troubles(proposal: Proposal) -> None:
    """What could not be read, by place; what is harmless only as a number."""
    real = [t for t in proposal.troubles if not t.trouble.harmless]
    for told in real[: MOST * 2]:
        source = Path(told.location).name
        click.secho(f"  {source}: {told.trouble.place}: {told.trouble.reason}", fg="yellow", err=True)
        if told.trouble.remedy:
            click.echo(f"      {told.trouble.remedy}", err=True)
    if len(real) > MOST * 2:
        click.echo(f"  and {len(real) - MOST * 2} more, all in the proposal.", err=True)
    reasons = Counter(t.trouble.reason for t in proposal.troubles if t.trouble.harmless)
    for reason, count in reasons.items():
        click.echo(f"  {count} x {reason}", err=True)


def _counts(proposal: Proposal) -> Counter[str]:
    return Counter(kind_of(item) for item in proposal.items)


def kind_of(item: AnyItem) -> str:
    """The words an item is called by in the file."""
    tag = type(item).__struct_config__.tag
    return str(tag)


def _counted(number: int, one: str, many: str = "") -> str:
    """'1 record', '2 records', '' for none."""
    if not number:
        return ""
    return f"{number} {one if number == 1 else many or f'{one}s'}"
