"""Questions that ask the same of many cells become one, so that one answer serves for all."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence

from archivist.intake.proposal import Asked, Choice

_FIGURES = re.compile(r"\s*[\d.,/]+(?:\s*-\s*[\d.,/]+)?(?:\s*(?:mm|cm|m|in|ft|kg|g|oz|lb|ml|l)\b)?")
SHOWN = 3
"""Cells that are named in a question about many."""


def gathered_alike(questions: Sequence[Asked]) -> list[Asked]:
    """The questions, those of one column that ask the same with the same answers made one."""
    groups: dict[tuple[str, ...], list[Asked]] = {}
    for number, question in enumerate(questions):
        groups.setdefault(_likeness(question) or (str(number),), []).append(question)
    return [group[0] if len(group) == 1 else _one(group) for group in groups.values()]


def _answers(question: Asked) -> tuple[str, ...]:
    """The answers without their figures: 'depth', 'diameter'."""
    return tuple(_FIGURES.sub("", choice.answer).strip() for choice in question.choices)


def _likeness(question: Asked) -> tuple[str, ...] | None:
    """What questions must have in common, None where answers without figures say nothing."""
    parts = question.key.split("\n")
    answers = _answers(question)
    if len(parts) != 4 or not answers or not all(answers) or len(set(answers)) < len(answers):
        return None
    return (question.source, parts[1], question.asks, question.reason, *answers)


def _one(group: Sequence[Asked]) -> Asked:
    """One question for all cells of a group."""
    first = group[0]
    column = first.key.split("\n")[1]
    keys = hashlib.sha256("\n\n".join(question.key for question in group).encode("utf-8"))
    choices = tuple(
        Choice(
            answer=answer,
            items=tuple(item for question in group for item in question.choices[number].items),
        )
        for number, answer in enumerate(_answers(first))
    )
    named = "; ".join(question.about for question in group[:SHOWN])
    more = f"; and {len(group) - SHOWN} more" if len(group) > SHOWN else ""
    return Asked(
        key=f"{column}\n{first.asks}\n{keys.hexdigest()}",
        source=first.source,
        asks=f"{first.asks} ({len(group)} cells of the column '{column}')",
        about=named + more,
        choices=choices,
        reason=first.reason,
    )
