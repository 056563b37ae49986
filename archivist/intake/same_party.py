"""Asks whether two names are of one person or firm."""

from __future__ import annotations

from archivist.intake.parties import Parties
from archivist.intake.proposal import Asked, Choice, SameParty
from archivist.model import Party


def party_questions(parties: Parties, named: set[str]) -> list[Asked]:
    """A question for each new name that may be another way to name a known party."""
    by_new: dict[str, tuple[Party, list[Party]]] = {}
    for new, other in parties.alike():
        if new.id in named:
            by_new.setdefault(new.id, (new, []))[1].append(other)
    return [_question(new, others) for new, others in by_new.values()]


def _question(new: Party, others: list[Party]) -> Asked:
    choices = [
        Choice(
            answer=other.name,
            same=(SameParty(party=other.id, other=new.id, name=new.name),),
        )
        for other in others
    ]
    names = " or ".join(f"'{other.name}'" for other in others)
    return Asked(
        key=f"same party\n{new.name}\n{','.join(sorted(o.name for o in others))}",
        source="",
        asks=f"Is '{new.name}' the same as {names}?",
        about=new.name,
        choices=(*choices, Choice(answer="nobody else")),
    )
