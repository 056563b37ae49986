"""The Japanese porcelains of the collection."""

from typing import Any

import numpy as np
from forms import Cut, Form, Tube
from glazes import COBALT, Crack, Glaze, Layer
from marks import columns
from profiles import solid, vessel
from shapes import (
    dish,
    open_bowl,
    pear_bottle,
    round_map,
    wall_map,
)

Made = tuple[Form, Glaze]
HIZEN = ((0.89, 0.90, 0.88), (0.86, 0.885, 0.88), (0.76, 0.82, 0.83))


def porcelain(**more: Any) -> Glaze:
    """White porcelain under a faintly blue glaze."""
    return Glaze(
        **{
            "body": (0.86, 0.80, 0.72),
            "ramp": HIZEN,
            "base_glazed": True,
            "pool": 0.6,
            "lip_thin": 0.25,
            "tilt": 0.006,
            "spots": (0.10, -0.35, (0.42, 0.34, 0.28)),
            "burn": (0.74, 0.50, 0.32),
            **more,
        }
    )


def lamp_bottle() -> Made:
    profile = pear_bottle(8.0, 26, hole=0.62)
    b = wall_map(profile, 66)
    b.band(0.045, 0.009)
    b.band(0.965, 0.012)
    b.band(0.945, 0.005)
    b.band(0.40, 0.006)
    for k in range(3):
        x = (k + 0.5) * b.ratio / 3
        b.rock(x - 0.12, 0.92, 0.12)
        b.sprig(x, 0.9, 0.4, 0.3)
        b.sprig(x + 0.12, 0.92, 0.27, -0.4)
        b.grass(x + 0.3, 0.92, 0.12, 7, 0.006)
    for k in range(10):
        b.leaf((k + 0.5) * b.ratio / 10, 0.38, -np.pi / 2, 0.09)
    return Form(profile, seed=23), porcelain(layers=(Layer("wall", "stain", b.bled(), COBALT),))


def _pair_bottle(seed: int) -> tuple[Form, Glaze]:
    tall = 24.1 if seed == 1 else 23.8
    profile = pear_bottle(6.9 + 0.1 * seed, tall, foot=0.6)
    b = wall_map(profile, 70 + seed)
    b.band(0.05, 0.01)
    b.band(0.31, 0.005)
    b.band(0.325, 0.008)
    b.scroll(0.68, 0.3, 6)
    b.band(0.955, 0.012)
    for k in range(9):
        b.leaf((k + 0.5) * b.ratio / 9, 0.29, -np.pi / 2 + 0.1, 0.12)
    cuts = (
        (Cut((1.2, -4.25, 0.2), (0.06, 0.5, 0.5), rough=False),)
        if seed == 1
        else (Cut((1.6, -2.0, tall), (0.63, 0.50, 0.29)),)
    )
    return Form(profile, cuts=cuts, seed=24 + seed), porcelain(
        layers=(Layer("wall", "stain", b.bled(), COBALT, turn=18.0 * seed),), seed=seed
    )


def pair_one() -> Made:
    return _pair_bottle(1)


def pair_two() -> Made:
    return _pair_bottle(2)


def cup(seed: int = 1) -> Made:
    profile = vessel(
        [(1.9, 0.5), (2.9, 1.0), (3.6, 2.8), (3.75, 5.2)], foot=(0.3, 0.45, 0.3), wall=0.26
    )
    b = wall_map(profile, 75, 700)
    b.band(0.06, 0.03)
    b.band(0.13, 0.012)
    b.band(0.80, 0.03)
    b.band(0.95, 0.02)
    for k in range(6):
        b.leaf((k + 0.3) * b.ratio / 6, 0.46, 0.3, 0.2)
        b.leaf((k + 0.3) * b.ratio / 6, 0.46, 2.6, 0.2)
    cuts = (Cut((1.4, -3.4, 5.2), (0.40, 0.30, 0.18)),) if seed == 3 else ()
    return Form(profile, cuts=cuts, seed=30 + seed), porcelain(
        layers=(Layer("wall", "stain", b.bled(), COBALT, turn=70.0 * seed),)
    )


def cup_nicked() -> Made:
    return cup(3)


def cup_cover() -> Made:
    profile = solid(
        [
            (3.4, 0.0),
            (3.8, 0.1),
            (3.7, 0.5),
            (2.6, 1.15),
            (1.3, 1.4),
            (1.1, 1.5),
            (1.2, 2.0),
            (1.05, 2.1),
            (0.01, 1.75),
        ]
    )
    b = round_map(76)
    b.ring(0.47, 0.022)
    b.ring(0.435, 0.009)
    b.ring(0.17, 0.02)
    for a in np.linspace(0, 2 * np.pi, 8, endpoint=False):
        b.leaf(0.5 + 0.29 * np.cos(a), 0.5 + 0.29 * np.sin(a), a + 1.2, 0.1)
    return Form(profile, seed=35), porcelain(
        layers=(Layer("top", "stain", b.bled(), COBALT, radius=3.8),), pool=0.0, lip_thin=0.0
    )


def kutani_dish() -> Made:
    b, green, yellow = round_map(81, 1500), round_map(82, 1500), round_map(83, 1500)
    b.sprig(0.44, 0.74, 0.40, 0.25)
    b.sprig(0.56, 0.74, 0.30, -0.5)
    b.rock(0.52, 0.77, 0.16)
    b.flower(0.62, 0.40, 0.075)
    b.ring(0.355, 0.006)
    b.ring(0.475, 0.006)
    for k in range(22):
        a = 2 * np.pi * k / 22
        b.leaf(0.5 + 0.415 * np.cos(a), 0.5 + 0.415 * np.sin(a), a + 1.7, 0.05)
    for cx, cy, r in ((0.62, 0.40, 0.075), (0.54, 0.34, 0.085), (0.41, 0.45, 0.06)):
        yellow.wash(
            [[(cx + r * np.cos(a), cy + r * np.sin(a)) for a in np.linspace(0, 5.5, 8)]], 0.5, 0.2
        )
    ring = round_map(84, 1500)
    ring.ring(0.415, 0.115, 0.9)
    green.map = np.maximum(1 - yellow.map * 1.8, 0).astype(np.float32) * (1 - ring.map)
    mark = columns(("福",), 0.5, 5, box=1)
    return Form(dish(14.25, 3.6, foot=0.5, rim=0.14), seed=38), porcelain(
        layers=(
            Layer("inside", "stain", green.map * 0.62, (2.3, 1.05, 1.75), radius=14.25),
            Layer(
                "inside", "stain", np.clip(yellow.map * 1.5, 0, 1), (0.3, 0.62, 2.0), radius=14.25
            ),
            Layer("inside", "stain", ring.map, (0.35, 0.7, 1.9), radius=14.25),
            Layer("inside", "stain", b.map, (3.4, 3.4, 3.2), radius=14.25),
            Layer("base", "stain", mark, (3.0, 3.0, 2.8), radius=6.0),
        )
    )


def chenghua_dish() -> Made:
    b = round_map(85, 1500)
    b.pine(0.42, 0.74, 0.42)
    b.rock(0.58, 0.75, 0.2)
    b.rock(0.70, 0.74, 0.12)
    b.grass(0.64, 0.76, 0.1, 9, 0.005)
    b.wash([[(0.2, 0.75), (0.5, 0.72), (0.82, 0.75), (0.5, 0.79)]], 0.3)
    b.strokes(
        [
            [(x, y), (x + 0.016, y - 0.01), (x + 0.033, y)]
            for x, y in ((0.62, 0.33), (0.68, 0.30), (0.66, 0.37))
        ],
        0.006,
    )
    b.ring(0.375, 0.006)
    b.ring(0.387, 0.003)
    b.ring(0.485, 0.008)
    for k in range(18):
        a = 2 * np.pi * k / 18
        b.leaf(0.5 + 0.43 * np.cos(a), 0.5 + 0.43 * np.sin(a), a + (1.8 if k % 2 else 1.2), 0.055)
    base = round_map(86)
    base.ring(0.40, 0.008)
    base.ring(0.425, 0.006)
    spurs = round_map(87)
    for a in np.linspace(0.3, 2 * np.pi + 0.3, 6)[:5]:
        r = 0.0 if a == 0 else 0.31
        spurs.strokes([[(0.5 + r * np.cos(a), 0.5 + r * np.sin(a))] * 2], 0.016, 1.0, taper=0.0)
    mark = columns(("大明成", "化年製"), 0.40, 3)
    return Form(dish(10.8, 3.4, foot=0.58), seed=39), porcelain(
        layers=(
            Layer("inside", "stain", b.bled(), COBALT, radius=10.8),
            Layer("base", "stain", base.bled(), COBALT, radius=5.7),
            Layer("base", "cover", spurs.map, (0.66, 0.56, 0.46), radius=5.7),
            Layer("base", "stain", mark, COBALT, radius=5.0),
        ),
        cracks=(Crack(35, 3.0, 0.028),),
    )


def wave_bowl() -> Made:
    profile = open_bowl(7.8, 6.6, foot=0.4)
    b = wall_map(profile, 91)
    b.band(0.03, 0.014)
    b.waves(0.55, 0.86, 0.19)
    b.band(0.44, 0.006)
    b.band(0.91, 0.012)
    b.strokes(
        [[(x, 0.25), (x + 0.03, 0.21), (x + 0.07, 0.25)] for x in (0.6, 0.9, 2.6, 2.9, 4.3)], 0.014
    )
    inner = round_map(92)
    inner.ring(0.45, 0.012)
    inner.ring(0.17, 0.006)
    inner.flower(0.5, 0.5, 0.11)
    mark = columns(("福",), 0.44, 15, box=2)
    return Form(profile, seed=41), porcelain(
        layers=(
            Layer("wall", "stain", b.bled(), COBALT),
            Layer("inside", "stain", inner.bled(), COBALT, radius=7.8),
            Layer("base", "stain", mark, COBALT, radius=2.7),
        ),
        cracks=(Crack(-20, 4.2, 0.024),),
        seed=5,
    )


def riveted_dish() -> Made:
    radius = 21.5
    profile = dish(radius, 5.0, foot=0.5, rim=0.13, wall=0.62)
    b = round_map(95, 1600)
    b.hills(0.2, 0.55, 0.45, 0.14)
    b.hills(0.5, 0.8, 0.43, 0.1)
    b.pine(0.36, 0.72, 0.34)
    b.house(0.58, 0.58, 0.12)
    b.rock(0.30, 0.74, 0.14)
    b.tree(0.70, 0.62, 0.2)
    for x, y, w in ((0.5, 0.74, 0.22), (0.6, 0.64, 0.15), (0.4, 0.5, 0.14)):
        b.wash([[(x - w, y), (x, y - 0.015), (x + w, y), (x, y + 0.03)]], 0.32)
    b.strokes(
        [[(0.30 + 0.05 * k, 0.66 + 0.012 * (k % 2)), (0.33 + 0.05 * k, 0.655)] for k in range(8)],
        0.004,
    )
    b.ring(0.37, 0.006)
    b.ring(0.382, 0.003)
    b.ring(0.488, 0.006)
    for k in range(14):
        a = 2 * np.pi * k / 14
        x, y = 0.5 + 0.435 * np.cos(a), 0.5 + 0.435 * np.sin(a)
        if k % 2:
            b.flower(x, y, 0.036)
        for side in (-1.9, 1.25):
            b.leaf(x, y, a + side, 0.06)
    base = round_map(96)
    base.ring(0.475, 0.007)
    spots = []
    outline = profile.points
    for x in (-17.2, -14.2, -6.4, 4.2, 13.6, 17.0):
        below = outline[profile.along < profile.lip]
        z = float(
            np.interp(
                abs(x),
                below[:, 0][below[:, 0] > 10.8] if abs(x) > 11 else np.array([0, 12.0]),
                below[:, 1][below[:, 0] > 10.8] if abs(x) > 11 else np.array([0.6, 0.6]),
            )
        )
        spots.append(
            Tube(
                (
                    (x, -0.95, z + 0.1),
                    (x, -0.85, z - 0.12),
                    (x, 0.0, z - 0.14),
                    (x, 0.85, z - 0.12),
                    (x, 0.95, z + 0.1),
                ),
                (0.14,) * 5,
            )
        )
    return Form(profile, tuple(spots), seed=44, join=0.04), porcelain(
        layers=(
            Layer("inside", "stain", b.bled(), COBALT, radius=radius),
            Layer("base", "stain", base.bled(), COBALT, radius=10.6),
        ),
        cracks=(Crack(90, 50, 0.05, across=True),),
        metal=slice(0, 6),
    )
