"""Photographs of solid forms under soft studio light, by walking rays along distances.

World: centimetres, z up, the table at z = 0, the camera on the side of negative y. Colours are
linear light until ``develop`` in camera.py.
"""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from noise import layered, noise, smooth_step
from numpy.typing import NDArray
from studio import Piece, Studio, View, direction, panel, through

Array = NDArray[Any]


@dataclass
class Hits:
    """Where rays end: which piece (-1 the table), the point, the normal, the ray."""

    which: Array
    point: Array
    normal: Array
    ray: Array
    far: Array


@dataclass
class Picture:
    """One exposure."""

    pieces: list[Piece]
    studio: Studio
    view: View
    size: tuple[int, int]
    _frame: tuple[Array, Array, Array, Array] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        back = direction(self.view.azimuth, self.view.elevation)
        half = np.tan(np.radians(self.view.lens) / 2)
        self._distance = self.view.width / 2 / half
        eye = np.array(self.view.target, np.float32) + back * np.float32(self._distance)
        right = np.cross([0, 0, 1], back)
        right = right / (np.linalg.norm(right) + 1e-6)
        up = np.cross(back, right)
        roll = np.radians(self.view.roll)
        right, up = (
            right * np.cos(roll) + up * np.sin(roll),
            up * np.cos(roll) - right * np.sin(roll),
        )
        scale = 2 * half / self.size[0]
        self._frame = (
            eye,
            (right * scale).astype(np.float32),
            (up * scale).astype(np.float32),
            -back,
        )

    def box(self, piece: Piece) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of a piece in the picture, in pixels, held to its edges."""
        eye, right, up, forward = self._frame
        outline = piece.form.profile.points[::3]
        turn = np.linspace(0, 2 * np.pi, 40, dtype=np.float32)
        spots = np.stack(
            [
                (outline[:, :1] * np.cos(turn)).ravel(),
                (outline[:, :1] * np.sin(turn)).ravel(),
                np.repeat(outline[:, 1], len(turn)),
            ]
        )
        away = piece.to_world(spots) - eye[:, None]
        depth = (away * forward[:, None]).sum(0)
        scale = float((right**2).sum())
        x = (away * right[:, None]).sum(0) / depth / scale + self.size[0] / 2
        y = self.size[1] / 2 - (away * up[:, None]).sum(0) / depth / scale
        wide, high = self.size
        return (
            float(np.clip(x.min(), 0, wide)),
            float(np.clip(y.min(), 0, high)),
            float(np.clip(x.max(), 0, wide)),
            float(np.clip(y.max(), 0, high)),
        )

    def render(self) -> Array:
        """Linear colours (height, width, 3)."""
        wide, high = self.size
        y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
        hits = self._trace(x.ravel() + 0.5, y.ravel() + 0.5)
        self._measure_light(hits)
        image = self._shade(hits, x.ravel(), y.ravel()).reshape(3, high, wide)
        tone = np.clip(image, 0, 1).mean(0) ** 0.45
        which = hits.which.reshape(high, wide)
        rough = np.zeros((high, wide), bool)
        for axis in (0, 1):
            step = np.abs(np.diff(tone, axis=axis)) > 0.08
            step |= np.diff(which, axis=axis) != 0
            low = [slice(None), slice(None)]
            high_part = [slice(None), slice(None)]
            low[axis], high_part[axis] = slice(None, -1), slice(1, None)
            rough[tuple(low)] |= step
            rough[tuple(high_part)] |= step
        rows, columns = np.nonzero(rough)
        if len(rows):
            total = np.zeros((3, len(rows)), np.float32)
            for dx, dy in ((0.125, 0.375), (0.375, 0.875), (0.625, 0.125), (0.875, 0.625)):
                px, py = columns.astype(np.float32), rows.astype(np.float32)
                again = self._trace(px + dx, py + dy)
                total += np.minimum(self._shade(again, px + dx - 0.5, py + dy - 0.5), 1.6)
            image[:, rows, columns] = total / 4
        return image.transpose(1, 2, 0)

    def _trace(self, px: Array, py: Array) -> Hits:
        eye, right, up, forward = self._frame
        wide, high = self.size
        ray = forward[:, None] + right[:, None] * (px - wide / 2) - up[:, None] * (py - high / 2)
        ray = (ray / np.sqrt((ray**2).sum(0))).astype(np.float32)
        count = ray.shape[1]
        down = np.minimum(ray[2], -1e-4)
        far = np.where(ray[2] < -1e-4, -eye[2] / down, 1e4).astype(np.float32)
        which = np.full(count, -1, np.int8)
        normal = np.zeros((3, count), np.float32)
        normal[2] = 1
        for number, piece in enumerate(self.pieces):
            origin = piece.matrix.T @ (eye - piece.shift)
            local = piece.turn(ray)
            t0, t1 = through(piece.form, origin[:, None], local)
            todo = np.nonzero((t1 > t0) & (t0 < far))[0]
            t = t0[todo]
            local = local[:, todo]
            end = np.minimum(t1[todo], far[todo])
            fine = np.float32(2e-4 * self._distance / 10 + 2e-4)
            for _ in range(110):
                if not len(todo):
                    break
                away = piece.form.distance(origin[:, None] + local * t)
                hit = away < fine
                if hit.any():
                    far[todo[hit]] = t[hit]
                    which[todo[hit]] = number
                t = t + away * np.float32(0.92)
                keep = ~hit & (t < end)
                todo, t, local, end = todo[keep], t[keep], local[:, keep], end[keep]
        point = eye[:, None] + ray * np.minimum(far, 4000)
        for number, piece in enumerate(self.pieces):
            mine = which == number
            if mine.any():
                normal[:, mine] = piece.matrix @ piece.form.normal(piece.to_local(point[:, mine]))
        return Hits(which, point, normal, ray, far)

    def _measure_light(self, hits: Hits) -> None:
        """Visibility of each lamp at every second pixel."""
        wide, high = self.size
        index = np.arange(wide * high).reshape(high, wide)[::2, ::2]
        self._low_shape = index.shape
        index = index.ravel()
        self._low_point, self._low_normal = hits.point[:, index], hits.normal[:, index]
        self._low_which = hits.which[index]
        point, normal = self._low_point, self._low_normal
        lights = []
        azimuth, elevation = self.studio.key_from
        key = np.zeros(len(index), np.float32)
        for da, de in ((-15, 9), (13, 13), (-12, -11), (15, -8)):
            key += 0.25 * self._visible(point, normal, direction(azimuth + da, elevation + de), 0.2)
        lights.append(key)
        lights.append(self._visible(point, normal, direction(20, 80), 0.5))
        lights.append(self._visible(point, normal, direction(62, 24), 0.45))
        lights.append(self._visible(point, normal, direction(170, 32), 0.4))
        lights.append(self._open(point, normal))
        self._low_light = np.stack(lights)

    def _visible(self, point: Array, normal: Array, to: Array, spread: float) -> Array:
        """Share of a lamp of that spread (tangent) which a point sees past the pieces."""
        count = point.shape[1]
        seen = np.ones(count, np.float32)
        facing = (normal * to[:, None]).sum(0) > -0.15
        for piece in self.pieces:
            bound = piece.form.bound
            local_to = piece.turn(to[:, None])
            start = piece.to_local(point + normal * np.float32(0.006 * bound))
            swell = 1.0 + spread
            t0, t1 = through(piece.form, start, local_to, swell)
            todo = np.nonzero(facing & (t1 > np.maximum(t0, 0)))[0]
            t = np.maximum(t0[todo], np.float32(0.012 * bound))
            start, end = start[:, todo], t1[todo]
            best = np.ones(len(todo), np.float32)
            for _ in range(30):
                if not len(todo):
                    break
                away = piece.form.distance(start + local_to * t)
                best = np.minimum(best, 0.5 + 0.5 * away / (spread * t))
                t = t + np.clip(away * 0.8, 0.012 * bound + 0.03 * t, 0.3 * bound)
                gone = (t > end) | (best < 0.01)
                if gone.any():
                    seen[todo[gone]] = np.minimum(seen[todo[gone]], best[gone])
                    keep = ~gone
                    todo, t, start, end, best = (
                        todo[keep],
                        t[keep],
                        start[:, keep],
                        end[keep],
                        best[keep],
                    )
            seen[todo] = np.minimum(seen[todo], best)
            # Rays that only just enter the ball are let go gently, or its outline would show.
            chord = np.clip((t1 - t0) / (2 * bound * swell), 0, 1)
            seen = 1 - (1 - np.clip(seen, 0, 1)) * smooth_step(0.0, 0.6, chord)
        return seen * seen * (3 - 2 * seen)

    def _open(self, point: Array, normal: Array) -> Array:
        """How open the half space above a surface is, 0 to 1."""
        closed = np.zeros(point.shape[1], np.float32)
        for piece in self.pieces:
            bound = piece.form.bound
            local, n = piece.to_local(point), piece.turn(normal)
            near = ((local - piece.form.centre[:, None]) ** 2).sum(0) < (bound * 1.7) ** 2
            some = np.nonzero(near)[0]
            total = np.zeros(len(some), np.float32)
            for part, weight in ((0.02, 0.16), (0.06, 0.24), (0.14, 0.28), (0.3, 0.2), (0.6, 0.12)):
                reach = np.float32(part * bound)
                away = piece.form.distance(local[:, some] + n[:, some] * reach)
                total += weight * np.clip(1 - away / reach, 0, 1.2)
            closed[some] += total
        return np.clip(1 - closed, 0.04, 1)

    def _light_at(self, hits: Hits, px: Array, py: Array) -> Array:
        """Lamp visibilities at full size, kept from bleeding over edges."""
        rows, columns = self._low_shape
        x, y = np.clip(px / 2, 0, columns - 1.001), np.clip(py / 2, 0, rows - 1.001)
        fx, fy = x - np.floor(x), y - np.floor(y)
        column, row = x.astype(np.int32), y.astype(np.int32)
        total = np.zeros((5, len(px)), np.float32)
        weights = np.full(len(px), 1e-7, np.float32)
        pixel = self.view.width / self.size[0]
        for dx in (0, 1):
            for dy in (0, 1):
                index = (np.minimum(row + dy, rows - 1)) * columns + np.minimum(
                    column + dx, columns - 1
                )
                weight = (fx if dx else 1 - fx) * (fy if dy else 1 - fy) + 1e-3
                apart = ((hits.point - self._low_point[:, index]) ** 2).sum(0)
                alike = np.clip((hits.normal * self._low_normal[:, index]).sum(0), 0.01, 1)
                weight = weight * alike**8 / (1 + apart / (36 * pixel * pixel))
                weight = np.where(self._low_which[index] == hits.which, weight, weight * 1e-4)
                total += weight * self._low_light[:, index]
                weights += weight
        return total / weights

    def _shade(self, hits: Hits, px: Array, py: Array) -> Array:
        light = self._light_at(hits, px, py)
        colour = np.zeros_like(hits.point)
        table = hits.which < 0
        if table.any():
            colour[:, table] = self._table(
                hits.point[:, table], hits.ray[:, table], hits.far[table], light[:, table]
            )
        for number, piece in enumerate(self.pieces):
            mine = np.nonzero(hits.which == number)[0]
            if len(mine):
                colour[:, mine] = self._pot(
                    piece,
                    hits.point[:, mine],
                    hits.normal[:, mine],
                    hits.ray[:, mine],
                    light[:, mine],
                )
        return colour

    def _irradiance(self, n: Array, light: Array, wrap: float = 0.0) -> Array:
        """Light from the lamps alone (3, N); white paper facing them gets about 1."""
        studio = self.studio
        azimuth, elevation = studio.key_from
        warm = np.array([1 + studio.warm, 1.0, 1 - 1.5 * studio.warm], np.float32)[:, None]
        cool = np.array([1 - 0.6 * studio.warm, 1.0, 1 + studio.warm], np.float32)[:, None]

        def facing(to: Array, soft: float) -> Array:
            cosine = (n * to[:, None]).sum(0)
            return np.clip((cosine + soft) / (1 + soft), 0, 1)

        total = warm * studio.key * facing(direction(azimuth, elevation), 0.08 + wrap) * light[0]
        return total + cool * (
            studio.top * facing(direction(20, 80), 0.4) * light[1]
            + studio.fill * facing(direction(62, 24), 0.4) * light[2]
            + studio.back * facing(direction(170, 32), 0.3) * light[3]
        )

    def _table(self, p: Array, ray: Array, far: Array, light: Array) -> Array:
        studio = self.studio
        n = np.zeros_like(p)
        n[2] = 1
        deep = self.view.width * studio.sweep / 34.0 * 1.1
        along_view = direction(self.view.azimuth, 0)
        back = -(p * along_view[:, None]).sum(0)
        eye = self._frame[0]
        eye_back = -float(eye @ along_view)
        wall_t = (deep - eye_back) / np.maximum(-(ray * along_view[:, None]).sum(0), 1e-4)
        wall_height = eye[2] + ray[2] * wall_t
        onto_wall = (back > deep) | (far > 3000)
        run = np.where(onto_wall, deep + np.maximum(wall_height, 0), back)
        blend = smooth_step(-0.15 * deep, 1.9 * deep, run)
        paper = np.array(studio.paper, np.float32)[:, None]
        distant = np.array(studio.far_paper, np.float32)[:, None]
        base = paper + (distant - paper) * blend
        here = np.where(onto_wall, 0.0, 1.0)
        side = (ray * direction(self.view.azimuth + 90, 0)[:, None]).sum(0) * self._distance
        falloff = 1 - 0.10 * np.clip(side / self.view.width, -1.2, 1.2)
        near_grain = 1 + studio.grain * here * noise(p, 0.12 + self.view.width / 400)
        if studio.cloth:
            threads = np.sin(p[0] * 26) * np.sin(p[1] * 26) + 0.5 * layered(p, 0.3)
            near_grain = near_grain + studio.cloth * here * threads
        base = base * near_grain
        base = self._lying(base, p, onto_wall)
        near = light[4] ** 0.8
        glow = (self._irradiance(n, light) + 0.10 * light[4]) * near
        open_glow = self._irradiance(n, np.ones_like(light)) + 0.10
        shade = np.where(onto_wall, open_glow, glow)
        return base * shade * falloff

    def _lying(self, base: Array, p: Array, wall: Array) -> Array:
        """A scale bar in centimetres and a card of white, grey and black, flat on the table."""
        studio = self.studio
        if studio.scale_bar:
            x0, y0, length = studio.scale_bar
            x, y = p[0] - x0, p[1] - y0
            on = (x > 0) & (x < length) & (y > 0) & (y < length * 0.13) & ~wall
            step = length / 10
            odd = (np.floor(x / step) % 2).astype(bool) ^ (y > length * 0.065)
            black = np.where(odd, 0.035, 0.72).astype(np.float32)
            edge = (x < 0.08) | (x > length - 0.08)
            base = np.where(on, np.where(edge, 0.035, black), base)
        if studio.grey_card:
            x0, y0, side = studio.grey_card
            on = (p[0] > x0) & (p[0] < x0 + side) & (p[1] > y0) & (p[1] < y0 + side * 0.66) & ~wall
            across, along = (p[0] - x0) / side, (p[1] - y0) / side
            rim = (across < 0.04) | (across > 0.96) | (along < 0.04) | (along > 0.62)
            patch = np.floor(across * 3)
            shade = np.where(patch == 0, 0.78, np.where(patch == 1, 0.18, 0.03))
            base = np.where(on, np.where(rim, 0.5, shade), base)
        return base

    def _pot(self, piece: Piece, p: Array, n: Array, ray: Array, light: Array) -> Array:
        studio = self.studio
        surface = piece.paint(piece.form, piece.to_local(p), piece.turn(n))
        bumped = piece.matrix @ surface.normal
        bumped /= np.sqrt((bumped**2).sum(0)) + 1e-6
        albedo = surface.colour
        size = piece.form.bound
        glow = self._irradiance(bumped, light, 0.06)
        open_sky = light[4]
        paper = np.array(studio.paper, np.float32)[:, None]
        below = 0.5 - 0.5 * bumped[2]
        lifted = 0.25 + 0.75 * smooth_step(0.0, 0.5 * size, p[2])
        bounce = paper * 0.75 * below * lifted * open_sky
        ambient = (0.13 + 0.07 * bumped[2]) * open_sky
        # Light that went from clay to clay inside a pot comes back in the colour of its glaze.
        within = 0.30 * albedo * (1 - open_sky) * (0.25 + 0.75 * light[1])
        colour = albedo * (glow + bounce + ambient + within)
        shiny = surface.shine > 0.01
        if shiny.any():
            some = np.nonzero(shiny)[0]
            v = ray[:, some]
            m = bumped[:, some]
            cosine = -(v * m).sum(0)
            mirror = v + 2 * cosine * m
            mirror /= np.sqrt((mirror**2).sum(0)) + 1e-6
            fresnel = 0.04 + 0.96 * (1 - np.clip(cosine, 0, 1)) ** 5
            fresnel = np.minimum(fresnel, 0.55) * surface.shine[some]
            seen = self._reflects(p[:, some], n[:, some], mirror)
            sky = self._surroundings(mirror, p[:, some], surface.rough[some], piece)
            inner = albedo[:, some] * (0.25 * open_sky[some] + 0.08)
            colour[:, some] = colour[:, some] * (1 - 0.6 * fresnel) + fresnel * (
                sky * seen + inner * (1 - seen)
            )
        return colour

    def _reflects(self, p: Array, n: Array, mirror: Array) -> Array:
        """Share of the mirrored view that no piece blocks."""
        seen = np.ones(p.shape[1], np.float32)
        for piece in self.pieces:
            bound = piece.form.bound
            to = piece.turn(mirror)
            start = piece.to_local(p + n * np.float32(0.01 * bound))
            t0, t1 = through(piece.form, start, to)
            todo = np.nonzero(t1 > np.maximum(t0, 0))[0]
            t = np.maximum(t0[todo], np.float32(0.02 * bound))
            start, to, end = start[:, todo], to[:, todo], t1[todo]
            for _ in range(16):
                if not len(todo):
                    break
                away = piece.form.distance(start + to * t)
                seen[todo] = np.minimum(seen[todo], np.clip(0.3 + away / (0.1 * t), 0, 1))
                t = t + np.clip(away, 0.03 * bound, 0.3 * bound)
                keep = (t < end) & (seen[todo] > 0.01)
                todo, t, end = todo[keep], t[keep], end[keep]
                start, to = start[:, keep], to[:, keep]
        return seen

    def _surroundings(self, to: Array, p: Array, rough: Array, piece: Piece) -> Array:
        """What a mirror would see of the studio: soft boxes, a dim room, the paper."""
        studio = self.studio
        azimuth, elevation = studio.key_from
        room = 0.10 + 0.16 * smooth_step(0.1, 0.95, to[2])
        paper = np.array(studio.paper, np.float32)[:, None]
        light = np.zeros_like(to) + room
        light = light + 9.0 * panel(to, azimuth, elevation, *studio.box, rough, studio.panes)
        light = light + 2.6 * panel(to, 66, 26, 0.16, 0.55, rough + 0.03)
        light = light + 1.5 * panel(to, 20, 84, 0.55, 0.55, rough + 0.1)
        down = smooth_step(0.03, -0.22, to[2])
        reach = p[2] / np.maximum(-to[2], 0.05)
        spot = p[:2] + to[:2] * reach
        away = np.sqrt(((spot - piece.centre()[:2, None]) ** 2).sum(0)) / piece.form.bound
        floor = (
            paper
            * (0.25 + 0.55 * smooth_step(0.2, 1.3, away))
            * (0.45 + 0.55 * smooth_step(7, 1, away))
        )
        return light * (1 - down) + floor * down
