"""Outlines of turned pots: smooth curves, closed round foot, wall, lip and inside.

Centimetres throughout; a point is (radius, height).
"""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]
Point = tuple[float, float]


def curve(points: Sequence[Point] | Array, step: float) -> Array:
    """A smooth curve (centripetal Catmull-Rom) through the points, as dense points (N, 2)."""
    given = np.asarray(points, float)
    if len(given) < 3:
        count = max(2, int(np.hypot(*(given[-1] - given[0])) / step))
        return given[0] + (given[-1] - given[0]) * np.linspace(0, 1, count)[:, None]
    ends = np.vstack([2 * given[0] - given[1], given, 2 * given[-1] - given[-2]])
    parts = []
    for a, b, c, d in zip(ends[:-3], ends[1:-2], ends[2:-1], ends[3:], strict=True):
        t1 = np.hypot(*(b - a)) ** 0.5 + 1e-6
        t2 = t1 + np.hypot(*(c - b)) ** 0.5 + 1e-6
        t3 = t2 + np.hypot(*(d - c)) ** 0.5 + 1e-6
        count = max(2, int(np.hypot(*(c - b)) / step))
        t = np.linspace(t1, t2, count, endpoint=False)[:, None]
        a1, a2 = (t1 - t) / t1 * a + t / t1 * b, (t2 - t) / (t2 - t1) * b + (t - t1) / (t2 - t1) * c
        a3 = (t3 - t) / (t3 - t2) * c + (t - t2) / (t3 - t2) * d
        b1, b2 = (
            (t2 - t) / t2 * a1 + t / t2 * a2,
            (t3 - t) / (t3 - t1) * a2 + (t - t1) / (t3 - t1) * a3,
        )
        parts.append((t2 - t) / (t2 - t1) * b1 + (t - t1) / (t2 - t1) * b2)
    return np.vstack([*parts, given[-1:]])


@dataclass(frozen=True)
class Profile:
    """A closed outline (radius, height) with the distances along it where its parts begin."""

    points: Array
    along: Array
    ring_inner: float
    ring_outer: float
    body: float
    lip: float
    end: float
    height: float
    radius: float
    foot_radius: float
    rim_radius: float
    recess: float
    floor: float


def _offset(line: Array, wall: float) -> Array:
    tangent = np.gradient(line, axis=0)
    tangent /= np.hypot(*tangent.T)[:, None] + 1e-9
    inner = line + wall * np.stack([-tangent[:, 1], tangent[:, 0]], 1)
    return inner[inner[:, 0] > 0.05]


def vessel(
    body: Sequence[Point] | Array,
    foot: tuple[float, float, float] = (0.3, 0.3, 0.3),
    wall: float = 0.4,
    hole: float = 0.0,
    rings: float = 0.0,
    cut_foot: bool = False,
) -> Profile:
    """A hollow pot. ``body`` runs from where it leaves the foot to the lip; ``foot`` is the ring's
    (width, height, recess); ``hole`` the radius of a drilled base; ``rings`` the depth of throwing
    rings. ``cut_foot`` slopes the ring outwards."""
    size = max(max(r for r, _ in body), max(z for _, z in body))
    step = size / 110
    outer = curve(body, step)
    if rings:
        height = outer[:, 1]
        wave = (
            0.8 * np.sin(height * 4.1 + np.sin(height * 1.3))
            + 0.5 * np.sin(height * 6.7 + 1 + 1.7 * np.sin(height * 0.9))
            + 0.9 * np.sin(height * 2.3 + 2)
        )
        outer[:, 0] += rings * wave * np.clip((height - height[0]) / size * 6, 0, 1)
    width, foot_height, recess = foot
    foot_radius = outer[0, 0]
    bottom = foot_radius - (0.12 * foot_height if cut_foot else 0.04)
    round_off = min(0.09, width * 0.3)
    base = [
        (hole, recess),
        (max(foot_radius - width - 0.12, hole + 0.01), recess),
        (foot_radius - width + 0.0, recess * 0.45),
        (bottom - width * 0.78, round_off * 0.25),
    ]
    ring = [(bottom - width * 0.55, 0.0), (bottom - round_off, 0.0), (bottom, round_off)]
    side = [(foot_radius, foot_height)] if foot_height > round_off else []
    inner = _offset(outer, wall)[::-1]
    middle = (outer[-1] + inner[0]) / 2
    outwards = outer[-1] - outer[-2]
    outwards = outwards / np.hypot(*outwards)
    lip = [
        middle + np.cos(a) * (outer[-1] - middle) + np.sin(a) * outwards * wall / 2
        for a in np.linspace(0.25, np.pi - 0.25, 9)
    ]
    floor = max(recess, foot_height) + wall * 0.9
    keep = inner[:, 1] > floor + 0.15
    inner = inner[keep] if keep.any() else inner
    last = inner[-1]
    bottom_curve = curve(
        [
            tuple(inner[-4]),
            tuple(last),
            (last[0] * 0.62, floor + 0.25 * (last[1] - floor)),
            (last[0] * 0.3, floor + 0.02),
            (hole, floor),
        ],
        step,
    )[3:]
    pieces = [
        np.array(base),
        np.array(ring),
        np.array(side).reshape(-1, 2),
        outer,
        np.array(lip),
        inner[:-1],
        bottom_curve,
    ]
    return _profile(pieces, foot_radius, floor, recess)


def _profile(pieces: list[Array], foot_radius: float, floor: float, recess: float) -> Profile:
    points = np.vstack(pieces)
    lengths = np.hypot(*np.diff(points, axis=0).T)
    keep = np.concatenate([[True], lengths > 1e-4])
    counts = np.cumsum([len(piece) for piece in pieces])
    along_all = np.concatenate([[0.0], np.cumsum(lengths)])
    starts = [float(along_all[min(count, len(along_all) - 1)]) for count in counts]
    points = points[keep]
    lip_middle = float(along_all[counts[3] + len(pieces[4]) // 2])
    return Profile(
        points.astype(np.float32),
        along_all[keep].astype(np.float32),
        ring_inner=float(along_all[counts[0] - 1]),
        ring_outer=starts[1],
        body=starts[2],
        lip=lip_middle,
        end=float(along_all[-1]),
        height=float(points[:, 1].max()),
        radius=float(points[:, 0].max()),
        foot_radius=float(foot_radius),
        rim_radius=float(pieces[3][-1, 0]),
        recess=recess,
        floor=floor,
    )


def solid(outline: Sequence[Point]) -> Profile:
    """A full turned body such as a lid; the outline runs from its underside to its top."""
    size = max(max(r for r, _ in outline), max(z for _, z in outline))
    points = curve(outline, size / 70)
    empty = points[-1:]
    return _profile(
        [points[:1], points[1:2], points[2:3], points[3:-2], points[-2:], empty, empty],
        float(points[0, 0]),
        0.0,
        0.0,
    )
