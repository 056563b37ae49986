"""The Japanese stonewares and earthenwares of the collection."""

import numpy as np
from forms import Cut, Form, Tube
from glazes import IRON, Crack, Glaze, Layer
from marks import columns, cross_in_circle, seal
from PIL import Image, ImageFilter
from profiles import solid, vessel
from shapes import (
    double_gourd,
    jar,
    round_map,
    tea_bowl,
    wall_map,
)

Made = tuple[Form, Glaze]


def staple(
    form_radius: float, z: float, angle: float, across: float = 1.1, upright: bool = False
) -> Tube:
    """A small bent rivet lying on the wall."""
    a = np.radians(angle)
    out = np.array([np.sin(a), -np.cos(a), 0.0])
    side = np.array([0, 0, 1.0]) if upright else np.array([np.cos(a), np.sin(a), 0.0])
    base = out * form_radius + np.array([0, 0, z])
    line = [
        base - side * across - out * 0.2,
        base - side * across * 0.92 + out * 0.10,
        base + out * 0.13,
        base + side * across * 0.92 + out * 0.10,
        base + side * across - out * 0.2,
    ]
    path = tuple((float(x), float(y), float(z)) for x, y, z in line)
    return Tube(path, (0.11,) * 5)


def tenmoku_bowl() -> Made:
    form = Form(tea_bowl(6.05, 6.4, foot=0.40, rings=0.010), wobble=0.012, seed=5)
    return form, Glaze(
        body=(0.72, 0.60, 0.47),
        ramp=((0.44, 0.24, 0.11), (0.15, 0.085, 0.055), (0.025, 0.024, 0.028)),
        stop=1.9,
        lip_thin=0.9,
        runs=0.13,
        pool=0.6,
        mottle=(0.9, 0.05),
        burn=(0.45, 0.28, 0.17),
        cracks=(Crack(24, 2.6, 0.04, gold=True), Crack(52, 1.5, 0.04, gold=True)),
    )


def shino_bowl() -> Made:
    profile = vessel(
        [(3.5, 1.0), (5.1, 1.4), (6.05, 2.6), (6.15, 4.8), (6.4, 6.8), (6.25, 8.6)],
        foot=(0.8, 0.95, 0.5),
        wall=0.65,
        rings=0.03,
        cut_foot=True,
    )
    b = wall_map(profile, 61)
    for x, tall in ((0.8, 0.5), (1.1, 0.62), (1.5, 0.4), (2.9, 0.6), (3.2, 0.45)):
        b.grass(x, 0.82, tall, 4, 0.03, 0.8)
    b.band(0.16, 0.02, 0.5)
    return Form(profile, wobble=0.024, seed=21), Glaze(
        body=(0.78, 0.64, 0.50),
        ramp=((0.74, 0.50, 0.36), (0.87, 0.80, 0.73), (0.92, 0.90, 0.86)),
        stop=1.25,
        stop_wave=0.45,
        mottle=(1.1, 0.17),
        lip_thin=0.7,
        pinholes=0.75,
        shine=0.6,
        rough=0.16,
        tilt=0.06,
        tilt_size=0.8,
        pool=0.5,
        crackle=(0.8, 0.35, 0.02),
        crackle_colour=(0.6, 0.42, 0.32),
        layers=(Layer("wall", "stain", b.map, (1.3, 1.9, 2.2)),),
        seed=4,
    )


def oribe_dish() -> Made:
    profile = vessel(
        [(6.4, 0.8), (8.2, 0.9), (9.3, 1.5), (9.9, 3.4), (10.2, 4.9)],
        foot=(0.8, 0.7, 0.5),
        wall=0.6,
    )
    b, green = round_map(63, 1500), round_map(64, 1500)
    green.wash(
        [
            [
                (0.02, -0.05),
                (0.60, -0.05),
                (0.52, 0.14),
                (0.40, 0.30),
                (0.30, 0.48),
                (0.10, 0.60),
                (-0.05, 0.62),
            ]
        ],
        1.0,
        0.0,
    )
    green.wash([[(0.80, 1.05), (0.86, 0.86), (1.05, 0.78), (1.05, 1.05)]], 1.0, 0.0)
    for x in (0.46, 0.56, 0.66):
        b.grass(x, 0.80, 0.34, 4, 0.012)
    b.flower(0.70, 0.42, 0.09, 5)
    b.flower(0.58, 0.52, 0.06, 5)
    for y in (0.30, 0.335):
        b.strokes([[(0.58, y), (0.72, y + 0.02), (0.85, y)]], 0.008)
    soft = Image.fromarray((np.clip(green.map, 0, 1) * 255).astype(np.uint8)).filter(
        ImageFilter.GaussianBlur(9)
    )
    pool = np.asarray(soft, np.float32) / 255
    marks = round_map(65)
    for x, y in ((0.44, 0.46), (0.58, 0.50), (0.47, 0.60)):
        marks.strokes([[(x, y), (x + 0.008, y + 0.004)]], 0.022, 0.9, taper=0.0)
    form = Form(
        profile, cuts=(Cut((8.8, -8.8, 5.15), (0.75, 0.75, 0.5)),), square=5.0, wobble=0.01, seed=22
    )
    return form, Glaze(
        body=(0.80, 0.70, 0.57),
        ramp=((0.84, 0.76, 0.62), (0.86, 0.80, 0.68), (0.80, 0.76, 0.62)),
        stop=1.2,
        crackle=(0.8, 0.3, 0.016),
        layers=(
            Layer("inside", "stain", b.bled(), IRON, radius=10.3),
            Layer("inside", "stain", pool, (2.3, 1.15, 2.15), radius=10.3),
            Layer("inside", "cover", marks.map, (0.72, 0.58, 0.44), radius=10.3),
        ),
        tilt=0.03,
        tilt_size=1.5,
        rough=0.05,
        lip_thin=0.5,
        pinholes=0.25,
    )


def shigaraki_jar() -> Made:
    profile = jar(15.2, 37, foot=0.6, mouth=0.46, rings=0.03, wall=0.9)
    bump = Cut((4.6, -14.35, 24.0), (1.03, 0.60, 0.50))
    return Form(profile, cuts=(bump,), wobble=0.022, seed=36), Glaze(
        body=(0.58, 0.40, 0.29),
        glazed=False,
        specks=1.0,
        body_rough=0.5,
        body_shine=0.14,
        ash=(-28, 0.40, (0.58, 0.57, 0.36)),
        kiln_shade=0.35,
        grime=0.3,
        seed=7,
    )


def raku_bowl() -> Made:
    profile = vessel(
        [(3.1, 0.7), (4.3, 1.0), (5.25, 2.1), (5.5, 4.2), (5.2, 6.2), (5.45, 8.0)],
        foot=(0.8, 0.5, 0.35),
        wall=0.62,
        rings=0.035,
    )
    return Form(
        profile, cuts=(Cut((1.4, 4.6, 7.8), (0.55, 0.27, 0.34)),), wobble=0.034, seed=37
    ), Glaze(
        body=(0.50, 0.36, 0.28),
        ramp=((0.24, 0.16, 0.13), (0.135, 0.12, 0.115), (0.04, 0.038, 0.04)),
        lip_thin=0.7,
        mottle=(1.0, 0.12),
        rough=0.22,
        shine=0.75,
        tilt=0.035,
        tilt_size=0.7,
        peel=(0.16, 0.05),
        pinholes=0.15,
        layers=(Layer("base", "stamp", seal(0.8, 3), (0.5, 0.5, 0.5), radius=1.9),),
    )


def bizen_bottle() -> Made:
    profile = vessel(
        [
            (4.3, 0.02),
            (5.6, 3.2),
            (6.2, 7.6),
            (5.5, 12.2),
            (3.2, 16),
            (1.9, 18.4),
            (1.8, 20.2),
            (2.6, 22.2),
        ],
        foot=(0.9, 0.0, 0.06),
        wall=0.5,
        rings=0.022,
    )
    mark = columns(("ト",), 0.45, 9)
    return Form(profile, wobble=0.014, seed=40), Glaze(
        body=(0.40, 0.255, 0.19),
        glazed=False,
        body_rough=0.34,
        body_shine=0.4,
        specks=0.6,
        ash=(20, 0.30, (0.66, 0.58, 0.38)),
        kiln_shade=0.45,
        seed=9,
        layers=(Layer("base", "stamp", mark, (0.9, 0.9, 0.9), radius=3.6),),
    )


def karatsu_bowl() -> Made:
    form = Form(
        tea_bowl(7.0, 7.4, foot=0.4, rings=0.016),
        wobble=0.02,
        seed=42,
        cuts=(Cut((0.5, -2.6, 0.55), (0.07, 0.6, 0.5), rough=False),),
    )
    return form, Glaze(
        body=(0.56, 0.42, 0.32),
        ramp=((0.58, 0.50, 0.38), (0.62, 0.57, 0.46), (0.60, 0.61, 0.53)),
        stop=2.0,
        stop_wave=0.5,
        crackle=(0.7, 0.45, 0.016),
        mottle=(1.3, 0.2),
        rough=0.09,
        shine=0.8,
        tilt=0.04,
        tilt_size=1.2,
        spots=(0.13, 0.45, (0.26, 0.18, 0.12)),
        burn=(0.46, 0.27, 0.16),
        seed=6,
    )


def takatori_vase() -> Made:
    profile = vessel(
        [
            (4.4, 0.05),
            (4.2, 1.2),
            (5.6, 5.2),
            (6.3, 9.6),
            (5.4, 14.2),
            (2.9, 17),
            (2.5, 18.6),
            (3.6, 22),
        ],
        foot=(0.8, 0.0, 0.12),
        wall=0.5,
        rings=0.014,
    )
    staples = (
        staple(2.75, 17.9, 5, 0.62, upright=True),
        staple(2.7, 17.9, 62, 0.62, upright=True),
        staple(2.72, 17.9, -55, 0.62, upright=True),
    )
    b = wall_map(profile, 93)
    x = np.linspace(0, b.ratio, 40)
    b.strokes(
        [list(zip(x, 0.194 + 0.008 * np.sin(x * 9) + 0.004 * np.sin(x * 31), strict=True))],
        0.006,
        1.0,
        taper=0.0,
    )
    run = wall_map(profile, 94)
    run.wash(
        [
            [
                (run.ratio * 0.46, 0.02),
                (run.ratio * 0.60, 0.02),
                (run.ratio * 0.60, 0.33),
                (run.ratio * 0.575, 0.5),
                (run.ratio * 0.56, 0.62),
                (run.ratio * 0.545, 0.48),
                (run.ratio * 0.52, 0.42),
                (run.ratio * 0.50, 0.55),
                (run.ratio * 0.485, 0.40),
                (run.ratio * 0.46, 0.35),
            ]
        ],
        0.95,
        0.25,
    )
    return Form(profile, staples, wobble=0.01, seed=43, join=0.03), Glaze(
        body=(0.55, 0.45, 0.38),
        ramp=((0.50, 0.33, 0.17), (0.33, 0.20, 0.10), (0.20, 0.12, 0.06)),
        stop=2.6,
        mottle=(0.7, 0.08),
        runs=0.15,
        layers=(
            Layer("wall", "cover", run.map, (0.74, 0.74, 0.66)),
            Layer("wall", "cover", b.map, (0.10, 0.07, 0.05)),
        ),
        metal=slice(0, 3),
        rough=0.06,
    )


def satsuma_vase() -> Made:
    profile = vessel(
        [
            (5.2, 0.6),
            (6.0, 2.0),
            (8.2, 10),
            (9.0, 17.4),
            (7.6, 22.6),
            (4.2, 25.2),
            (3.8, 27.4),
            (5.4, 30.4),
        ],
        foot=(0.7, 0.5, 0.4),
        wall=0.5,
    )
    mark = cross_in_circle(0.42, 4)
    gold = wall_map(profile, 97)
    for y, w in ((0.03, 0.014), (0.2, 0.008), (0.96, 0.012)):
        gold.band(y, w, 0.9)
    return Form(profile, seed=45), Glaze(
        body=(0.84, 0.76, 0.62),
        ramp=((0.86, 0.78, 0.62), (0.87, 0.80, 0.64), (0.82, 0.75, 0.58)),
        base_glazed=True,
        crackle=(0.75, 0.75, 0.016),
        layers=(
            Layer("wall", "gold", gold.map),
            Layer("base", "gold", np.clip(mark * 1.6, 0, 1), radius=3.4),
        ),
        shine=0.9,
    )


def ki_seto_bottle() -> Made:
    profile = vessel(
        [(4.0, 0.4), (5.2, 2.2), (5.9, 5.6), (5.2, 9.4), (2.8, 12.4), (1.9, 14.4), (1.9, 17.4)],
        foot=(0.7, 0.35, 0.3),
        wall=0.45,
        rings=0.02,
    )
    cut = wall_map(profile, 98)
    cut.strokes(
        [
            [(1.9, 0.9), (2.1, 0.74), (1.95, 0.6), (2.15, 0.44)],
            [(2.05, 0.7), (2.3, 0.6)],
            [(2.0, 0.6), (1.8, 0.5)],
        ],
        0.016,
        0.9,
    )
    for x, y in ((2.15, 0.44), (2.3, 0.6), (1.8, 0.5), (2.05, 0.54)):
        cut.flower(x, y, 0.065, 5)
    green = wall_map(profile, 99)
    for x, y in ((2.2, 0.5), (1.7, 0.6), (0.5, 0.5), (2.5, 0.7)):
        green.wash(
            [
                [
                    (x - 0.06, y),
                    (x, y - 0.05),
                    (x + 0.06, y),
                    (x + 0.02, y + 0.12),
                    (x - 0.02, y + 0.05),
                ]
            ],
            0.34,
            0.2,
        )
    return Form(profile, seed=46, wobble=0.012), Glaze(
        body=(0.74, 0.62, 0.46),
        ramp=((0.70, 0.58, 0.36), (0.75, 0.66, 0.41), (0.66, 0.58, 0.33)),
        stop=1.2,
        mottle=(0.6, 0.25),
        rough=0.2,
        shine=0.6,
        layers=(
            Layer("wall", "carve", cut.map, (0.6, 0.9, 1.6)),
            Layer("wall", "stain", green.map, (1.8, 0.5, 1.6)),
        ),
        spots=(0.12, 0.4, (0.4, 0.3, 0.14)),
        peel=(0.16, 0.05),
    )


def awaji_bottle() -> Made:
    profile = vessel(
        [
            (4.0, 0.5),
            (6.6, 4.6),
            (7.2, 8.2),
            (5.4, 12.4),
            (2.4, 15.2),
            (1.7, 18.2),
            (1.9, 21.2),
            (2.7, 22.8),
        ],
        foot=(0.6, 0.45, 0.4),
        wall=0.45,
    )
    return Form(profile, seed=47), Glaze(
        body=(0.62, 0.54, 0.46),
        ramp=((0.48, 0.42, 0.44), (0.20, 0.29, 0.42), (0.09, 0.14, 0.26)),
        lip_thin=2.2,
        runs=0.26,
        mottle=(1.2, 0.14),
        pool=0.5,
        rough=0.03,
    )


def tea_caddy() -> Made:
    profile = vessel(
        [
            (2.1, 0.02),
            (2.6, 0.8),
            (2.85, 2.6),
            (2.75, 4.2),
            (2.0, 5.3),
            (1.35, 5.7),
            (1.3, 6.1),
            (1.5, 6.75),
        ],
        foot=(0.5, 0.0, 0.05),
        wall=0.28,
        rings=0.008,
    )
    drip = wall_map(profile, 101)
    r = drip.ratio
    drip.wash(
        [
            [
                (r * 0.30, 0.16),
                (r * 0.72, 0.16),
                (r * 0.70, 0.34),
                (r * 0.56, 0.42),
                (r * 0.535, 0.84),
                (r * 0.515, 0.90),
                (r * 0.49, 0.84),
                (r * 0.47, 0.44),
                (r * 0.33, 0.36),
            ]
        ],
        0.95,
        0.1,
    )
    thread = round_map(102)
    for k in range(13):
        thread.strokes(
            [[(0.05, 0.1 + 0.07 * k), (0.4, 0.05 + 0.075 * k), (0.95, 0.16 + 0.07 * k)]],
            0.012,
            0.7,
            taper=0.2,
        )
    return Form(profile, seed=48, wobble=0.008), Glaze(
        body=(0.60, 0.45, 0.34),
        ramp=((0.46, 0.27, 0.14), (0.30, 0.16, 0.08), (0.16, 0.09, 0.05)),
        stop=1.2,
        stop_wave=0.25,
        lip_thin=0.4,
        mottle=(0.6, 0.08),
        runs=0.08,
        layers=(
            Layer("wall", "stain", drip.map, (1.6, 1.5, 1.2)),
            Layer("base", "stamp", thread.map, (0.25, 0.25, 0.25), radius=2.1),
        ),
        rough=0.05,
    )


def caddy_lid() -> Made:
    profile = solid(
        [
            (1.2, 0.0),
            (1.62, 0.05),
            (1.6, 0.2),
            (0.7, 0.34),
            (0.26, 0.42),
            (0.22, 0.6),
            (0.36, 0.78),
            (0.28, 0.95),
            (0.01, 0.98),
        ]
    )
    return Form(profile, seed=48, wobble=0.0), Glaze(
        body=(0.90, 0.86, 0.74), glazed=False, body_rough=0.2, body_shine=0.8, specks=0.0, grime=0.5
    )


def sanda_gourd() -> Made:
    return Form(double_gourd(6.3, 23), seed=49), Glaze(
        body=(0.80, 0.74, 0.66),
        ramp=((0.74, 0.78, 0.71), (0.60, 0.69, 0.61), (0.44, 0.56, 0.49)),
        base_glazed=True,
        pool=0.9,
        lip_thin=0.5,
        burn=(0.60, 0.34, 0.2),
        tilt=0.006,
    )


def hagi_bowl() -> Made:
    form = Form(
        tea_bowl(7.1, 8.2, foot=0.42, rings=0.02, wall=0.55),
        cuts=(Cut((0.0, -2.9, 0.2), (0.7, 1.4, 0.9), rough=False),),
        wobble=0.022,
        seed=50,
    )
    return form, Glaze(
        body=(0.72, 0.58, 0.46),
        ramp=((0.79, 0.65, 0.54), (0.85, 0.75, 0.66), (0.90, 0.85, 0.78)),
        stop=1.4,
        stop_wave=0.4,
        crackle=(0.55, 0.5, 0.015),
        mottle=(1.4, 0.16),
        rough=0.16,
        shine=0.6,
        pinholes=0.35,
        tilt=0.04,
        tilt_size=1.0,
        crackle_colour=(0.45, 0.34, 0.28),
        cracks=(Crack(-15, 1.6, 0.16),),
        seed=8,
    )


def tamba_jar() -> Made:
    profile = jar(9.2, 22.5, foot=0.62, mouth=0.52, rings=0.02, wall=0.7)
    return Form(profile, wobble=0.015, seed=51), Glaze(
        body=(0.46, 0.28, 0.19),
        ramp=((0.40, 0.24, 0.13), (0.28, 0.16, 0.09), (0.2, 0.11, 0.06)),
        stop=3.0,
        ash=(10, 0.5, (0.45, 0.48, 0.31)),
        rough=0.1,
        mottle=(0.9, 0.12),
        runs=0.12,
    )
