"""The Korean pieces of the collection, and one that may be Japanese."""

from dataclasses import replace
from typing import Any

import numpy as np
from forms import Cut, Form, Tube
from glazes import GREY_BLUE, Crack, Glaze, Layer
from marks import label
from profiles import Profile, vessel
from shapes import dish, maebyeong, moon_jar, open_bowl, pear_bottle, round_map, wall_map

Made = tuple[Form, Glaze]
CELADON = ((0.61, 0.62, 0.54), (0.52, 0.57, 0.50), (0.40, 0.47, 0.41))
JOSEON = ((0.87, 0.845, 0.79), (0.845, 0.845, 0.815), (0.75, 0.79, 0.775))


def celadon(**more: Any) -> Glaze:
    """A grey-green glaze, deeper where it lies thick, with fine crazing."""
    return Glaze(
        **{
            "body": (0.58, 0.50, 0.43),
            "ramp": CELADON,
            "base_glazed": True,
            "pool": 0.8,
            "lip_thin": 0.4,
            "burn": (0.48, 0.31, 0.2),
            "crackle": (1.1, 0.22, 0.010),
            "kiln_shade": 0.05,
            "tilt": 0.008,
            "mottle": (3.0, 0.07),
            **more,
        }
    )


def moon() -> Made:
    form = Form(moon_jar(16.8, 34.3), wobble=0.016, seed=52)
    return form, Glaze(
        body=(0.84, 0.77, 0.68),
        ramp=JOSEON,
        base_glazed=True,
        pool=0.6,
        mottle=(7.0, 0.06),
        kiln_shade=0.05,
        tilt=0.012,
        tilt_size=5.0,
        spots=(0.13, 0.14, (0.42, 0.33, 0.26)),
        burn=(0.78, 0.56, 0.38),
        crackle=(3.2, 0.16, 0.014),
        cracks=(Crack(28, 9.0, 0.036),),
        seed=3,
    )


def buncheong_bottle() -> Made:
    profile = pear_bottle(7.6, 24.8, foot=0.5, rings=0.03)
    slip = wall_map(profile, 111)
    slip.swept(0.02, 0.80, 30, 2)
    slip.swept(0.1, 0.74, 24, 5)
    return Form(profile, wobble=0.012, seed=53), Glaze(
        body=(0.47, 0.41, 0.35),
        ramp=((0.48, 0.45, 0.39), (0.45, 0.44, 0.38), (0.38, 0.40, 0.35)),
        base_glazed=True,
        crackle=(0.7, 0.35, 0.012),
        layers=(Layer("wall", "cover", np.clip(slip.map * 0.92, 0, 0.9), (0.83, 0.81, 0.75)),),
        grime=0.5,
        tilt=0.015,
        tilt_size=1.4,
        rough=0.07,
    )


def celadon_bowl() -> Made:
    profile = open_bowl(9.05, 7.6, foot=0.33)
    cut = wall_map(profile, 112)
    cut.petals(13, 0.97, 0.28, 0.011)
    cut.band(0.10, 0.010, 0.8)
    cut.band(0.13, 0.006, 0.7)
    inner = round_map(113)
    inner.ring(0.10, 0.008)
    inner.ring(0.42, 0.006)
    inner.flower(0.5, 0.5, 0.08)
    sand = round_map(114)
    random = np.random.default_rng(9)
    for _ in range(60):
        a, r = random.uniform(0, 6.28), random.uniform(0.40, 0.49)
        sand.strokes(
            [[(0.5 + r * np.cos(a), 0.5 + r * np.sin(a))] * 2],
            random.uniform(0.008, 0.02),
            0.8,
            taper=0.0,
        )
    return Form(profile, cuts=(Cut((2.9, -8.3, 7.6), (0.80, 0.55, 0.32)),), seed=54), celadon(
        layers=(
            Layer("wall", "carve", cut.map, (0.75, 0.5, 0.65)),
            Layer("inside", "carve", inner.map, (0.6, 0.4, 0.5), radius=9.0),
            Layer("base", "cover", sand.map, (0.80, 0.76, 0.68), radius=3.0),
        )
    )


def maebyeong_vase() -> Made:
    return Form(maebyeong(9.6, 31), seed=55, wobble=0.008), celadon(
        pinholes=0.3,
        crackle=(0.9, 0.4, 0.012),
        kiln_shade=0.14,
        mottle=(4.0, 0.12),
        ramp=((0.60, 0.60, 0.47), (0.49, 0.55, 0.44), (0.36, 0.44, 0.35)),
        grime=0.5,
    )


def grass_bottle() -> Made:
    profile = pear_bottle(7.9, 27.5, foot=0.56)
    b = wall_map(profile, 115)
    for x in (0.55, 1.85, 2.15, 3.3):
        b.grass(x, 0.80, 0.36, 6, 0.009, 0.75)
    b.sprig(1.98, 0.8, 0.3, 0.15)
    grit = round_map(116)
    random = np.random.default_rng(10)
    for _ in range(90):
        a, r = random.uniform(0, 6.28), random.uniform(0.38, 0.5)
        grit.strokes(
            [[(0.5 + r * np.cos(a), 0.5 + r * np.sin(a))] * 2],
            random.uniform(0.006, 0.016),
            0.8,
            taper=0.0,
        )
    return Form(profile, seed=56, wobble=0.01), Glaze(
        body=(0.82, 0.75, 0.66),
        ramp=JOSEON,
        base_glazed=True,
        pool=0.6,
        kiln_shade=0.03,
        mottle=(4.0, 0.06),
        spots=(0.11, 0.1, (0.42, 0.33, 0.26)),
        burn=(0.76, 0.54, 0.36),
        layers=(
            Layer("wall", "stain", b.bled(), GREY_BLUE),
            Layer("base", "cover", grit.map, (0.60, 0.52, 0.42), radius=4.4),
        ),
        seed=5,
    )


def inlaid_bowl() -> Made:
    profile = open_bowl(8.0, 6.8, foot=0.38)
    white, dark, inner = wall_map(profile, 117), wall_map(profile, 118), round_map(119)
    for y in (0.08, 0.34, 0.37, 0.70):
        white.band(y, 0.014, 0.9)
    dark.band(0.055, 0.010)
    white.stamps(0.21, 0.17, 20)
    white.stamps(0.53, 0.2, 16)
    for r, w in ((0.47, 0.012), (0.36, 0.008), (0.34, 0.008), (0.20, 0.008)):
        inner.ring(r, w, 0.9)
    for k in range(22):
        a = 2 * np.pi * k / 22
        for d in np.linspace(0, 2 * np.pi, 6, endpoint=False):
            x = 0.5 + 0.415 * np.cos(a) + 0.018 * np.cos(d)
            y = 0.5 + 0.415 * np.sin(a) + 0.018 * np.sin(d)
            inner.strokes([[(x, y), (x, y)]], 0.012, 0.95, taper=0.0)
    slip = (0.84, 0.83, 0.77)
    cuts = (Cut((-3.0, -7.3, 6.8), (0.69, 0.50, 0.29)), Cut((4.4, -6.6, 6.8), (0.57, 0.50, 0.29)))
    return Form(profile, cuts=cuts, seed=57, wobble=0.01), celadon(
        body=(0.30, 0.24, 0.20),
        ramp=((0.50, 0.49, 0.43), (0.44, 0.46, 0.41), (0.35, 0.39, 0.35)),
        layers=(
            Layer("wall", "cover", white.map * 0.92, slip),
            Layer("wall", "cover", dark.map, (0.14, 0.13, 0.12)),
            Layer("inside", "cover", inner.map * 0.92, slip, radius=8.0),
        ),
    )


def faceted_bottle() -> Made:
    profile = vessel(
        [
            (4.4, 0.7),
            (6.0, 2.6),
            (6.6, 6.8),
            (5.9, 10.8),
            (3.2, 13.8),
            (1.8, 15.8),
            (1.6, 18.6),
            (2.0, 21),
        ],
        foot=(0.7, 0.6, 0.5),
        wall=0.5,
    )
    return Form(profile, facets=8, seed=58, wobble=0.006), Glaze(
        body=(0.84, 0.77, 0.68),
        ramp=JOSEON,
        base_glazed=True,
        pool=0.6,
        mottle=(4.0, 0.06),
        kiln_shade=0.05,
        burn=(0.76, 0.54, 0.36),
        spots=(0.11, 0.05, (0.42, 0.33, 0.26)),
    )


def plain_dish() -> Made:
    return Form(dish(7.75, 3.4, foot=0.42), seed=59), celadon()


def censer() -> Made:
    profile = vessel(
        [(4.0, 1.4), (5.2, 2.0), (5.5, 4.2), (5.2, 6.0), (4.6, 6.6), (5.2, 7.3)],
        foot=(0.8, 0.15, 0.9),
        wall=0.5,
    )
    feet = []
    for a in np.radians([25, 145, 265]):
        x, y = 4.3 * np.sin(a), -4.3 * np.cos(a)
        feet.append(
            Tube(
                (
                    (0.95 * x, 0.95 * y, 2.6),
                    (1.05 * x, 1.05 * y, 1.2),
                    (1.1 * x, 1.1 * y, 0.2),
                    (1.16 * x, 1.16 * y, -0.7),
                ),
                (0.95, 0.8, 0.62, 0.72),
            )
        )
    form = Form(
        _raised(profile, 1.3), tuple(_lifted(foot, 1.3) for foot in feet), seed=60, join=0.5
    )
    paper = label(("No. 77",), 0.74, 0.40, 9, 4)
    return form, celadon(
        layers=(Layer("base", "label", paper, radius=3.4),),
        ramp=((0.62, 0.68, 0.60), (0.52, 0.62, 0.55), (0.38, 0.50, 0.46)),
    )


def _raised(profile: Profile, by: float) -> Profile:
    points = profile.points.copy()
    points[:, 1] += by
    return replace(profile, points=points, height=profile.height + by)


def _lifted(tube: Tube, by: float) -> Tube:
    return Tube(tuple((x, y, z + by) for x, y, z in tube.path), tube.radii, tube.flat)
