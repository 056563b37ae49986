"""Named shapes of pots, sized in centimetres, and empty maps that fit them."""

from typing import Any

import numpy as np
from brush import Brush
from profiles import Profile, vessel

Point = tuple[float, float]


def _scaled(points: list[Point], radius: float, height: float) -> list[Point]:
    return [(r * radius, z * height) for r, z in points]


def pear_bottle(radius: float, height: float, foot: float = 0.55, **more: Any) -> Profile:
    """A bottle with a full belly and a narrow neck opening a little at the lip."""
    body = _scaled(
        [
            (foot, 0.035),
            (0.9, 0.16),
            (1.0, 0.31),
            (0.86, 0.48),
            (0.52, 0.63),
            (0.29, 0.76),
            (0.24, 0.88),
            (0.3, 0.96),
            (0.37, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (0.6, height * 0.03, 0.5), "wall": 0.45, **more})


def tea_bowl(radius: float, height: float, foot: float = 0.44, **more: Any) -> Profile:
    """A bowl for tea, upright at the lip."""
    body = _scaled(
        [(foot, 0.13), (0.68, 0.18), (0.9, 0.38), (0.985, 0.68), (0.99, 0.99)], radius, height
    )
    return vessel(
        body, **{"foot": (0.6, height * 0.12, 0.45), "wall": 0.48, "cut_foot": True, **more}
    )


def open_bowl(radius: float, height: float, foot: float = 0.33, **more: Any) -> Profile:
    """A bowl that opens like a flower."""
    body = _scaled([(foot, 0.1), (0.56, 0.19), (0.82, 0.5), (1.0, 1.0)], radius, height)
    return vessel(body, **{"foot": (0.5, height * 0.09, 0.45), "wall": 0.38, **more})


def dish(
    radius: float, height: float, foot: float = 0.55, rim: float = 0.0, **more: Any
) -> Profile:
    """A dish; ``rim`` is the part of its radius taken by a flat rim."""
    if rim:
        body = _scaled(
            [
                (foot, 0.16),
                (0.64, 0.22),
                (0.95 - rim, 0.62),
                (1 - rim, 0.8),
                (1.0 - rim * 0.5, 0.91),
                (1.0, 1.0),
            ],
            radius,
            height,
        )
    else:
        body = _scaled([(foot, 0.16), (0.68, 0.24), (0.88, 0.52), (1.0, 1.0)], radius, height)
    return vessel(body, **{"foot": (0.6, height * 0.14, height * 0.12), "wall": 0.5, **more})


def jar(
    radius: float,
    height: float,
    foot: float = 0.55,
    mouth: float = 0.5,
    shoulder: float = 0.68,
    **more: Any,
) -> Profile:
    """A storage jar with a high shoulder and a short neck."""
    body = _scaled(
        [
            (foot, 0.012),
            (0.74, 0.22),
            (0.95, 0.48),
            (1.0, shoulder),
            (0.84, 0.85),
            (mouth * 0.98, 0.925),
            (mouth * 0.92, 0.96),
            (mouth * 1.08, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (radius * 0.2, 0.0, 0.12), "wall": 0.8, **more})


def moon_jar(radius: float, height: float, **more: Any) -> Profile:
    """Two bowls joined at the waist, on a foot a little narrower than the mouth."""
    body = _scaled(
        [
            (0.38, 0.045),
            (0.72, 0.17),
            (0.95, 0.36),
            (1.0, 0.5),
            (1.0, 0.515),
            (0.955, 0.66),
            (0.76, 0.83),
            (0.5, 0.93),
            (0.44, 0.965),
            (0.45, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (0.9, height * 0.04, 0.7), "wall": 0.6, **more})


def maebyeong(radius: float, height: float, **more: Any) -> Profile:
    """A high-shouldered vase with a tiny mouth."""
    body = _scaled(
        [
            (0.56, 0.01),
            (0.5, 0.13),
            (0.58, 0.33),
            (0.83, 0.58),
            (1.0, 0.77),
            (0.86, 0.89),
            (0.4, 0.945),
            (0.25, 0.965),
            (0.3, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (0.9, 0.0, 0.5), "wall": 0.6, **more})


def albarello(radius: float, height: float, **more: Any) -> Profile:
    """A drug jar, waisted, with a lip to tie a cover on."""
    body = _scaled(
        [
            (0.82, 0.03),
            (0.98, 0.09),
            (1.0, 0.14),
            (0.88, 0.28),
            (0.84, 0.5),
            (0.88, 0.72),
            (0.99, 0.84),
            (0.93, 0.9),
            (0.76, 0.93),
            (0.75, 0.96),
            (0.86, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (0.7, 0.2, 0.3), "wall": 0.55, **more})


def jug_body(
    radius: float, height: float, foot: float = 0.62, neck: float = 0.5, **more: Any
) -> Profile:
    """A round-bellied jug with a cylindrical neck."""
    body = _scaled(
        [
            (foot, 0.03),
            (foot * 0.98, 0.06),
            (0.92, 0.26),
            (1.0, 0.42),
            (0.86, 0.6),
            (neck, 0.74),
            (neck * 0.92, 0.8),
            (neck * 0.96, 0.9),
            (neck * 1.04, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (0.8, 0.3, 0.2), "wall": 0.5, **more})


def mug_body(radius: float, height: float, **more: Any) -> Profile:
    """A straight mug with turned bands at foot and lip."""
    body = _scaled(
        [
            (1.04, 0.02),
            (1.06, 0.06),
            (0.97, 0.09),
            (1.02, 0.12),
            (0.95, 0.15),
            (0.95, 0.5),
            (0.95, 0.86),
            (1.0, 0.89),
            (0.95, 0.92),
            (0.96, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (0.6, 0.15, 0.25), "wall": 0.4, **more})


def double_gourd(radius: float, height: float, **more: Any) -> Profile:
    """A gourd with a waist."""
    body = _scaled(
        [
            (0.55, 0.03),
            (0.92, 0.15),
            (1.0, 0.28),
            (0.82, 0.45),
            (0.46, 0.555),
            (0.6, 0.68),
            (0.56, 0.8),
            (0.28, 0.91),
            (0.22, 0.95),
            (0.27, 1.0),
        ],
        radius,
        height,
    )
    return vessel(body, **{"foot": (0.6, height * 0.025, 0.4), "wall": 0.42, **more})


def wall_map(profile: Profile, seed: int, rows: int = 1000) -> Brush:
    """An empty map for the whole outer wall, true to its proportions near the widest part."""
    length = profile.lip - profile.body
    wide = int(rows * 2 * np.pi * profile.radius * 0.86 / length)
    return Brush(min(wide, 4200), rows, seed)


def round_map(seed: int, rows: int = 1300) -> Brush:
    """An empty round map for the inside of a dish or for a base."""
    return Brush(rows, rows, seed, wraps=False)
