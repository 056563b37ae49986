"""The one weighing: of all evidence for one field of one subject, what is held, and what is not.

A person's word goes before any rule; among rules the exact before the vague, the strong ground
before the weak (`Ground`), the nearer before the farther, many before one. Nothing is overwritten:
what lost stays, with why.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic

from archivist.intake.evidence import Evidence, Ground, Value
from archivist.model import SUREST_FIRST, Certainty


@dataclass(frozen=True)
class Held(Generic[Value]):
    """What is held (None where nothing is), how surely, for which reasons, and what lost to it."""

    best: Evidence[Value] | None
    certainty: Certainty
    reasons: tuple[str, ...]
    lost: tuple[Evidence[Value], ...] = ()
    disputed: bool = False


def weigh(
    evidence: Sequence[Evidence[Value]],
    agree: Callable[[Value, Value], bool] = lambda one, other: one == other,
) -> Held[Value]:
    """What is held of `evidence`, which stands in the order of nearness.

    Where other words of the very subject, as exact as the best, say something else, the best is no
    more than possible; what is said of all in a folder is no such word. `agree` tells which values
    are no contradiction.
    """
    believed = [e for e in evidence if not e.against]
    if not believed:
        return Held(None, Certainty.POSSIBLE, (), tuple(evidence))
    many = Counter(e.value for e in believed)
    order = {id(e): n for n, e in enumerate(believed)}
    ranked = sorted(
        believed,
        key=lambda e: (
            e.ground if e.ground.is_of_person else len(Ground),
            not e.exact,
            e.ground,
            SUREST_FIRST.index(e.certainty),
            -many[e.value],
            order[id(e)],
        ),
    )
    best = ranked[0]
    lost = tuple(e for e in evidence if e.against or not agree(best.value, e.value))
    disputed = not best.ground.is_of_person and any(
        e.exact and best.exact and e.ground < Ground.FOLDER for e in lost if not e.against
    )
    certainty = Certainty.POSSIBLE if disputed else best.certainty
    reasons = [r for e in ranked if agree(best.value, e.value) for r in e.reasons]
    return Held(best, certainty, tuple(dict.fromkeys(reasons)), lost, disputed)


def told_lost(lost: Sequence[Evidence[Value]]) -> tuple[str, ...]:
    """What was not held and why, in words for a reader."""
    return tuple(
        dict.fromkeys(
            f"not held: {'; '.join(e.reasons) or e.source}"
            + (f", {e.against}" if e.against else "")
            for e in lost
        )
    )
