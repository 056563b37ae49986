"""Which of several files of one picture is the best original, and what the others are to it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from archivist.intake.pictures.compare import Laid
from archivist.intake.pictures.findings import Relation
from archivist.intake.pictures.look import Look
from archivist.model import Certainty


@dataclass(frozen=True)
class Picture:
    """One picture, known by its digest; `clock` is when its camera says it was taken (to the
    second or finer, '' if it does not say), `told` how much its file says of itself, `path` where
    it lies, `stem` its name without what copies are called by, `worked` that its place or name
    says it is a copy, `called_copy` that its name does, `number` what a camera or scanner counted
    it as in its `series` ('' where neither did), `camera` which camera wrote in it when it took it
    ('' where none did), `scanned` that it has the name of a scan."""

    sha256: str
    path: str
    look: Look
    clock: str = ""
    stem: str = ""
    told: int = 0
    worked: bool = False
    called_copy: bool = False
    lossless: bool = False
    series: str = ""
    number: str = ""
    camera: str = ""
    scanned: bool = False


@dataclass(frozen=True)
class Same:
    """That a picture is the keeper changed: how, how sure, and why."""

    picture: int
    relations: tuple[Relation, ...]
    certainty: Certainty
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Cluster:
    """Files of one picture: the place of the best original in the list, why, and the others."""

    keeper: int
    because: tuple[str, ...]
    others: tuple[Same, ...]


def worth(picture: Picture) -> tuple[Any, ...]:
    """By which files are laid over each other, the likeliest whole first: most pixels, then least
    loss, then most said; then plain names. Which is the best original is weighed elsewhere."""
    look = picture.look
    pixels = look.width * look.height
    return (
        -round(math.log(max(1, pixels)) * 50),
        look.grey,
        not picture.lossless,
        picture.worked,
        picture.called_copy,
        -look.quality,
        -picture.told,
        -look.sharpness,
        len(picture.path),
        picture.path,
    )


def what_it_is(
    keeper: int,
    member: int,
    pictures: Sequence[Picture],
    laid: Laid | None,
    turn: int,
    swapped: bool,
) -> Same:
    """What one file is to the keeper."""
    best, other = pictures[keeper].look, pictures[member].look
    relations: list[Relation] = []
    if turn:
        relations.append(Relation.ROTATED)
    if other.grey and not best.grey:
        relations.append(Relation.GREY)
    cut = max(laid.left, laid.top, laid.right, laid.bottom) if laid else 0.0
    if laid and not swapped and cut > 0.008:
        relations.append(Relation.CROPPED)
    if laid and (laid.quiet < 0.9 or laid.fading > 0.05):
        relations.append(Relation.ALTERED)
    sides = (max(best.width, best.height), max(other.width, other.height))
    if sides[1] < 0.97 * sides[0] * (1 - 2 * max(0.0, cut)):
        relations.append(Relation.RESIZED)
    if not relations:
        plain = laid and laid.rest < 0.2 and best.quality == other.quality
        relations.append(Relation.METADATA if plain else Relation.RECOMPRESSED)
    certainty = Certainty.CERTAIN
    reasons = []
    if laid is None:
        certainty = Certainty.PROBABLE
        reasons.append("by way of other copies of it")
    else:
        reasons.append(
            f"laid over each other {round(100 * laid.agreeing)} % of the structured parts agree"
        )
        if laid.agreeing < 0.8:
            certainty = Certainty.PROBABLE
    if turn:
        reasons.append(f"turned by {_DEGREES[turn]} degrees")
    if Relation.CROPPED in relations and laid:
        reasons.append(f"up to {round(100 * cut)} % of a side is cut")
    if Relation.RESIZED in relations:
        reasons.append(f"{other.width} x {other.height} of {best.width} x {best.height} pixels")
    return Same(member, tuple(relations), certainty, tuple(reasons))


_DEGREES = {3: 180, 5: 270, 6: 90}
"""Clockwise, from the keeper to the copy."""
