"""What stands before the camera: pieces on a table, lamps, paper, and where the camera is.

World: centimetres, z up, the table at z = 0, the camera on the side of negative y.
"""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from forms import Form
from noise import smooth_step
from numpy.typing import NDArray

Array = NDArray[Any]
Vector = tuple[float, float, float]


@dataclass
class Surface:
    """What a surface does with light at each point: colour, shine, its roughness, its normal."""

    colour: Array
    shine: Array
    rough: Array
    normal: Array


Paint = Callable[[Form, Array, Array], Surface]


@dataclass
class Piece:
    """A form with its paint, turned (degrees) and stood on the table.

    ``tilt`` 0 is upright, 90 lies with the base to the camera, 180 stands on the rim.
    """

    form: Form
    paint: Paint
    tilt: float = 0.0
    spin: float = 0.0
    at: tuple[float, float] = (0.0, 0.0)
    lift: float = 0.0

    def __post_init__(self) -> None:
        t, s = np.radians(self.tilt), np.radians(self.spin)
        tilting = np.array([[1, 0, 0], [0, np.cos(t), np.sin(t)], [0, -np.sin(t), np.cos(t)]])
        turning = np.array([[np.cos(s), -np.sin(s), 0], [np.sin(s), np.cos(s), 0], [0, 0, 1]])
        self.matrix = (tilting @ turning).astype(np.float32)
        outline = self.form.profile.points
        sideways = np.hypot(self.matrix[2, 0], self.matrix[2, 1])
        lowest = float((outline[:, 1] * self.matrix[2, 2] - outline[:, 0] * sideways).min())
        for tube in self.form.tubes:
            spots = np.array(tube.path, np.float32) @ self.matrix[2]
            lowest = min(lowest, float((spots - np.array(tube.radii, np.float32)).min()))
        middle = self.matrix @ np.array([0, 0, self.form.profile.height / 2], np.float32)
        self.shift = np.array(
            [self.at[0] - middle[0], self.at[1] - middle[1], self.lift - lowest], np.float32
        )

    def to_local(self, p: Array) -> Array:
        return self.matrix.T @ (p - self.shift[:, None])

    def to_world(self, p: Array) -> Array:
        return self.matrix @ p + self.shift[:, None]

    def turn(self, d: Array) -> Array:
        return self.matrix.T @ d

    def centre(self) -> Array:
        return self.matrix @ self.form.centre + self.shift


@dataclass(frozen=True)
class Studio:
    """Lights, paper and what lies on it."""

    paper: Vector = (0.42, 0.43, 0.44)
    far_paper: Vector = (0.20, 0.21, 0.22)
    key_from: tuple[float, float] = (-48.0, 46.0)
    key: float = 0.66
    fill: float = 0.16
    top: float = 0.18
    back: float = 0.06
    warm: float = 0.02
    box: tuple[float, float] = (0.42, 0.36)
    panes: bool = False
    sweep: float = 34.0
    grain: float = 0.012
    cloth: float = 0.0
    scale_bar: tuple[float, float, float] | None = None
    grey_card: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class View:
    """Where the camera stands: degrees round and up, what it looks at, how wide it sees there."""

    target: Vector
    width: float
    azimuth: float = 0.0
    elevation: float = 14.0
    lens: float = 20.0
    roll: float = 0.0


def direction(azimuth: float, elevation: float) -> Array:
    """Unit vector; azimuth 0 towards the camera, positive to the right."""
    a, e = np.radians(azimuth), np.radians(elevation)
    return np.array([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)], np.float32)


def panel(
    to: Array,
    azimuth: float,
    elevation: float,
    half_wide: float,
    half_high: float,
    rough: Array,
    panes: bool = False,
) -> Array:
    """Brightness of a soft box seen in a direction, its edges softened by the roughness."""
    axis = direction(azimuth, elevation)
    right = np.cross([0, 0, 1], axis)
    right = (right / (np.linalg.norm(right) + 1e-6)).astype(np.float32)
    up = np.cross(axis, right)
    ahead = (to * axis[:, None]).sum(0)
    safe = np.maximum(ahead, 0.05)
    x = (to * right[:, None]).sum(0) / safe
    y = (to * up.astype(np.float32)[:, None]).sum(0) / safe
    soft = 0.05 + rough * 1.1
    inside = smooth_step(0, 1, (half_wide + soft * 0.5 - np.abs(x)) / soft) * smooth_step(
        0, 1, (half_high + soft * 0.5 - np.abs(y)) / soft
    )
    inside = inside * (0.72 + 0.28 * np.clip(1 - (x * x + y * y) / (half_wide**2 * 2), 0, 1))
    if panes:
        inside = inside * smooth_step(0.01, 0.05, np.abs(x)) * smooth_step(0.01, 0.05, np.abs(y))
    strength = half_wide * half_high / ((half_wide + soft * 0.5) * (half_high + soft * 0.5))
    return np.where(ahead > 0.05, inside * strength, 0)


def through(form: Form, origin: Array, ray: Array, swell: float = 1.0) -> tuple[Array, Array]:
    """Where rays enter and leave the ball round a form; leaving before entering is a miss."""
    offset = origin - form.centre[:, None]
    half = (offset * ray).sum(0)
    inside = half * half - (offset * offset).sum(0) + np.float32((form.bound * swell) ** 2)
    root = np.sqrt(np.maximum(inside, 0))
    return np.where(inside > 0, -half - root, 1e4), np.where(inside > 0, -half + root, -1e4)
