"""Painting by brush, stamp and knife on flat maps that are later wrapped round a pot.

A map holds the strength of a pigment (0 to 1). Wall maps repeat from left to right.
"""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

Array = NDArray[Any]
Point = tuple[float, float]


class Brush:
    """A map and the hand that paints on it. Lengths are parts of the height of the map."""

    def __init__(self, width: int, height: int, seed: int, wraps: bool = True) -> None:
        self.width, self.height, self.wraps = width, height, wraps
        self.random = np.random.default_rng(seed)
        self.map = np.zeros((height, width), np.float32)
        grain = self.random.normal(size=(height // 8 + 2, width // 8 + 2))
        low, high = grain.min(), grain.max()
        smooth = Image.fromarray(((grain - low) / (high - low) * 255).astype(np.uint8))
        smooth = smooth.resize((width, height), Image.Resampling.BICUBIC).filter(
            ImageFilter.GaussianBlur(3)
        )
        self._grain = np.asarray(smooth, np.float32) / 255 - 0.5

    def bled(self) -> Array:
        """The map after firing: pigment spreads a little into the glaze round each stroke."""
        flat = Image.fromarray((np.clip(self.map, 0, 1) * 255).astype(np.uint8))
        near, wide = (
            np.asarray(flat.filter(ImageFilter.GaussianBlur(self.height / part)), np.float32) / 255
            for part in (620, 110)
        )
        return 1 - (1 - 0.86 * near) * (1 - 0.26 * wide)

    @property
    def ratio(self) -> float:
        """Width over height."""
        return self.width / self.height

    def _lay(
        self,
        mask: Image.Image,
        corner: tuple[int, int],
        strength: float,
        blur: float,
        edge: float = 0.0,
    ) -> None:
        """Add a drawn mask whose top left corner lies there."""
        soft = mask.filter(ImageFilter.GaussianBlur(blur)) if blur else mask
        flat = np.asarray(soft, np.float32) / 255
        if edge:
            inner = np.asarray(soft.filter(ImageFilter.GaussianBlur(self.height / 90)), np.float32)
            flat = flat * (1 - edge + 1.6 * edge * np.clip(1 - inner / 255, 0, 1) + edge * 0.25)
        left, top = corner
        part = np.s_[top : top + flat.shape[0], left : left + flat.shape[1]]
        flat = flat * strength * (1 + 0.9 * self._grain[part])
        self.map[part] = 1 - (1 - self.map[part]) * (1 - np.clip(flat, 0, 1))

    def _sheet(
        self, lines: list[Array], reach: float
    ) -> tuple[Image.Image, tuple[int, int], list[float]]:
        """An empty mask just large enough for the lines, its corner, and the shifts to draw at."""
        every = np.vstack(lines)
        low, high = every.min(0) - reach - 8, every.max(0) + reach + 8
        shifts = [0.0]
        if self.wraps and low[0] < 0:
            shifts.append(float(self.width))
        if self.wraps and high[0] > self.width:
            shifts.append(float(-self.width))
        left, right = (0, self.width) if len(shifts) > 1 else (low[0], high[0])
        left, top = int(np.clip(left, 0, self.width - 1)), int(np.clip(low[1], 0, self.height - 1))
        right = int(np.clip(right, left + 1, self.width))
        bottom = int(np.clip(high[1], top + 1, self.height))
        return Image.new("L", (right - left, bottom - top), 0), (left, top), shifts

    def strokes(
        self,
        many: Sequence[Sequence[Point]],
        wide: float,
        strength: float = 0.85,
        taper: float = 1.0,
        blur: float = 1.2,
    ) -> None:
        """Lay strokes; each swells and tapers as a pointed brush does, and shakes a little."""
        lines = [_dense(np.asarray(points, float) * self.height) for points in many]
        mask, (left, top), shifts = self._sheet(lines, wide * self.height)
        draw = ImageDraw.Draw(mask)
        for line in lines:
            t = np.linspace(0, 1, len(line))
            swell = 1 - taper * (0.85 * np.abs(2 * t**0.8 - 1) ** 2.2)
            shake = 1 + 0.24 * np.interp(t, np.linspace(0, 1, 7), self.random.normal(size=7))
            radius = np.maximum(wide * self.height / 2 * swell * shake, 0.6)
            for shift in shifts:
                for (x, y), r in zip(line - (left - shift, top), radius, strict=True):
                    draw.ellipse((x - r, y - r, x + r, y + r), fill=255)
        self._lay(mask, (left, top), strength, blur)

    def wash(
        self, shapes: Sequence[Sequence[Point]], strength: float = 0.4, edge: float = 0.5
    ) -> None:
        """Fill shapes thinly; the pigment gathers along their edges."""
        lines = [_dense(np.asarray([*points, points[0]], float) * self.height) for points in shapes]
        mask, (left, top), shifts = self._sheet(lines, self.height / 60)
        draw = ImageDraw.Draw(mask)
        for line in lines:
            for shift in shifts:
                draw.polygon([(x + shift - left, y - top) for x, y in line], fill=255)
        self._lay(mask, (left, top), strength, 1.6, edge)

    def band(self, y: float, wide: float, strength: float = 0.8) -> None:
        """A line all the way round, as drawn on a turning wheel."""
        if not self.wraps:
            self.ring(y, wide, strength)
            return
        x = np.linspace(-0.02, self.ratio + 0.02, 60)
        wave = y + 0.0016 * np.sin(x * 3.1 + self.random.uniform(0, 6)) + 0.0008 * np.sin(x * 9)
        self.strokes([list(zip(x, wave, strict=True))], wide, strength, taper=0.0)

    def ring(self, radius: float, wide: float, strength: float = 0.8) -> None:
        """A circle on a round map; radius 0.5 is the edge."""
        turn = np.linspace(0, 2 * np.pi, 100)
        r = radius + 0.0015 * np.sin(turn * 2 + self.random.uniform(0, 6))
        self.strokes(
            [list(zip(0.5 + r * np.cos(turn), 0.5 + r * np.sin(turn), strict=True))],
            wide,
            strength,
            taper=0.0,
        )

    # Motifs. x and y are the foot of the motif unless said otherwise.

    def grass(
        self,
        x: float,
        y: float,
        tall: float,
        blades: int = 7,
        wide: float = 0.012,
        strength: float = 0.85,
    ) -> None:
        many = []
        for _ in range(blades):
            lean = self.random.uniform(-0.7, 0.7)
            high = tall * self.random.uniform(0.55, 1.0)
            start = x + self.random.uniform(-0.05, 0.05) * tall
            many.append(
                [
                    (start, y),
                    (start + lean * high * 0.25, y - high * 0.6),
                    (start + lean * high * 0.8, y - high * self.random.uniform(0.85, 1)),
                ]
            )
        self.strokes(many, wide, strength, taper=0.9)

    def leaf(self, x: float, y: float, angle: float, long: float, strength: float = 0.6) -> None:
        c, s = np.cos(angle), np.sin(angle)

        def put(u: float, v: float) -> Point:
            return (x + long * (u * c - v * s), y + long * (u * s + v * c))

        self.wash(
            [
                [
                    put(0, 0),
                    put(0.35, -0.2),
                    put(0.75, -0.14),
                    put(1, 0),
                    put(0.7, 0.16),
                    put(0.3, 0.17),
                ]
            ],
            strength,
            0.5,
        )
        self.strokes([[put(0, 0), put(0.5, 0.02), put(0.95, 0)]], long * 0.06, 0.8)

    def flower(self, x: float, y: float, size: float, petals: int = 6) -> None:
        shapes, lines = [], []
        start = self.random.uniform(0, 2 * np.pi)
        for k in range(petals):
            a = start + 2 * np.pi * k / petals + self.random.uniform(-0.1, 0.1)
            c, s = np.cos(a), np.sin(a)
            pts = (
                (0.15, 0.0),
                (0.55, -0.28),
                (0.95, -0.16),
                (0.9, 0.02),
                (0.97, 0.17),
                (0.55, 0.28),
            )
            ring = [(x + size * (u * c - v * s), y + size * (u * s + v * c)) for u, v in pts]
            shapes.append(ring)
            lines.append([*ring, ring[0]])
        self.wash(shapes, 0.34, 0.5)
        self.strokes(lines, size * 0.07, 0.8, taper=0.5)
        dots = [
            [
                (x + size * 0.12 * np.cos(a), y + size * 0.12 * np.sin(a)),
                (x + size * 0.13 * np.cos(a), y + size * 0.13 * np.sin(a)),
            ]
            for a in np.linspace(0, 6, 6)
        ]
        self.strokes(dots, size * 0.09, 0.9, taper=0.0)

    def sprig(
        self, x: float, y: float, tall: float, lean: float = 0.3, flower: bool = True
    ) -> None:
        """A stem with leaves on both sides and a flower at its end."""
        stem = [
            (x, y),
            (x + lean * tall * 0.2, y - tall * 0.4),
            (x + lean * tall * 0.7, y - tall * 0.8),
            (x + lean * tall, y - tall),
        ]
        self.strokes([stem], tall * 0.02, 0.85, taper=0.5)
        dense = _dense(np.asarray(stem))
        for k, t in enumerate(np.linspace(0.15, 0.85, 7)):
            px, py = dense[int(t * (len(dense) - 1))]
            side = 1 if k % 2 else -1
            angle = -np.pi / 2 + side * self.random.uniform(0.6, 1.15) + lean * 0.5
            self.leaf(px, py, angle, tall * self.random.uniform(0.16, 0.26))
        if flower:
            self.flower(*stem[-1], tall * 0.17)

    def scroll(self, y: float, size: float, repeats: int) -> None:
        """A winding stem with curls and flowers, all the way round."""
        length = self.ratio
        x = np.linspace(0, length, repeats * 12 + 1)
        wave = y + size * 0.42 * np.sin(x / length * 2 * np.pi * repeats / 2)
        self.strokes([list(zip(x, wave, strict=True))], size * 0.05, 0.85, taper=0.0)
        for k in range(repeats):
            cx = (k + 0.5) * length / repeats
            up = 1 if k % 2 == 0 else -1
            cy = y + up * size * 0.02
            self.flower(cx, cy, size * 0.27)
            for side in (-1, 1):
                curl = [
                    (
                        cx
                        + side * size * (0.75 - 0.05 * a) * 0.55
                        + size * 0.17 * np.cos(a) * (1 - a / 9),
                        cy - up * size * 0.3 + up * size * 0.17 * np.sin(a) * (1 - a / 9),
                    )
                    for a in np.linspace(0, 6.5, 14)
                ]
                self.strokes([curl], size * 0.04, 0.8, taper=0.6)
                self.leaf(
                    cx + side * size * 0.42,
                    cy + up * size * 0.12,
                    self.random.uniform(0, 6.3),
                    size * 0.25,
                )

    def waves(self, low: float, high: float, size: float) -> None:
        """Rows of overlapping wave scales."""
        rows = int((high - low) / (size * 0.5)) + 1
        count = max(4, round(self.ratio / size))
        lines = []
        for row in range(rows):
            cy = low + row * size * 0.5
            for k in range(count):
                cx = (k + 0.5 * (row % 2)) * self.ratio / count
                for ring in (0.5, 0.36, 0.22):
                    turn = np.linspace(np.pi, 2 * np.pi, 12)
                    radius = size * ring
                    lines.append(
                        [(cx + radius * np.cos(a), cy + radius * np.sin(a) * 0.95) for a in turn]
                    )
        self.strokes(lines, size * 0.05, 0.7, taper=0.35)

    def hills(self, x0: float, x1: float, ground: float, tall: float) -> None:
        """Distant hills in wash with dry outlines."""
        x = np.linspace(x0, x1, 16)
        rise = np.abs(np.interp(x, np.linspace(x0, x1, 6), self.random.uniform(0.2, 1, 6)))
        rise[0] = rise[-1] = 0.02
        top = list(zip(x, ground - tall * rise, strict=True))
        self.wash([[*top, (x1, ground), (x0, ground)]], 0.22, 0.5)
        self.strokes([top], tall * 0.05, 0.55, taper=0.5)

    def tree(self, x: float, y: float, tall: float) -> None:
        """A leaning trunk with clumps of foliage dabbed on."""
        bend = self.random.uniform(-0.2, 0.2)
        trunk = [
            (x, y),
            (x + bend * tall, y - tall * 0.45),
            (x + bend * tall * 0.4, y - tall * 0.9),
        ]
        self.strokes([trunk], tall * 0.07, 0.85, taper=0.6)
        dabs, shapes = [], []
        for _ in range(7):
            cx = x + bend * tall * 0.5 + self.random.normal() * tall * 0.22
            cy = y - tall * self.random.uniform(0.45, 1.0)
            shapes.append(
                [
                    (cx - 0.15 * tall, cy),
                    (cx, cy - 0.08 * tall),
                    (cx + 0.15 * tall, cy),
                    (cx, cy + 0.06 * tall),
                ]
            )
            for _ in range(9):
                dx, dy = self.random.normal(size=2) * tall * 0.065
                dabs.append([(cx + dx, cy + dy), (cx + dx + tall * 0.03, cy + dy - tall * 0.015)])
        self.wash(shapes, 0.3, 0.4)
        self.strokes(dabs, tall * 0.03, 0.75, taper=0.3)

    def pine(self, x: float, y: float, tall: float) -> None:
        """A pine: crooked trunk, flat tiers of needles in fans."""
        trunk = [
            (x, y),
            (x - tall * 0.12, y - tall * 0.3),
            (x + tall * 0.1, y - tall * 0.6),
            (x + tall * 0.02, y - tall),
        ]
        self.strokes([trunk], tall * 0.08, 0.85, taper=0.7)
        for k in range(6):
            side = (-1) ** k
            cx = x + side * tall * self.random.uniform(0.12, 0.38)
            cy = y - tall * (0.3 + 0.13 * k)
            self.strokes([[(x, cy + tall * 0.06), (cx, cy)]], tall * 0.03, 0.8)
            self.wash(
                [
                    [
                        (cx - tall * 0.2, cy),
                        (cx, cy - tall * 0.12),
                        (cx + tall * 0.2, cy),
                        (cx, cy + tall * 0.04),
                    ]
                ],
                0.35,
                0.3,
            )
            fans = [
                [
                    (cx + o * tall, cy),
                    (cx + o * tall + tall * 0.1 * np.cos(a), cy - tall * 0.1 * np.sin(a)),
                ]
                for o in (-0.13, -0.05, 0.05, 0.13)
                for a in np.linspace(0.4, 2.75, 7)
            ]
            self.strokes(fans, tall * 0.012, 0.8, taper=0.6)

    def rock(self, x: float, y: float, size: float) -> None:
        shape = ((-0.6, 0), (-0.5, 0.4), (-0.15, 0.75), (0.1, 0.5), (0.35, 0.6), (0.65, 0))
        pts = [(x + size * u, y - size * v) for u, v in shape]
        self.wash([pts], 0.4, 0.6)
        self.strokes(
            [pts, [pts[2], (x, y - size * 0.15)], [pts[4], (x + size * 0.3, y)]],
            size * 0.06,
            0.85,
            taper=0.4,
        )

    def house(self, x: float, y: float, size: float) -> None:
        """A gabled house with a door, in outline and wash."""
        roof = [(x - size * 0.6, y - size * 0.5), (x, y - size), (x + size * 0.6, y - size * 0.5)]
        wall = [
            (x - size * 0.5, y - size * 0.5),
            (x - size * 0.5, y),
            (x + size * 0.5, y),
            (x + size * 0.5, y - size * 0.5),
        ]
        self._straight([[*roof, roof[0]], wall], size * 0.05)
        self.wash([[roof[0], roof[1], roof[2]]], 0.5, 0.3)
        self._straight(
            [
                [
                    (x - size * 0.1, y),
                    (x - size * 0.1, y - size * 0.3),
                    (x + size * 0.1, y - size * 0.3),
                    (x + size * 0.1, y),
                ]
            ],
            size * 0.05,
        )

    def _straight(self, many: Sequence[Sequence[Point]], wide: float) -> None:
        parts = [[a, b] for points in many for a, b in pairwise(points)]
        self.strokes(parts, wide, 0.85, taper=0.2)

    def petals(self, count: int, low: float, high: float, wide: float) -> None:
        """Lotus petals cut with a knife: an outline and a rib each."""
        step = self.ratio / count
        for k in range(count):
            x = (k + 0.5) * step
            half = step * 0.47
            self.strokes(
                [
                    [
                        (x - half, low),
                        (x - half * 0.9, low - (low - high) * 0.6),
                        (x, high),
                        (x + half * 0.9, low - (low - high) * 0.6),
                        (x + half, low),
                    ]
                ],
                wide,
                0.9,
                taper=0.15,
            )
            self.strokes([[(x, low), (x, high + (low - high) * 0.2)]], wide * 0.6, 0.6, taper=0.5)

    def stamps(self, y: float, size: float, count: int) -> None:
        """A row of small stamped florets."""
        for k in range(count):
            x = (k + 0.5) * self.ratio / count
            dots = [
                [(x + size * 0.32 * np.cos(a), y + size * 0.32 * np.sin(a))] * 2
                for a in np.linspace(0, 2 * np.pi, 8, endpoint=False)
            ]
            self.strokes([*dots, [(x, y), (x, y)]], size * 0.19, 0.95, taper=0.0, blur=0.8)

    def swept(self, low: float, high: float, strokes: int, seed: int = 0) -> None:
        """White slip swept round with a stiff brush, in streaks that run dry."""
        random = np.random.default_rng(seed)
        y = np.linspace(low, high, strokes)
        for row in y:
            start = random.uniform(0, self.ratio)
            long = random.uniform(0.4, 1.1) * self.ratio
            x = np.linspace(start, start + long, 30) % self.ratio
            jump = np.nonzero(np.abs(np.diff(x)) > self.ratio / 2)[0]
            wave = row + 0.006 * np.sin(np.linspace(0, 5, 30) + random.uniform(0, 6))
            line = list(zip(x, wave, strict=True))
            parts = [line] if not len(jump) else [line[: jump[0] + 1], line[jump[0] + 1 :]]
            self.strokes(
                [part for part in parts if len(part) > 1],
                (high - low) / strokes * 1.1,
                random.uniform(0.35, 0.9),
                taper=0.25,
            )


def _dense(points: Array) -> Array:
    """Points about a pixel or two apart along a smooth line through the given ones."""
    if len(points) == 1:
        return points
    if len(points) == 2:
        count = max(2, int(np.hypot(*(points[1] - points[0])) / 2) + 1)
        return points[0] + (points[1] - points[0]) * np.linspace(0, 1, count)[:, None]
    ends = np.vstack([points[0], points, points[-1]])
    out = []
    for a, b, c, d in zip(ends[:-3], ends[1:-2], ends[2:-1], ends[3:], strict=True):
        count = min(400, max(3, int(np.hypot(*(c - b)) / 1.5)))
        t = np.linspace(0, 1, count, endpoint=False)[:, None]
        out.append(
            0.5
            * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - a - 3 * c + d) * t**3
            )
        )
    return np.vstack([*out, points[-1:]])
