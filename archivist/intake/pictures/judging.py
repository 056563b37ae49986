"""Whether two pictures that were laid over each other are one, by what is left between them."""

from __future__ import annotations

import math
from typing import Any

from archivist.intake.pictures.compare import TINTED, Laid, lay
from archivist.intake.pictures.look import Look

SAME = "same"
"""The verdict that one picture is the other one changed."""

DISPLACED = "the same things a little displaced: rather two exposures"

NEARER = "the same things taken a little nearer: rather two exposures"

_HARDLY_RESIZED = (0.003, 0.04)
"""Between these a cut copy seems to be resized by so little that it hardly was: nobody resizes by
one in a hundred, but of two exposures one is taken so much nearer. Our judgement, no source."""


_LEAN = (0.008, 0.07)
"""Tangents between which a picture was put straight by hand: from half a degree to four."""


def judge(laid: Laid, whole: tuple[int, int], part: tuple[int, int], *, kin: bool = True) -> str:
    """'same' where the second picture is the first one changed; else '' or why it is nearly so.

    `whole` and `part` are the sizes of the files in pixels. A copy keeps its proportions,
    shows nothing that is not on the whole, and a copy from which something was cut has
    fewer pixels than the whole has, or other proportions. Where a stamp lies most of the picture
    must agree the better, and of
    pictures that are kin (by their clocks or names) less must agree than of others.
    """
    cuts = (laid.left, laid.top, laid.right, laid.bottom)
    uneven = abs(
        math.log((laid.scale[0] * whole[0] / part[0]) / (laid.scale[1] * whole[1] / part[1]))
    )
    if laid.rest > 1.8 or _recoloured(laid) or laid.fading > 0.25 or laid.quiet < 0.6:
        return ""
    poor = laid.structured < 12
    clear = laid.detail > (0.94 if kin else 0.95) and laid.agreeing > 0.93 and laid.quiet > 0.93
    # Where there is little fine structure noise hides how alike it is; then nothing may differ.
    least = (0.75 if laid.structured < 22 else 0.9) + (0.0 if kin else 0.07)
    still = laid.quiet > 0.98 and laid.rest < (1.2 if kin else 1.05) and laid.rough < 4.0
    # Parts with only a little structure may differ where all the rest agrees to a hair.
    agreeing = 0.85 if laid.detail > 0.99 else 0.9
    clear = (clear and laid.rough < 9) or (
        still and laid.agreeing > agreeing and laid.detail > least
    )
    if max(cuts) == 0:
        return SAME if clear or _stamped(laid, kin) else "much of it agrees, and much does not"
    if min(cuts) < -0.004 or max(cuts) > 0.105 or uneven > 0.014 or laid.inside < 0.98:
        return "they are alike, but do not lie on each other" if laid.detail > 0.99 else ""
    if whole == part:
        return DISPLACED if clear else ""
    if max(cuts) < 0.008:
        return SAME if clear and laid.detail > 0.985 else ""
    least_cut, quiet = (0.95, 0.93) if kin else (0.96, 0.95)
    if clear and not poor and laid.detail > least_cut and laid.quiet > quiet:
        return SAME
    if kin and clear and laid.structured < 22 and laid.quiet > 0.99 and laid.rest < 0.8:
        return SAME
    return "it may be a part of the other" if laid.detail > 0.9 else ""


def hardly_resized(laid: Laid, whole: tuple[int, int], part: tuple[int, int]) -> bool:
    """Whether a cut picture is a little larger or smaller than the part of the whole it shows."""
    sizes = zip(part, whole, laid.scale, strict=True)
    by = max(abs(math.log(p / (w * share))) for p, w, share in sizes)
    return _HARDLY_RESIZED[0] < by < _HARDLY_RESIZED[1]


def leans(laid: Laid, whole: tuple[int, int], part: tuple[int, int]) -> bool:
    """Whether a picture lies a little turned, as one put straight does, and not sheared."""
    down = laid.lean[0] * whole[1] / part[0]
    across = laid.lean[1] * whole[0] / part[1]
    return _LEAN[0] < abs(down) < _LEAN[1] and abs(down + across) < 0.15 * abs(down)


def displaced(whole: Any, part: Any, laid: Laid) -> bool:
    """Whether whole pictures agree better once one is moved, which no copy needs. Where there is
    little fine structure nobody can tell."""
    if laid.detail > 0.995 or laid.structured < 22:
        return False
    moved = lay(whole, part, (0.0, 0.0, 0.0, 0.0))
    if moved is None:
        return False
    by = max(abs(c) for c in (moved.left, moved.top, moved.right, moved.bottom))
    return by > 0.0015 and moved.quiet_detail > laid.quiet_detail + 0.004


def _recoloured(laid: Laid) -> bool:
    """Whether colours are apart in another way than another white balance makes them: the same
    change of all, and the fine structure as it was."""
    if laid.colour <= TINTED:
        return False
    return laid.recoloured > 2.0 or laid.structured < 22 or laid.detail < 0.97


def _stamped(laid: Laid, kin: bool) -> bool:
    """Whether all is as it was but for what is lighter, or darker, all over: a name, a frame.

    Most of the picture must be as it was and what differs all of one sign; the fine structure of
    the rest must agree, unless there is little of it.
    """
    bold = laid.stamp > 0.98 and laid.rough > 4.5 and laid.rest < 1.2 and laid.structured >= 22
    if bold and laid.clean > 0.7 and laid.clean_detail > (0.975 if kin else 0.99):
        return True
    if laid.stamp < 0.95 or laid.quiet < 0.78 or laid.rest > 1.3:
        return False
    faint = laid.rough <= 2 and laid.detail < 0.99
    if laid.quiet_agreeing > 0.95 and laid.quiet_detail > 0.985 and not faint:
        return True
    if laid.rough < 4.5:
        return False
    if laid.quiet_agreeing > 0.8 and laid.quiet_detail > (0.94 if kin else 0.97):
        return True
    weak = laid.structured < 34 and laid.rest < 1.0 and laid.stamp > 0.98 and laid.rough > 8
    return weak and laid.quiet > 0.8 and (kin or laid.quiet_detail > 0.9 or laid.structured < 20)


def hue_apart(one: Look, other: Look) -> float:
    """How far the colours of middle and border are apart, whatever the brightness."""
    apart = 0.0
    for a, b in ((one.colour, other.colour), (one.background, other.background)):
        light_a, light_b = sum(a) + 30, sum(b) + 30
        apart = max(
            apart, *(abs(3 * x / light_a - 3 * y / light_b) for x, y in zip(a, b, strict=True))
        )
    return apart


def proportions_apart(whole: tuple[int, int], part: tuple[int, int]) -> float:
    """How far the proportions of two sizes differ (natural logarithm)."""
    return abs(math.log(whole[0] * part[1] / (whole[1] * part[0])))


def fits(one: Look, other: Look, turn: int) -> bool:
    """Whether proportions allow that turn, a cut of a tenth included."""
    wide, high = (other.height, other.width) if turn & 4 else (other.width, other.height)
    return abs(math.log(one.width * high / (one.height * wide))) < 0.25
