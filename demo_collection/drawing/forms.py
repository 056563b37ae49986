"""Solid forms in centimetres: turned profiles with handles, cuts and a hand's unevenness.

A form answers one question, how far a point is from its surface (negative within the clay), so
that the same pot can be seen from above, below and inside.
"""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from profiles import Profile

Array = NDArray[Any]
Point = tuple[float, float]
Warp = Callable[[Array, Array, Array], tuple[Array, Array]]


@dataclass(frozen=True)
class Tube:
    """A handle or spout: points (x, y, z) with radii, ``flat`` times wider across than thick."""

    path: tuple[tuple[float, float, float], ...]
    radii: tuple[float, ...]
    flat: float = 1.0


@dataclass(frozen=True)
class Cut:
    """A ball taken away from the clay: a chip (rough) or a firing gap (long and narrow)."""

    centre: tuple[float, float, float]
    radii: tuple[float, float, float]
    rough: bool = True


def _tube_grid(tube: Tube) -> tuple[Array, Array, float]:
    path = np.asarray(tube.path, float)
    t = np.linspace(0, 1, len(path))
    fine = np.linspace(0, 1, 70)
    dense = _smooth(path, fine)
    radii = np.interp(fine, t, tube.radii)
    reach = max(tube.radii) * tube.flat + 0.8
    low, high = dense.min(0) - reach, dense.max(0) + reach
    cell = float((high - low).max() / 72)
    counts = np.ceil((high - low) / cell).astype(int) + 1
    axes = [low[i] + cell * np.arange(counts[i]) for i in range(3)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), -1).reshape(-1, 3).astype(np.float32)
    best = np.full(len(grid), 1e3, np.float32)
    for centre, radius in zip(dense, radii, strict=True):
        away = grid - centre.astype(np.float32)
        away[:, 1] /= tube.flat
        best = np.minimum(best, np.sqrt((away**2).sum(1)) - np.float32(radius))
    return best.reshape(counts), low.astype(np.float32), cell


def _smooth(path: Array, at: Array) -> Array:
    """Points along a smooth line through a path of any dimension."""
    out = []
    count = len(path) - 1
    for value in at:
        index = min(int(value * count), count - 1)
        t = value * count - index
        a, b, c, d = (path[min(max(index + k, 0), count)] for k in (-1, 0, 1, 2))
        out.append(
            0.5
            * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - a - 3 * c + d) * t**3
            )
        )
    return np.array(out)


@dataclass
class Form:
    """One solid: a turned profile, what is stuck on to it and what is cut out of it."""

    profile: Profile
    tubes: tuple[Tube, ...] = ()
    cuts: tuple[Cut, ...] = ()
    lobes: int = 0
    lobe_depth: float = 0.0
    square: float = 0.0
    facets: int = 0
    wobble: float = 0.006
    seed: int = 0
    join: float = 0.35
    _grid: Array = field(init=False, repr=False)
    _place: Array = field(init=False, repr=False)
    _tube_grids: list[tuple[Array, Array, float]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        top = self.profile.height
        wide = self.profile.radius * (1.42 if self.square else 1.0)
        self.centre = np.array([0, 0, top / 2], np.float32)
        self.bound = float(np.hypot(wide, top / 2) * 1.03 + 0.1)
        for tube in self.tubes:
            for spot in tube.path:
                reach = np.linalg.norm(np.array(spot) - self.centre) + max(tube.radii) * tube.flat
                self.bound = max(self.bound, float(reach) + 0.1)
        self._bake()
        self._tube_grids = [_tube_grid(tube) for tube in self.tubes]
        random = np.random.default_rng(self.seed)
        self._phase = random.uniform(0, 2 * np.pi, 3).astype(np.float32)

    def _bake(self, rows: int = 460) -> None:
        """Tabulate distance and place along the outline over a half plane."""
        self.cell = np.float32(2 * self.bound / (rows - 1))
        columns = rows // 2 + 2
        self.low = np.float32(self.centre[2] - self.bound)
        r = np.arange(columns, dtype=np.float32)[None, :] * self.cell
        z = self.low + np.arange(rows, dtype=np.float32)[:, None] * self.cell
        best = np.full((rows, columns), 1e6, np.float32)
        place = np.zeros((rows, columns), np.float32)
        inside = np.zeros((rows, columns), bool)
        points, along = self.profile.points, self.profile.along
        loop = np.vstack([points, [[0.0, points[-1, 1]]], [[0.0, points[0, 1]]]])
        for index, (a, b) in enumerate(zip(loop, np.roll(loop, -1, 0), strict=True)):
            crosses = (a[1] > z) != (b[1] > z)
            if a[1] != b[1]:
                cross_r = a[0] + (z - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
                inside ^= crosses & (r < cross_r)
            if index >= len(points) - 1:
                continue
            edge = b - a
            length = float(edge @ edge)
            t = np.clip(((r - a[0]) * edge[0] + (z - a[1]) * edge[1]) / length, 0, 1)
            away = (r - a[0] - t * edge[0]) ** 2 + (z - a[1] - t * edge[1]) ** 2
            nearer = away < best
            best = np.where(nearer, away, best)
            place = np.where(nearer, along[index] + t * np.float32(length**0.5), place)
        signed = np.sqrt(best) * np.where(inside, -1, 1)
        self._grid = signed.astype(np.float32).ravel()
        self._place = place.astype(np.float32).ravel()
        self._columns, self._rows = columns, rows

    def _turned(self, p: Array) -> tuple[Array, Array]:
        """The point in the half plane of the profile, its radius evened out."""
        x, y, z = p
        r = np.sqrt(x * x + y * y) + np.float32(1e-5)
        if self.square:
            power = self.square
            r = (np.abs(x) ** power + np.abs(y) ** power) ** np.float32(1 / power)
        if self.wobble:
            c, s = x / r, y / r
            two = (c * c - s * s) * np.cos(self._phase[0]) + 2 * c * s * np.sin(self._phase[0])
            three = c * (4 * c * c - 3) * np.cos(self._phase[1]) + s * (3 - 4 * s * s) * np.sin(
                self._phase[1]
            )
            r = r * (1 + np.float32(self.wobble) * (two + 0.6 * three))
            z = z + np.float32(self.wobble * 0.8) * x * np.clip(z / self.profile.height, 0, 1)
        if self.lobes or self.facets:
            angle = np.arctan2(y, x)
            if self.lobes:
                weight = np.clip(
                    (r - self.profile.foot_radius)
                    / (self.profile.radius - self.profile.foot_radius + 1e-3),
                    0,
                    1,
                )
                bow = 1 - np.abs(np.sin(angle * self.lobes / 2))
                r = r * (1 + np.float32(self.lobe_depth) * weight * bow * bow)
            else:
                part = 2 * np.pi / self.facets
                side = np.abs((angle % part) - part / 2)
                flat = r * np.cos(side) / np.float32(np.cos(part / 4))
                weight = np.clip((z - 0.6) / 1.5, 0, 1) * np.clip(
                    (self.profile.height * 0.72 - z) / 2.0, 0, 1
                )
                r = r + (flat - r) * weight
        return r, z

    def _lookup(self, table: Array, r: Array, z: Array) -> Array:
        column = np.clip(r / self.cell, 0, self._columns - 1.001)
        row = np.clip((z - self.low) / self.cell, 0, self._rows - 1.001)
        whole_column, whole_row = np.floor(column), np.floor(row)
        fc, fr = column - whole_column, row - whole_row
        index = whole_row.astype(np.int32) * self._columns + whole_column.astype(np.int32)
        near = table[index]
        near = near + (table[index + 1] - near) * fc
        far = table[index + self._columns]
        far = far + (table[index + self._columns + 1] - far) * fc
        return near + (far - near) * fr

    def _beyond(self, r: Array, z: Array) -> Array:
        """How far a point lies outside the table."""
        over = np.maximum(r - self.cell * (self._columns - 1), 0)
        above = np.maximum(np.abs(z - self.centre[2]) - np.float32(self.bound), 0)
        return over + above

    def distance(self, p: Array) -> Array:
        """Distance of points (3, N) to the surface, negative in the clay."""
        r, z = self._turned(p)
        away = self._lookup(self._grid, r, z) + np.float32(0.8) * self._beyond(r, z)
        if self.square or self.lobes or self.facets:
            away = away * np.float32(0.8)
        for grid in self._tube_grids:
            near = np.where(away < 40, _in_box(p, *grid), 99)
            mix = np.clip(0.5 + 0.5 * (near - away) / self.join, 0, 1)
            away = near + (away - near) * mix - self.join * mix * (1 - mix)
        for cut in self.cuts:
            cx, cy, cz = cut.centre
            near_cut = (p[0] - cx) ** 2 + (p[1] - cy) ** 2 + (p[2] - cz) ** 2
            some = np.nonzero((away < 1.0) & (near_cut < (1.5 * max(cut.radii)) ** 2))[0]
            if len(some):
                away[some] = np.maximum(away[some], -self.cut_distance(cut, p[:, some]))
        return away

    def cut_distance(self, cut: Cut, p: Array) -> Array:
        """Distance to the taken-away ball, a little too small rather than too large."""
        radii = np.array(cut.radii, np.float32)[:, None]
        from_centre = (p - np.array(cut.centre, np.float32)[:, None]) / radii
        scale = np.float32(min(cut.radii))
        if cut.rough:
            a, b, c = from_centre * np.float32(3.1) + np.float32(cut.centre[0])
            bumps = 0.20 * np.sin(a + 2 * np.sin(b)) + 0.10 * np.sin(2.3 * b + c) * np.sin(2.1 * a)
            return (np.sqrt((from_centre**2).sum(0)) - 1 + bumps) * scale * 0.7
        return (np.sqrt((from_centre**2).sum(0)) - 1) * scale

    def on_tube(self, p: Array, which: slice = slice(None)) -> Array:
        """1 where the nearest surface is one of those handles or spouts, 0 on the turned body."""
        body = np.abs(self._lookup(self._grid, *self._turned(p)))
        weight = np.zeros(p.shape[1], np.float32)
        for grid in self._tube_grids[which]:
            near = np.abs(_in_box(p, *grid))
            weight = np.maximum(weight, np.clip((body - near) / 0.2 + 0.3, 0, 1))
        return weight

    def place(self, p: Array) -> Array:
        """How far along the outline the nearest point of the turned body lies."""
        return self._lookup(self._place, *self._turned(p))

    def normal(self, p: Array) -> Array:
        """Outward unit normals by central differences over about three cells."""
        step = self.cell * np.float32(1.6)
        out = np.empty_like(p)
        for axis in range(3):
            shift = np.zeros((3, 1), np.float32)
            shift[axis] = step
            out[axis] = self.distance(p + shift) - self.distance(p - shift)
        return out / (np.sqrt((out**2).sum(0)) + 1e-9)

    def at(self, along: float) -> Point:
        """Radius and height of the outline at a distance along it."""
        profile = self.profile
        return (
            float(np.interp(along, profile.along, profile.points[:, 0])),
            float(np.interp(along, profile.along, profile.points[:, 1])),
        )


def _in_box(p: Array, grid: Array, low: Array, cell: float) -> Array:
    """Distance from a tabulated tube; from outside its box never more than the true distance.

    A box is convex, so the way to the box and the way on from there meet at an obtuse angle.
    """
    counts = np.array(grid.shape, np.float32)[:, None]
    position = (p - low[:, None]) / np.float32(cell)
    held = np.clip(position, 0, counts - np.float32(1.001))
    outside = ((position - held) ** 2).sum(0) * np.float32(cell * cell)
    floor = np.floor(held)
    part = held - floor
    whole = floor.astype(np.int32)
    flat = grid.ravel()
    sx, sy = grid.shape[1] * grid.shape[2], grid.shape[2]
    index = whole[0] * sx + whole[1] * sy + whole[2]
    total = np.zeros(p.shape[1], np.float32)
    for dx in (0, 1):
        wx = part[0] if dx else 1 - part[0]
        for dy in (0, 1):
            wxy = wx * (part[1] if dy else 1 - part[1])
            for dz in (0, 1):
                wz = part[2] if dz else 1 - part[2]
                total += wxy * wz * flat[index + dx * sx + dy * sy + dz]
    return np.where(outside > 0, np.sqrt(outside + total * total), total)
