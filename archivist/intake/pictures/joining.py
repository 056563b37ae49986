"""Joins pictures that were found to be one, so that no single mistake joins what stands apart.

A copy of one picture may lie as well over a second exposure of it. Joined link by link, it would
make both one. Hence some pairs stand apart whatever links lead from one to the other, links are
taken the surest first, and before two groups become one their best originals must agree.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Link:
    """That two pictures were found to be one; the least `order` is the surest."""

    order: tuple[Any, ...]
    one: int
    other: int


@dataclass(frozen=True)
class Refused:
    """A link that was not followed, and why."""

    one: int
    other: int
    because: str


def joined(
    count: int,
    links: Sequence[Link],
    apart: Callable[[int, int], str],
    agree: Callable[[int, int], str],
    worth: Callable[[int], Any],
) -> tuple[list[list[int]], list[Refused]]:
    """The groups of more than one of so many pictures, and the links that were not followed.

    `apart` says why two pictures can never be one ('' where they may), `agree` why the best
    originals of two groups forbid it, `worth` orders the best original first.
    """
    groups = [[n] for n in range(count)]
    refused: list[Refused] = []
    for link in sorted(links, key=lambda link: (link.order, link.one, link.other)):
        first, second = groups[link.one], groups[link.other]
        if first is second:
            continue
        why = next((why for a in first for b in second if (why := apart(a, b))), "")
        if not why and len(first) + len(second) > 2:
            heads = (min(first, key=worth), min(second, key=worth))
            if set(heads) != {link.one, link.other}:
                why = agree(*heads)
        if why:
            refused.append(Refused(link.one, link.other, why))
            continue
        first += second
        for member in second:
            groups[member] = first
    found = {id(group): sorted(group) for group in groups if len(group) > 1}
    return sorted(found.values()), refused
