"""The European pieces of the collection."""

from typing import Any

import numpy as np
from forms import Cut, Form, Tube
from glazes import COBALT, IRON, MANGANESE, OCHRE, Crack, Glaze, Layer
from marks import painted, seal
from numpy.typing import NDArray
from PIL import Image
from profiles import solid, vessel
from shapes import albarello, dish, jug_body, mug_body, open_bowl, pear_bottle, round_map, wall_map

Made = tuple[Form, Glaze]

TIN = ((0.86, 0.84, 0.77), (0.90, 0.89, 0.84), (0.91, 0.91, 0.88))
BUFF = (0.80, 0.68, 0.50)


def tin_glaze(**more: Any) -> Glaze:
    """White tin glaze on a buff body, softly uneven, a little pitted."""
    return Glaze(
        **{
            "body": BUFF,
            "ramp": TIN,
            "lip_thin": 0.35,
            "pinholes": -0.15,
            "tilt": 0.018,
            "tilt_size": 1.3,
            "rough": 0.07,
            "shine": 0.9,
            "base_glazed": True,
            "mottle": (1.8, 0.10),
            "spots": (0.10, -0.45, (0.62, 0.54, 0.45)),
            **more,
        }
    )


def strap(
    top: tuple[float, float],
    bottom: tuple[float, float],
    out: float,
    thick: float = 0.55,
    flat: float = 1.7,
    angle: float = 90.0,
) -> Tube:
    """A loop handle from (radius, height) to (radius, height), standing ``out`` from the wall."""
    (r0, z0), (r1, z1) = top, bottom
    t = np.linspace(0, 1, 11)
    swell = np.sin(np.pi * t**0.8) ** 0.8
    radius = r0 - 0.4 + (r1 - r0) * t + (out + 0.4) * swell - 0.1 * t
    height = z0 + (z1 - z0) * (0.35 * t + 0.65 * t**1.6) + 0.35 * out * np.sin(np.pi * t) * (1 - t)
    line = list(zip(radius, height, strict=True))
    a = np.radians(angle)
    path = tuple((float(r * np.sin(a)), float(-r * np.cos(a)), float(z)) for r, z in line)
    swelling = (1.3, 1.08, 1, 0.97, 0.95, 0.94, 0.93, 0.93, 0.95, 1.05, 1.2)
    return Tube(path, tuple(thick * part for part in swelling), flat)


def frechen_jug() -> Made:
    profile = jug_body(7.4, 21.5, foot=0.66, neck=0.42, rings=0.02, wall=0.5)
    form = Form(
        profile,
        (strap((3.3, 19.6), (6.4, 12.6), 2.6),),
        (Cut((1.4, -4.85, 0.1), (0.13, 0.9, 0.62), rough=False),),
        wobble=0.009,
        seed=2,
    )
    return form, Glaze(
        body=(0.58, 0.52, 0.45),
        ramp=((0.60, 0.50, 0.36), (0.47, 0.30, 0.15), (0.27, 0.15, 0.08)),
        mottle=(0.55, 0.26),
        peel=(0.17, 0.16),
        rough=0.12,
        shine=0.85,
        runs=0.05,
        spots=(0.2, 0.5, (0.16, 0.09, 0.05)),
        pool=0.5,
        lip_thin=0.4,
        tilt=0.02,
        base_glazed=False,
    )


def delft_charger() -> Made:
    profile = dish(17.4, 3.6, foot=0.42, rim=0.16, wall=0.6)
    cuts = tuple(
        Cut((17.5 * np.sin(a), -17.5 * np.cos(a), 3.85), (0.7 * s, 0.7 * s, 0.45))
        for a, s in ((0.7, 1.1), (2.1, 0.8), (2.25, 0.6), (4.0, 1.2), (5.3, 0.7))
    )
    b = round_map(21, 1500)
    b.hills(0.17, 0.5, 0.47, 0.12)
    b.hills(0.45, 0.84, 0.48, 0.09)
    b.house(0.57, 0.57, 0.13)
    b.house(0.67, 0.56, 0.09)
    b.tree(0.30, 0.63, 0.26)
    b.tree(0.77, 0.61, 0.20)
    b.tree(0.42, 0.55, 0.12)
    for x, y, w in ((0.3, 0.66, 0.16), (0.55, 0.6, 0.2), (0.66, 0.70, 0.16), (0.45, 0.73, 0.14)):
        b.wash([[(x - w, y), (x, y - 0.02), (x + w, y), (x, y + 0.035)]], 0.3)
        b.grass(x + 0.05, y, 0.035, 6, 0.004)
    b.strokes(
        [
            [(x, y), (x + 0.015, y - 0.008), (x + 0.03, y)]
            for x, y in ((0.42, 0.27), (0.47, 0.25), (0.52, 0.29), (0.38, 0.31))
        ],
        0.005,
    )
    for r, w in ((0.36, 0.006), (0.372, 0.003), (0.487, 0.005)):
        b.ring(r, w)
    for k in range(16):
        a = 2 * np.pi * k / 16
        x, y = 0.5 + 0.43 * np.cos(a), 0.5 + 0.43 * np.sin(a)
        if k % 2:
            b.flower(x, y, 0.038)
        else:
            for side in (-1.9, -1.2, 1.2, 1.9):
                b.leaf(x, y, a + side, 0.05)
        for step in (-0.55, 0.45):
            middle = a + step * np.pi / 16 * 1.1
            curl = [
                (0.5 + r * np.cos(middle + t), 0.5 + r * np.sin(middle + t))
                for r, t in ((0.40, -0.07), (0.42, -0.02), (0.455, 0.01), (0.445, 0.06))
            ]
            b.strokes([curl], 0.0045, 0.75, taper=0.7)
    for _ in range(26):
        x, y = b.random.uniform(0.2, 0.8), b.random.uniform(0.76, 0.83)
        b.strokes([[(x, y), (x + 0.03, y + 0.004)]], 0.004, 0.5)
    return Form(profile, cuts=cuts, wobble=0.006, seed=4), tin_glaze(
        layers=(Layer("inside", "stain", b.bled(), COBALT, radius=17.4),), seed=3
    )


def faience_jug() -> Made:
    profile = jug_body(6.6, 20, foot=0.6, neck=0.52)
    form = Form(profile, (strap((3.5, 18.4), (6.0, 10.8), 2.7, 0.5),), wobble=0.008, seed=6)
    b = wall_map(profile, 31)
    b.band(0.035, 0.012)
    b.band(0.95, 0.012)
    b.band(0.28, 0.006)
    for k in range(5):
        x = (k + 0.5) * b.ratio / 5
        b.sprig(x, 0.86, 0.4, 0.25 if k % 2 else -0.25)
        b.leaf(x + b.ratio / 10, 0.2, -0.6, 0.05)
        b.leaf(x + b.ratio / 10, 0.2, -2.5, 0.05)
    number = painted("14", 0.36, 8)
    return form, tin_glaze(
        crackle=(0.9, 0.5, 0.014),
        layers=(
            Layer("wall", "stain", b.bled(), COBALT),
            Layer("base", "stain", number, COBALT, radius=3.6),
        ),
        seed=5,
    )


def drug_jar() -> Made:
    profile = albarello(5.6, 16.8)
    cuts = (
        Cut((2.2, -4.3, 16.8), (0.80, 0.50, 0.29)),
        Cut((-3.6, -3.0, 16.8), (0.52, 0.40, 0.22)),
        Cut((1.2, -4.6, 0.1), (0.69, 0.40, 0.29)),
    )
    b = wall_map(profile, 33)
    for y, w in ((0.13, 0.01), (0.155, 0.005), (0.86, 0.005), (0.885, 0.01)):
        b.band(y, w)
    b.scroll(0.36, 0.17, 8)
    b.scroll(0.64, 0.17, 8)
    return Form(profile, cuts=cuts, seed=7), tin_glaze(
        layers=(Layer("wall", "stain", b.bled(), COBALT),), seed=6
    )


def albarello_old() -> Made:
    profile = albarello(5.9, 20.8)
    b, o = wall_map(profile, 35), wall_map(profile, 36)
    for y in (0.12, 0.88):
        b.band(y, 0.012)
        o.band(y + 0.03, 0.02)
    for k in range(6):
        x = (k + 0.5) * b.ratio / 6
        o.flower(x, 0.5, 0.11, 8)
        b.flower(x, 0.5, 0.06, 6)
        for s in (-1, 1):
            b.leaf(x + s * 0.1, 0.5 + s * 0.13, s * 0.9, 0.13)
            b.leaf(x - s * 0.1, 0.5 + s * 0.13, np.pi - s * 0.9, 0.13)
    return Form(profile, cuts=(Cut((1.0, -5.0, 20.8), (0.92, 0.50, 0.29)),), seed=8), tin_glaze(
        layers=(Layer("wall", "stain", b.bled(), COBALT), Layer("wall", "stain", o.bled(), OCHRE))
    )


def westerwald_mug() -> Made:
    profile = mug_body(4.6, 14.5)
    form = Form(
        profile,
        (strap((4.4, 12.6), (4.4, 3.6), 2.3, 0.42),),
        (Cut((1.0, -4.4, 14.5), (0.57, 0.40, 0.18)), Cut((-1.6, -4.2, 14.5), (0.35, 0.3, 0.2))),
        seed=9,
    )
    b = wall_map(profile, 37)
    for y, w in ((0.115, 0.05), (0.885, 0.05)):
        b.band(y, w, 0.9)
    cut = wall_map(profile, 38)
    for k in range(5):
        x = (k + 0.5) * b.ratio / 5
        b.flower(x, 0.5, 0.17, 8)
        cut.flower(x, 0.5, 0.17, 8)
        for s in (-1, 1):
            b.leaf(x + 0.22, 0.5, s * 1.1, 0.2)
            b.leaf(x + 0.22, 0.5, s * 2.0, 0.2)
    return form, Glaze(
        body=(0.60, 0.59, 0.57),
        ramp=((0.64, 0.62, 0.58), (0.63, 0.63, 0.61), (0.56, 0.57, 0.56)),
        peel=(0.16, 0.10),
        rough=0.12,
        shine=0.8,
        mottle=(0.8, 0.2),
        layers=(
            Layer("wall", "stamp", cut.map * 0.5, (0, 0, 0)),
            Layer("wall", "stain", b.map, (3.0, 2.3, 0.9)),
        ),
        spots=(0.1, 0.2, (0.3, 0.26, 0.22)),
    )


def small_delft_plate() -> Made:
    b = round_map(41)
    b.sprig(0.46, 0.72, 0.34, 0.2)
    b.sprig(0.56, 0.72, 0.24, 0.6, flower=False)
    b.wash([[(0.33, 0.74), (0.5, 0.70), (0.68, 0.74), (0.5, 0.77)]], 0.4)
    b.ring(0.34, 0.007)
    b.ring(0.48, 0.012)
    for k in range(12):
        a = 2 * np.pi * k / 12
        b.leaf(0.5 + 0.4 * np.cos(a), 0.5 + 0.4 * np.sin(a), a + 1.6, 0.07)
    cuts = (Cut((6.1, -9.75, 2.6), (0.75, 0.75, 0.4)), Cut((-10.6, -4.5, 2.6), (0.6, 0.6, 0.4)))
    return Form(dish(11.4, 2.4, foot=0.45, rim=0.18), cuts=cuts, seed=10), tin_glaze(
        layers=(Layer("inside", "stain", b.bled(), COBALT, radius=11.4),), seed=9
    )


def slipware_dish() -> Made:
    profile = dish(16.5, 4.6, foot=0.6, wall=0.8)
    b = round_map(43, 1400)
    y = np.linspace(-0.05, 1.05, 26)
    for row in y:
        x = np.linspace(-0.02, 1.02, 40)
        wave = row + 0.016 * np.sin(x * 26) + 0.006 * np.sin(x * 61 + row * 40)
        b.strokes([list(zip(x, wave, strict=True))], 0.022, 1.0, taper=0.0, blur=1.0)
    cream = np.clip((b.map - 0.35) * 2.2, 0, 1)
    chip = Cut((-7, -14.9, 4.75), (1.3, 1.0, 0.6))
    return Form(profile, cuts=(chip,), lobes=60, lobe_depth=0.02, seed=11, wobble=0.012), Glaze(
        body=(0.66, 0.43, 0.29),
        ramp=((0.42, 0.22, 0.10), (0.31, 0.14, 0.06), (0.2, 0.09, 0.04)),
        layers=(Layer("inside", "cover", cream, (0.86, 0.70, 0.38), radius=16.5),),
        stop=4.3,
        stop_wave=0.08,
        tilt=0.018,
        tilt_size=1.4,
        rough=0.04,
        pinholes=0.05,
        crackle=(1.3, 0.3, 0.012),
    )


def green_jug() -> Made:
    profile = jug_body(5.3, 14, foot=0.7, neck=0.58, rings=0.018, wall=0.45)
    form = Form(
        profile,
        (strap((3.1, 12.9), (5.0, 6.8), 1.9, 0.42, 1.4),),
        (Cut((1.4, -2.8, 14), (0.92, 0.50, 0.36)),),
        wobble=0.014,
        seed=12,
    )
    return form, Glaze(
        body=(0.80, 0.73, 0.62),
        ramp=((0.60, 0.58, 0.33), (0.37, 0.42, 0.21), (0.18, 0.26, 0.12)),
        stop=6.4,
        stop_wave=1.1,
        runs=0.2,
        mottle=(0.7, 0.3),
        spots=(0.14, 0.5, (0.10, 0.2, 0.07)),
        pinholes=0.35,
        rough=0.09,
        shine=0.85,
        inside_glazed=False,
        grime=0.6,
        tilt=0.03,
        kiln_shade=0.1,
    )


def lobed_dish() -> Made:
    profile = vessel(
        [(6.2, 0.9), (7.4, 1.1), (10.2, 2.6), (12.4, 4.2), (12.6, 4.5)],
        foot=(0.7, 0.8, 0.6),
        wall=0.55,
    )
    return Form(
        profile,
        cuts=(Cut((5.4, -2.9, 0.0), (1.03, 0.70, 0.18)),),
        lobes=14,
        lobe_depth=-0.07,
        seed=13,
    ), tin_glaze(
        ramp=((0.84, 0.80, 0.72), (0.93, 0.92, 0.88), (0.93, 0.93, 0.91)),
        body=(0.82, 0.66, 0.52),
        crackle=(1.5, 0.25, 0.012),
        seed=11,
    )


def _sponged(seed: int, low: float, rows: int = 900) -> NDArray[Any]:
    """Pigment dabbed on with a sponge and melted into the glaze; ``low`` leaves more bare."""
    random = np.random.default_rng(seed)
    field = np.zeros((rows, rows), np.float32)
    for dabs, strength in ((17, 1.0), (36, 0.7), (90, 0.3)):
        coarse = Image.fromarray(random.normal(size=(dabs, dabs)).astype(np.float32))
        field += strength * np.asarray(coarse.resize((rows, rows), Image.Resampling.BICUBIC))
    return np.asarray(np.clip((field - low) / 1.9, 0, 1) ** 1.2 * 0.85, np.float32)


def tortoiseshell_plate() -> Made:
    profile = dish(11.7, 2.5, foot=0.5, rim=0.2, wall=0.42)
    brown, purple, green = _sponged(45, -0.1), _sponged(46, 0.5), _sponged(47, 1.25)
    layers = tuple(
        Layer(where, "stain", strength, colour, radius=11.7)
        for where in ("inside", "base")
        for strength, colour in ((brown, IRON), (purple, MANGANESE), (green, (1.6, 0.5, 1.7)))
    )
    return Form(profile, seed=14), Glaze(
        body=(0.84, 0.78, 0.66),
        ramp=((0.86, 0.79, 0.62), (0.85, 0.78, 0.6), (0.8, 0.74, 0.55)),
        base_glazed=True,
        layers=layers,
        scratches=0.6,
        cracks=(Crack(170, 2.4, 0.03, from_foot=True),),
    )


def teapot() -> Made:
    body = [(3.6, 0.35), (5.0, 1.6), (5.5, 3.6), (4.9, 6.2), (3.3, 7.7), (3.0, 8.1)]
    profile = vessel(body, foot=(0.5, 0.3, 0.3), wall=0.38)
    spout = Tube(
        ((-4.6, 0, 3.2), (-6.3, 0, 4.0), (-7.2, 0, 5.9), (-8.3, 0, 7.9), (-8.9, 0, 8.5)),
        (1.15, 0.95, 0.68, 0.52, 0.42),
        1.0,
    )
    handle = strap((4.2, 7.0), (4.9, 2.6), 2.6, 0.42, 1.15)
    return Form(
        profile,
        (spout, handle),
        (Cut((-9.2, 0, 8.95), (0.5, 0.42, 0.42), rough=False),),
        seed=15,
        join=0.3,
        wobble=0.002,
    ), _red_stoneware(True)


def teapot_lid() -> Made:
    profile = solid(
        [
            (2.9, 0.0),
            (3.2, 0.12),
            (2.9, 0.55),
            (1.9, 1.05),
            (0.7, 1.25),
            (0.45, 1.6),
            (0.85, 2.1),
            (0.75, 2.6),
            (0.35, 2.8),
            (0.01, 2.82),
        ]
    )
    return Form(profile, seed=15, wobble=0.0), _red_stoneware(False)


def _red_stoneware(with_seal: bool) -> Glaze:
    layers = (Layer("base", "stamp", seal(0.5, 12), (0.5, 0.6, 0.6), radius=3.2),)
    return Glaze(
        body=(0.47, 0.255, 0.185),
        glazed=False,
        body_rough=0.34,
        body_shine=0.55,
        specks=0.15,
        layers=layers if with_seal else (),
        grime=0.2,
    )


def cream_jug() -> Made:
    body = [(2.5, 0.45), (3.5, 1.4), (4.0, 3.4), (3.4, 6.0), (2.9, 7.6), (3.3, 9.3), (3.7, 9.9)]
    profile = vessel(body, foot=(0.4, 0.4, 0.3), wall=0.28)
    return Form(
        profile, (strap((3.1, 8.8), (3.8, 3.4), 2.1, 0.3, 1.5),), seed=16, wobble=0.003
    ), Glaze(
        body=(0.90, 0.84, 0.70),
        ramp=((0.91, 0.85, 0.70), (0.90, 0.84, 0.67), (0.82, 0.78, 0.54)),
        base_glazed=True,
        tilt=0.008,
        cracks=(Crack(78, 3.0, 0.02),),
        grime=0.4,
        crackle=(1.5, 0.2, 0.01),
    )


def cider_jug() -> Made:
    profile = jug_body(9.4, 28, foot=0.68, neck=0.34, rings=0.02, wall=0.7)
    handle = strap((3.1, 26.0), (7.8, 17.6), 2.6, 0.75, 1.5)
    crack = Cut((6.75, -0.9, 25.0), (0.12, 0.9, 0.45), rough=False)
    return Form(profile, (handle,), (crack,), wobble=0.012, seed=17), Glaze(
        body=(0.56, 0.45, 0.35),
        ramp=((0.50, 0.42, 0.27), (0.42, 0.39, 0.24), (0.36, 0.40, 0.26)),
        stop=4.0,
        stop_wave=1.3,
        runs=0.3,
        mottle=(1.6, 0.2),
        ash=(35, 0.30, (0.55, 0.54, 0.38)),
        rough=0.12,
        shine=0.8,
        spots=(0.18, 0.3, (0.2, 0.13, 0.08)),
        burn=(0.42, 0.26, 0.15),
    )


def white_vase() -> Made:
    body = [(3.0, 0.7), (4.4, 3.0), (4.9, 6.4), (3.9, 11), (2.4, 13.6), (2.3, 15.2), (3.3, 17)]
    return Form(
        vessel(body, foot=(0.5, 0.6, 0.4), wall=0.35),
        cuts=(Cut((1.8, -2.7, 17.0), (0.57, 0.40, 0.25)),),
        seed=18,
    ), Glaze(
        body=(0.90, 0.86, 0.78),
        ramp=((0.94, 0.91, 0.84), (0.93, 0.91, 0.83), (0.88, 0.87, 0.77)),
        base_glazed=True,
    )


def garden_pot() -> Made:
    """A piece that no line of the stock book speaks of."""
    profile = pear_bottle(6.2, 17.5, rings=0.015)
    return Form(profile, seed=19, wobble=0.01), Glaze(
        body=(0.50, 0.34, 0.24),
        ramp=((0.42, 0.26, 0.12), (0.24, 0.13, 0.07), (0.10, 0.06, 0.04)),
        stop=3.0,
        runs=0.18,
        mottle=(0.8, 0.07),
    )


def spare_bowl() -> Made:
    """Another piece without a record."""
    return Form(open_bowl(8.2, 5.6), seed=20), Glaze(
        body=(0.7, 0.62, 0.52),
        ramp=((0.60, 0.66, 0.64), (0.48, 0.58, 0.60), (0.30, 0.42, 0.50)),
        stop=1.4,
        mottle=(1.4, 0.12),
        pool=0.9,
    )
