"""Invented pots and their photographs, drawn fast: solids of revolution before a backdrop.

Nothing here knows the program that is measured with them.
"""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]
Colour = tuple[float, float, float]

GLAZES: tuple[Colour, ...] = (
    (0.55, 0.68, 0.58),
    (0.20, 0.27, 0.55),
    (0.86, 0.86, 0.82),
    (0.35, 0.20, 0.14),
    (0.62, 0.16, 0.12),
    (0.78, 0.70, 0.50),
    (0.13, 0.13, 0.14),
    (0.45, 0.55, 0.70),
    (0.70, 0.45, 0.25),
    (0.40, 0.45, 0.22),
)
DECORS = ("none", "bands", "sprays", "spots", "panels")


@dataclass(frozen=True)
class Pot:
    """A solid of revolution: radii from the foot to the mouth, its glaze, clay, decor and mark."""

    radii: tuple[float, ...]
    height: float
    glaze: Colour
    clay: Colour
    ink: Colour
    decor: str
    seed: int
    open_bowl: bool


@dataclass(frozen=True)
class Backdrop:
    """What a session was shot against: colours above and below, cloth, and the light's side."""

    above: Colour
    below: Colour
    cloth: float
    light: float
    warmth: float
    seed: int


def make_pot(random: np.random.Generator) -> Pot:
    """A pot of a new form."""
    open_bowl = bool(random.random() < 0.35)
    points = random.uniform(0.45, 1.0, 5)
    if open_bowl:
        points = np.sort(points) * np.array([0.7, 0.8, 0.9, 1.0, 1.0])
    else:
        points[-1] *= 0.6
        points[0] *= 0.75
    points = points / points.max()
    height = float(random.uniform(0.7, 1.0) if open_bowl else random.uniform(1.5, 2.8))
    glaze = np.clip(
        np.array(GLAZES[random.integers(len(GLAZES))]) + random.normal(0, 0.05, 3), 0.05, 0.95
    )
    return Pot(
        radii=tuple(points),
        height=height,
        glaze=tuple(glaze),
        clay=tuple(np.clip(np.array((0.72, 0.55, 0.42)) + random.normal(0, 0.08, 3), 0.1, 0.95)),
        ink=tuple(np.clip(np.array((0.15, 0.2, 0.45)) + random.normal(0, 0.1, 3), 0, 0.9)),
        decor=DECORS[random.integers(len(DECORS))],
        seed=int(random.integers(1 << 30)),
        open_bowl=open_bowl,
    )


def sister_of(pot: Pot, random: np.random.Generator) -> Pot:
    """A second pot of the pair: as like as hands make it, its brushwork its own."""
    radii = tuple(float(r * (1 + random.normal(0, 0.01))) for r in pot.radii)
    glaze = tuple(float(np.clip(c + random.normal(0, 0.012), 0.02, 0.98)) for c in pot.glaze)
    return replace(pot, radii=radii, glaze=glaze, seed=int(random.integers(1 << 30)))  # type: ignore[arg-type]


def twin_of(pot: Pot, random: np.random.Generator) -> Pot:
    """A second pot of the pair with the same decoration, as printed ones have it."""
    return replace(sister_of(pot, random), seed=pot.seed)


def make_backdrop(random: np.random.Generator) -> Backdrop:
    """Paper, cloth or a wall."""
    base = random.uniform(0.15, 0.92)
    tint = random.normal(0, 0.04, 3)
    above = np.clip(base + tint, 0.03, 0.97)
    below = np.clip(above + random.uniform(-0.12, 0.12), 0.03, 0.97)
    return Backdrop(
        above=tuple(above),
        below=tuple(below),
        cloth=float(random.choice([0.0, 0.006, 0.02])),
        light=float(random.choice([-1.0, 1.0]) * random.uniform(0.4, 1.0)),
        warmth=float(random.normal(0, 0.04)),
        seed=int(random.integers(1 << 30)),
    )


def _waves(angle: Array, height: Array, seed: int, count: int, finest: int) -> Array:
    """Smooth noise around a pot, that closes on itself."""
    random = np.random.default_rng(seed)
    total = np.zeros(np.broadcast(angle, height).shape, np.float32)
    for _ in range(count):
        turns, rises = random.integers(0, finest + 1), random.uniform(0, finest)
        total += np.cos(turns * angle + rises * 3 * height + random.uniform(0, 6.28))
    return total / count


def _decor(pot: Pot, angle: Array, height: Array) -> Array:
    """How much ink there is, 0 to 1, at each angle and height (0 foot to 1 mouth)."""
    random = np.random.default_rng(pot.seed)
    ink = np.zeros(np.broadcast(angle, height).shape, np.float32)
    if pot.decor == "bands":
        for at in random.uniform(0.15, 0.9, 4):
            wobble = 0.012 * _waves(angle, height * 0, int(random.integers(1 << 30)), 4, 6)
            ink = np.maximum(ink, np.abs(height - at - wobble) < random.uniform(0.008, 0.03))
    elif pot.decor in ("sprays", "spots"):
        count = 26 if pot.decor == "sprays" else 40
        for _ in range(count):
            around, up = random.uniform(0, 6.283), random.uniform(0.15, 0.9)
            across, tall = random.uniform(0.03, 0.2), random.uniform(0.01, 0.05)
            if pot.decor == "sprays":
                tall *= 2
            off = np.abs((angle - around + np.pi) % (2 * np.pi) - np.pi)
            lean = random.uniform(-0.3, 0.3)
            blob = (off / across) ** 2 + ((height - up - lean * off) / tall) ** 2
            ink = np.maximum(ink, np.clip(1.6 - blob, 0, 1))
    elif pot.decor == "panels":
        number = int(random.integers(3, 7))
        turn = (angle * number / (2 * np.pi)) % 1
        frame = (np.abs(turn - 0.5) > 0.44) & (height > 0.15) & (height < 0.85)
        inner = _waves(angle, height, pot.seed + 1, 8, 9) > 0.22
        ink = np.maximum(frame * 1.0, (inner & (height > 0.25) & (height < 0.75)) * 0.8)
    return ink.astype(np.float32)


def _surface(pot: Pot, angle: Array, height: Array) -> Array:
    mottle = 1 + 0.10 * _waves(angle, height, pot.seed + 7, 12, 5)
    glaze = np.asarray(pot.glaze, np.float32)[:, None, None] * mottle
    ink = 0.85 * _decor(pot, angle, height)
    return glaze * (1 - ink) + np.asarray(pot.ink, np.float32)[:, None, None] * ink


def _backdrop(backdrop: Backdrop, x: Array, y: Array) -> Array:
    share = np.clip((y + 1.1) * 1.4, 0, 1)
    above = np.asarray(backdrop.above, np.float32)[:, None, None]
    below = np.asarray(backdrop.below, np.float32)[:, None, None]
    plain = above * share + below * (1 - share)
    fall = 1 + 0.10 * backdrop.light * x - 0.05 * (x**2 + y**2)
    grain = np.random.default_rng(backdrop.seed).normal(0, 1, x.shape) * backdrop.cloth
    return (plain * fall + grain).astype(np.float32)


def _upright(pot: Pot, x: Array, y: Array, spin: float, light: float) -> tuple[Array, Array]:
    """Colours and the mask of a pot that stands; x and y in units of its widest radius."""
    height = y / pot.height
    within = (height >= 0) & (height <= 1)
    places = np.linspace(0, 1, len(pot.radii))
    smooth = np.linspace(0, 1, 200)
    outline = np.interp(smooth, places, pot.radii)
    kernel = np.hanning(41)
    outline = np.convolve(np.pad(outline, 20, mode="edge"), kernel / kernel.sum(), "valid")
    radius = np.interp(np.clip(height, 0, 1), smooth, outline)
    across = np.clip(x / radius, -1, 1)
    mask = within & (np.abs(x) <= radius)
    depth = np.sqrt(np.maximum(0, 1 - across**2))
    slope = np.interp(np.clip(height, 0, 1), smooth, np.gradient(outline, smooth)) / pot.height
    lit = 0.35 + 0.65 * np.clip(0.75 * depth + 0.5 * light * across - 0.25 * slope + 0.1, 0, 1)
    angle = np.arcsin(across) + spin
    colours = _surface(pot, angle.astype(np.float32), height.astype(np.float32)) * lit
    shine = np.exp(-(((across - 0.4 * light) / 0.10) ** 2 + ((height - 0.68) / 0.12) ** 2))
    colours = colours + 0.35 * shine
    top = outline[-1]
    rim = (x / top) ** 2 + ((y - pot.height) / (0.16 * top)) ** 2
    inside = rim <= 1
    hollow = np.asarray(pot.glaze, np.float32)[:, None, None] * (0.25 + 0.35 * (rim > 0.8))
    colours = np.where(inside, hollow, colours)
    return colours, mask | inside


def _below(pot: Pot, x: Array, y: Array, light: float, marked: bool) -> tuple[Array, Array]:
    """The pot seen from below: body, foot ring, base and mark; x and y in widest radii."""
    far = np.sqrt(x**2 + y**2)
    angle = np.arctan2(y, x)
    foot = pot.radii[0] * 0.8
    wobble = 1 + 0.01 * _waves(angle, 0 * far, pot.seed + 3, 5, 5)
    ring = (far < foot * wobble) & (far > foot * 0.86 * wobble)
    colours = _surface(pot, angle, np.clip(far * 0.4, 0, 1))
    colours = colours * (0.55 + 0.45 * np.clip(1 - (far - foot) ** 2, 0, 1))
    clay = np.asarray(pot.clay, np.float32)[:, None, None]
    grit = 1 + 0.12 * _waves(angle * 3, far * 4, pot.seed + 5, 14, 12)
    colours = np.where(ring, clay * grit, colours)
    base = np.asarray(pot.glaze, np.float32)[:, None, None] * 0.4 + 0.5
    base = base * (1 + 0.05 * _waves(angle, far * 3, pot.seed + 9, 10, 6))
    colours = np.where(far <= foot * 0.86 * wobble, base, colours)
    if marked:
        colours = np.where(
            _mark(pot, x, y), np.asarray(pot.ink, np.float32)[:, None, None], colours
        )
    lit = 0.85 + 0.15 * (x * light - y * 0.4)
    return colours * lit, far <= 1


def _mark(pot: Pot, x: Array, y: Array) -> Array:
    """Brush strokes in two columns, as on a base."""
    random = np.random.default_rng(pot.seed + 11)
    size = pot.radii[0] * 0.38
    found = np.zeros(x.shape, bool)
    for _ in range(18):
        across, up = random.uniform(-0.7, 0.7), random.uniform(-1, 1)
        wide, tall = (0.3, 0.06) if random.random() < 0.5 else (0.06, 0.28)
        lean = random.uniform(-0.3, 0.3)
        u, v = x / size - across, y / size - up
        found |= (np.abs(u - lean * v) < wide) & (np.abs(v + lean * u) < tall)
    return found


def _above(pot: Pot, x: Array, y: Array, light: float, inside: bool) -> tuple[Array, Array]:
    """The pot seen from above: shoulder, rim, and what is within."""
    far, angle = np.sqrt(x**2 + y**2), np.arctan2(y, x)
    top = pot.radii[-1] * (0.98 if inside else 1.0)
    colours = _surface(pot, angle, np.clip(1 - far * 0.5, 0, 1)) * (0.6 + 0.4 * (1 - far**2 * 0.4))
    within = far < top * 0.93
    if inside:
        hollow = _surface(replace(pot, seed=pot.seed + 21), angle, np.clip(far, 0, 1)) * 0.9
    else:
        hollow = np.asarray(pot.glaze, np.float32)[:, None, None] * (0.12 + 0.3 * far**2)
    colours = np.where(within, hollow, colours)
    rim = (far < top) & ~within
    colours = np.where(rim, np.minimum(1, colours * 1.5 + 0.1), colours)
    return colours * (0.9 + 0.12 * x * light), far <= 1


@dataclass(frozen=True)
class Shot:
    """How one photograph was framed: middle, half-width in pot radii, lean, noise."""

    view: str
    middle: tuple[float, float] = (0.0, 0.0)
    reach: float = 1.6
    lean: float = 0.0
    spin: float = 0.0
    noise: float = 0.01
    seed: int = 0


def photograph(
    pots: list[Pot], shot: Shot, backdrop: Backdrop, size: tuple[int, int]
) -> tuple[NDArray[np.uint8], list[tuple[int, int, int, int]]]:
    """The picture (rows, columns, 3), and in a group the box of each pot as x, y, width, height."""
    columns, rows = size
    unit = 2 * shot.reach / columns
    v, u = np.mgrid[0:rows, 0:columns].astype(np.float32)
    u, v = (u - columns / 2) * unit, (rows / 2 - v) * unit
    x = np.cos(shot.lean) * u - np.sin(shot.lean) * v + shot.middle[0]
    y = np.sin(shot.lean) * u + np.cos(shot.lean) * v + shot.middle[1]
    picture = _backdrop(backdrop, u / shot.reach, v / shot.reach)
    boxes = []
    for pot, left in zip(pots, _places(pots), strict=True):
        if shot.view in ("base", "foot rim", "mark"):
            colours, mask = _below(pot, x, y, backdrop.light, marked=True)
        elif shot.view in ("mouth", "interior"):
            colours, mask = _above(pot, x, y, backdrop.light, shot.view == "interior")
        else:
            shade = np.exp(-(((x - left) / 1.1) ** 2) - ((y + 0.03) / 0.12) ** 2) * 0.5
            picture = picture * (1 - shade * (y < 0.25))
            colours, mask = _upright(pot, x - left, y, shot.spin, backdrop.light)
        if shot.view == "damage":
            colours = np.where(_crack(pot, x, y), 0.12, colours)
        picture = np.where(mask, colours, picture)
        if len(pots) > 1 and mask.any():
            down, over = np.nonzero(mask)
            boxes.append(
                (
                    int(over.min()),
                    int(down.min()),
                    int(np.ptp(over)) + 1,
                    int(np.ptp(down)) + 1,
                )
            )
    tint = np.array((1 + backdrop.warmth, 1, 1 - backdrop.warmth), np.float32)[:, None, None]
    grain = np.random.default_rng(shot.seed).normal(0, shot.noise, picture.shape)
    values = np.clip(picture * tint + grain, 0, 1) ** 0.9
    return (values.transpose(1, 2, 0) * 255 + 0.5).astype(np.uint8), boxes


def _places(pots: list[Pot]) -> list[float]:
    """Where pots stand beside each other, the middle of them all at 0."""
    return [2.3 * (n - (len(pots) - 1) / 2) for n in range(len(pots))]


def _crack(pot: Pot, x: Array, y: Array) -> Array:
    random = np.random.default_rng(pot.seed + 31)
    path = np.cumsum(random.normal(0, 0.03, 40))
    ups = np.linspace(0.35, 0.95, 40) * pot.height
    line = np.interp(y, ups, path) * 0.6
    return (np.abs(x - line) < 0.012) & (y > ups[0]) & (y < ups[-1])
