"""What clay and glaze look like: colour by thickness, bare feet, crazing, painting, damage."""

# Arithmetic on arrays is typed as Any by numpy.
# mypy: disable-error-code="no-any-return"

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from forms import Form
from noise import cracks as crazing
from noise import layered, noise, slope, smooth_step
from numpy.typing import NDArray
from studio import Surface

Array = NDArray[Any]
Colour = tuple[float, float, float]

# How strongly pigments under a glaze take red, green and blue out of the light.
COBALT = (2.9, 2.1, 0.85)
IRON = (1.1, 1.9, 2.7)
GREY_BLUE = (2.2, 1.75, 1.05)
MANGANESE = (1.9, 2.4, 1.8)
COPPER = (2.8, 0.9, 2.3)
OCHRE = (0.25, 0.9, 2.8)


def light(colour: Colour) -> Array:
    """A colour as it looks on a screen (0 to 1), as a column of linear light."""
    value = np.asarray(colour, np.float32)
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4).astype(
        np.float32
    )[:, None]


@dataclass(frozen=True)
class Layer:
    """A map laid on a part: ``where`` wall, inside, base or top; ``how`` stain, cover, carve,
    stamp, label or gold. ``span`` are the parts of the wall, from the lip (0) to the foot (1),
    that a wall map takes; ``radius`` the centimetres a round map reaches (0: the whole part)."""

    where: str
    how: str
    map: Array = field(repr=False)
    colour: Colour = (1.0, 1.0, 1.0)
    span: tuple[float, float] = (0.0, 1.0)
    radius: float = 0.0
    turn: float = 0.0


@dataclass(frozen=True)
class Crack:
    """A crack from the lip: degrees round from the front, its length, or right ``across``."""

    angle: float
    length: float
    wide: float = 0.03
    gold: bool = False
    across: bool = False
    from_foot: bool = False


@dataclass(frozen=True)
class Glaze:
    """One finish of a pot; colours as they look on a screen, lengths in centimetres."""

    body: Colour = (0.80, 0.76, 0.70)
    ramp: tuple[Colour, Colour, Colour] = ((0.9, 0.9, 0.88),) * 3
    lip_thin: float = 0.5
    runs: float = 0.0
    mottle: tuple[float, float] = (3.0, 0.07)
    pool: float = 0.5
    stop: float | None = None
    stop_wave: float = 0.35
    base_glazed: bool = False
    glazed: bool = True
    inside_glazed: bool = True
    shine: float = 1.0
    rough: float = 0.03
    body_rough: float = 0.6
    body_shine: float = 0.06
    crackle: tuple[float, float, float] | None = None
    crackle_colour: Colour = (0.34, 0.26, 0.18)
    spots: tuple[float, float, Colour] | None = None
    specks: float = 0.25
    peel: tuple[float, float] | None = None
    tilt: float = 0.006
    tilt_size: float = 2.5
    ash: tuple[float, float, Colour] | None = None
    burn: Colour | None = None
    pinholes: float = 0.0
    kiln_shade: float = 0.0
    scratches: float = 0.0
    grime: float = 0.25
    layers: tuple[Layer, ...] = ()
    cracks: tuple[Crack, ...] = ()
    metal: slice | None = None
    seed: int = 1

    def __call__(self, form: Form, p: Array, n: Array) -> Surface:
        return _Painting(self, form, p, n).surface()


def sample(source: Array, u: Array, v: Array, wraps: bool) -> Array:
    """Read a map (rows, columns[, channels]) at u, v from 0 to 1; outside is 0."""
    rows, columns = source.shape[:2]
    x, y = u * columns - 0.5, v * rows - 0.5
    fit = (v >= 0) & (v <= 1) & (wraps | ((u >= 0) & (u <= 1)))
    xi, yi = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
    fx, fy = (x - xi).astype(np.float32), (y - yi).astype(np.float32)
    if source.ndim == 3:
        fx, fy = fx[:, None], fy[:, None]
    x0 = xi % columns if wraps else np.clip(xi, 0, columns - 1)
    x1 = (xi + 1) % columns if wraps else np.clip(xi + 1, 0, columns - 1)
    y0, y1 = np.clip(yi, 0, rows - 1), np.clip(yi + 1, 0, rows - 1)
    top = source[y0, x0] * (1 - fx) + source[y0, x1] * fx
    low = source[y1, x0] * (1 - fx) + source[y1, x1] * fx
    out = top * (1 - fy) + low * fy
    return np.where(fit[:, None] if source.ndim == 3 else fit, out, 0)


class _Painting:
    """The points of one piece while its colours are being worked out."""

    def __init__(self, glaze: Glaze, form: Form, p: Array, n: Array) -> None:
        self.glaze, self.form, self.p, self.n = glaze, form, p, n
        profile = form.profile
        self.place = form.place(p)
        self.angle = np.arctan2(p[0], -p[1])
        self.tube = form.on_tube(p) if form.tubes else np.zeros(p.shape[1], np.float32)
        on_body = self.tube < 0.5
        self.inside = (self.place > profile.lip) & on_body
        self.base = (self.place < profile.ring_inner) & on_body
        self.ring = (
            (self.place >= profile.ring_inner * 0.96)
            & (self.place <= profile.ring_outer + 0.03)
            & on_body
        )
        self.wall = (self.place >= profile.ring_outer) & ~self.inside | (self.tube >= 0.5)
        self.from_lip = np.where(on_body, np.abs(self.place - profile.lip), 9.0)
        self.normal = n.astype(np.float32, copy=True)
        around = np.sqrt(p[0] ** 2 + p[1] ** 2) + 1e-4
        self.round = np.stack([-p[1] / around, p[0] / around, np.zeros_like(around)])
        self.down = np.cross(self.round, n, axis=0)

    def surface(self) -> Surface:
        g, p = self.glaze, self.p
        covered = self._covered()
        thickness = self._thickness(covered)
        colour = self._ramp(thickness)
        bare = np.nonzero(covered < 0.995)[0]
        if len(bare):
            body = self._body(self.p[:, bare])
            colour[:, bare] = body + (colour[:, bare] - body) * covered[bare]
        if g.burn is not None:
            near = np.clip(1 - np.abs(covered - 0.45) * 2.2, 0, 1) * 0.8
            colour = colour + (light(g.burn) - colour) * near
        if g.kiln_shade:
            warm = 0.5 + 0.5 * noise(p, form_size(self.form) * 0.5, g.seed + 5)
            colour = colour * (
                1 - g.kiln_shade * np.clip(warm, 0, 1) * np.array([[0.2], [0.6], [1.0]], np.float32)
            )
        shine = covered * g.shine + (1 - covered) * g.body_shine
        rough = covered * g.rough + (1 - covered) * g.body_rough
        colour, shine, rough = self._spots(colour, shine, rough, covered)
        if g.ash:
            colour, shine, rough = self._ash(g.ash, colour, shine, rough)
        if g.crackle:
            colour = self._crackle(g.crackle, colour, covered)
        self._relief(covered)
        for layer in g.layers:
            colour, shine, rough = self._layer(layer, colour, shine, rough, covered)
        colour = self._wear(colour)
        for crack in g.cracks:
            colour, shine = self._crack(crack, colour, shine)
        colour, shine = self._chips(colour, shine)
        if g.metal is not None:
            metal = self.form.on_tube(p, g.metal) > 0.5
            colour[:, metal] = light((0.46, 0.38, 0.27)) * (1 + 0.25 * noise(p[:, metal], 0.3))
            shine, rough = np.where(metal, 2.2, shine), np.where(metal, 0.35, rough)
        return Surface(np.clip(colour, 0.002, 0.95), shine, rough, self.normal)

    def _covered(self) -> Array:
        """How much glaze covers each point, 0 bare to 1."""
        g, form = self.glaze, self.form
        if not g.glazed:
            return np.zeros(self.p.shape[1], np.float32)
        edge = 0.10 * noise(self.p, 0.5, 3) + 0.10 * noise(self.p, 1.6, 4)
        covered = np.ones(self.p.shape[1], np.float32)
        start = form.profile.ring_outer
        near_ring = smooth_step(0.02, 0.09, self.place - start - 0.06 + edge * 0.35)
        covered = np.where(self.wall & (self.tube < 0.5), near_ring, covered)
        if g.stop is not None:
            wave = (
                g.stop_wave
                * (
                    noise(self.p * np.array([[1], [1], [0.25]], np.float32), 3.2, 7)
                    + 0.4 * noise(self.p, 1.3, 8)
                )
                + 0.3 * edge
            )
            above = smooth_step(-0.035, 0.045, self.p[2] - g.stop - wave)
            covered = np.where(self.wall & (self.tube < 0.5), np.minimum(covered, above), covered)
        covered = np.where(self.ring, 0, covered)
        inner_edge = smooth_step(0.05, 0.12, form.profile.ring_inner - self.place + edge * 0.3)
        covered = np.where(self.base, inner_edge if g.base_glazed else 0, covered)
        if not g.inside_glazed:
            bare = smooth_step(0.5, 0.8, self.from_lip + edge)
            covered = np.where(self.inside, 1 - bare, covered)
        return covered.astype(np.float32)

    def _thickness(self, covered: Array) -> Array:
        g, p = self.glaze, self.p
        size, amount = g.mottle
        thick = 0.5 + amount * layered(p, size, 2, g.seed)
        if g.lip_thin:
            lip = smooth_step(0.0, g.lip_thin, self.from_lip + 0.12 * g.lip_thin * noise(p, 0.6, 2))
            thick = thick * (0.15 + 0.85 * lip)
        if g.runs:
            around = np.sqrt(p[0] ** 2 + p[1] ** 2) + 1e-4
            wide = form_size(self.form) * 0.5 / around
            streak = np.stack([p[0] * wide, p[1] * wide, p[2] * 0.12])
            thick = thick + g.runs * (noise(streak, 1.4, g.seed) + 0.5 * noise(streak, 0.6, 9))
        if g.pool:
            thick = thick + g.pool * np.clip(_hollows(self.form, self.place), -0.35, 1) * (
                self.tube < 0.5
            )
            low = smooth_step(0.45, 0.05, self.place - self.form.profile.ring_outer) * self.wall
            if g.stop is not None:
                low = smooth_step(0.8, 0.1, p[2] - g.stop) * self.wall
            thick = thick + 0.4 * g.pool * low
        floor = (self.form.profile.end - self.place) / max(self.form.profile.radius * 0.5, 1)
        return thick + g.pool * 0.35 * np.where(self.inside, np.clip(1 - floor, 0, 1), 0)

    def _ramp(self, thickness: Array) -> Array:
        thin, middle, thick = (light(colour) for colour in self.glaze.ramp)
        low = smooth_step(0.02, 0.5, thickness)
        high = smooth_step(0.5, 1.05, thickness)
        return (thin + (middle - thin) * low) * (1 - high) + thick * high

    def _body(self, p: Array) -> Array:
        g = self.glaze
        tone = 1 + 0.07 * layered(p, 1.2, 3, 21) + 0.05 * noise(p, 0.13, 22)
        body = light(g.body) * tone
        if g.specks:
            dark = smooth_step(2.0, 2.6, noise(p, 0.16, 23))
            body = body * (1 - 0.6 * g.specks * dark)
        return body

    def _spots(
        self, colour: Array, shine: Array, rough: Array, covered: Array
    ) -> tuple[Array, Array, Array]:
        g = self.glaze
        if g.spots:
            size, amount, tone = g.spots
            spot = (
                smooth_step(
                    2.5 - amount,
                    3.1 - amount,
                    noise(self.p, size, 31) + 0.5 * noise(self.p, size * 4, 32),
                )
                * covered
            )
            colour = colour + (light(tone) - colour) * spot * 0.8
        if g.pinholes:
            hole = (
                smooth_step(
                    2.7 - g.pinholes,
                    2.95 - g.pinholes,
                    noise(self.p, 0.22, 33) + 0.6 * noise(self.p, 1.5, 34),
                )
                * covered
            )
            colour = colour * (1 - hole * 0.75)
            shine = shine * (1 - hole)
        return colour, shine, rough

    def _ash(
        self, ash: tuple[float, float, Colour], colour: Array, shine: Array, rough: Array
    ) -> tuple[Array, Array, Array]:
        """Ash fallen on one shoulder, melted, and run down in tongues."""
        angle, reach, tone = ash
        p, size = self.p, form_size(self.form)
        facing = np.cos(self.angle - np.radians(angle))
        up = np.clip(self.n[2], 0, 1)
        around = np.sqrt(p[0] ** 2 + p[1] ** 2) + 1e-4
        streak = np.stack([p[0] / around * size * 0.5, p[1] / around * size * 0.5, p[2] * 0.08])
        tongue = noise(streak, size * 0.055, 41) + 0.6 * noise(streak, size * 0.02, 42)
        height = p[2] / self.form.profile.height
        fall = facing * 0.9 + up * 0.9 + 0.35 * tongue + (height - (1 - reach)) * 2.6 - 1.1
        melted = smooth_step(-0.05, 0.35, fall) * (self.wall | (self.from_lip < 1))
        dusty = smooth_step(-1.3, 0.2, fall + 0.4 * noise(p, 0.25, 43)) * self.wall
        thick = np.clip(fall * 0.7, 0, 1)
        glassy = light(tone) * (1.25 - 0.75 * thick)
        powder = light(tone) * 0.8 + 0.06
        colour = colour + (powder - colour) * dusty * (0.25 + 0.3 * (noise(p, 0.2, 44) > 0.7))
        colour = colour + (glassy - colour) * melted * 0.9
        return colour, shine + (0.95 - shine) * melted, rough + (0.06 - rough) * melted

    def _crackle(self, crackle: tuple[float, float, float], colour: Array, covered: Array) -> Array:
        size, dark, wide = crackle
        tone = light(self.glaze.crackle_colour)
        uneven = np.clip(0.65 + 0.45 * noise(self.p, size * 4, 51), 0.1, 1)
        for scale, strength, seed in ((1.0, 1.0, 1), (0.45, 0.45, 2)):
            away = crazing(self.p, size * scale, seed)
            line = smooth_step(wide * 1.6, wide * 0.3, away) * strength * uneven * dark * covered
            colour = colour + (colour * tone * 1.2 - colour) * line
        return colour

    def _relief(self, covered: Array) -> None:
        g = self.glaze
        if g.tilt:
            self._bump(slope(self.p, g.tilt_size, 61) * (g.tilt * g.tilt_size * 0.5) * covered)
        bare = np.nonzero(covered < 0.9)[0]
        if len(bare):
            grain = min(0.2, 0.02 + 0.005 * form_size(self.form))
            depth = np.float32(0.055 * grain) * (1 - covered[bare])
            self._bump(slope(self.p[:, bare], grain, 62) * depth, bare)
        if g.peel:
            size, deep = g.peel
            self._bump(slope(self.p, size, 63) * (deep * size * 0.5))
        if 0.05 < float(covered.mean()) < 0.97 and g.stop is not None:
            edge = np.clip(1 - np.abs(covered - 0.5) * 2, 0, 1) * self.wall
            self.normal += np.array([[0], [0], [-0.7]], np.float32) * edge

    def _bump(self, gradient: Array, some: Array | slice = slice(None)) -> None:
        n = self.n[:, some]
        self.normal[:, some] -= gradient - n * (gradient * n).sum(0)

    def _coordinates(self, layer: Layer) -> tuple[Array, Array, bool, Array]:
        profile = self.form.profile
        if layer.where == "wall":
            v = (profile.lip - self.place) / (profile.lip - profile.body)
            low, high = layer.span
            u = ((self.angle + np.radians(layer.turn)) / (2 * np.pi) + 0.5) % 1.0
            return u, (v - low) / (high - low), True, self.wall & (self.tube < 0.5)
        c, s = np.cos(np.radians(layer.turn)), np.sin(np.radians(layer.turn))
        x, y = self.p[0] * c - self.p[1] * s, self.p[0] * s + self.p[1] * c
        if layer.where == "top":
            reach = layer.radius
            return x / reach / 2 + 0.5, 0.5 - y / reach / 2, False, ~self.base
        if layer.where == "inside":
            reach = layer.radius or profile.radius
            return (
                x / reach / 2 + 0.5,
                0.5 - y / reach / 2,
                False,
                self.inside | (self.from_lip < 0.5 * (profile.lip - profile.body) * 0.1),
            )
        reach = layer.radius or profile.foot_radius
        part = self.base | self.ring if layer.radius <= profile.foot_radius else ~self.inside
        return x / reach / 2 + 0.5, 0.5 + y / reach / 2, False, part

    def _layer(
        self, layer: Layer, colour: Array, shine: Array, rough: Array, covered: Array
    ) -> tuple[Array, Array, Array]:
        u, v, wraps, part = self._coordinates(layer)
        if layer.how == "label":
            both = sample(layer.map, u, v, wraps)
            on = both[:, 3] * part
            tone = light((1, 1, 1)) * (both[:, :3].T ** 2.2)
            return (colour + (tone - colour) * on, shine * (1 - 0.95 * on), rough + 0.5 * on)
        amount = sample(layer.map, u, v, wraps) * part
        if layer.how == "stain":
            k = np.array(layer.colour, np.float32)[:, None]
            some = np.nonzero(amount > 0.02)[0]
            if len(some):
                amount[some] *= np.clip(1 + 0.16 * layered(self.p[:, some], 1.1, 2, 46), 0.5, 1.5)
            return colour * np.exp(-k * amount), shine, rough
        if layer.how == "cover":
            return colour + (light(layer.colour) - colour) * amount, shine, rough
        if layer.how == "gold":
            tone = light((0.80, 0.62, 0.28))
            return (
                colour + (tone - colour) * amount,
                shine * (1 - amount) + 2.5 * amount,
                rough * (1 - amount) + 0.22 * amount,
            )
        step = np.float32(1.2 / min(layer.map.shape[:2]))
        du = sample(layer.map, u + step, v, wraps) - sample(layer.map, u - step, v, wraps)
        dv = sample(layer.map, u, v + step, wraps) - sample(layer.map, u, v - step, wraps)
        across, along = (self.round, self.down)
        if layer.where != "wall":
            across = np.array([[1], [0], [0]], np.float32)
            along = np.array([[0], [1 if layer.where == "base" else -1], [0]], np.float32)
        depth = 0.22 if layer.how == "carve" else 0.7
        self.normal = self.normal + (across * du + along * dv) * (depth * part)
        k = np.array(layer.colour, np.float32)[:, None]
        return colour * np.exp(-k * amount), shine, rough

    def _wear(self, colour: Array) -> Array:
        """Dirt of years on bare clay and in corners."""
        g = self.glaze
        if g.grime:
            dirt = self.ring * (0.5 + 0.5 * np.clip(noise(self.p, 0.6, 71), 0, 1))
            corner = np.clip(_hollows(self.form, self.place), 0, 1) * (self.tube < 0.5)
            amount = g.grime * np.clip(0.55 * dirt + 0.5 * corner, 0, 1)
            colour = colour * (1 - amount * np.array([[0.35], [0.45], [0.6]], np.float32))
        if g.scratches:
            turned = np.stack([self.p[0] * 0.12 + self.p[1] * 0.03, self.p[1], self.p[2]])
            scratch = smooth_step(2.1, 2.5, noise(turned, 0.12, 72)) * self.inside
            colour = colour * (1 + 0.3 * g.scratches * scratch)
        return colour

    def _crack(self, crack: Crack, colour: Array, shine: Array) -> tuple[Array, Array]:
        angle = np.radians(crack.angle)
        s, c = np.float32(np.sin(angle)), np.float32(-np.cos(angle))
        ahead = self.p[0] * s + self.p[1] * c
        aside = -self.p[0] * c + self.p[1] * s
        turn = np.stack([ahead, self.p[2], np.zeros_like(ahead)])
        aside = (
            aside + 0.16 * noise(turn, 1.9, 81 + crack.angle * 0.01) + 0.07 * noise(turn, 0.6, 82)
        )
        travelled = self.from_lip
        if crack.from_foot:
            travelled = np.abs(self.place - self.form.profile.ring_outer)
        left = smooth_step(crack.length, crack.length * 0.72, travelled)
        on = np.ones_like(left) if crack.across else left * (ahead > 0)
        wide = crack.wide * (0.35 + 0.65 * on) * (1 + 0.25 * noise(self.p, 0.7, 83))
        if crack.gold:
            wide = wide * 2.2
            line = smooth_step(wide, wide * 0.75, np.abs(aside)) * (on > 0.15)
            tone = light((0.76, 0.58, 0.26)) * (1 + 0.15 * noise(self.p, 0.3, 84))
            self.normal = (
                self.normal
                + 0.35
                * np.sign(aside)
                * line
                * np.clip(np.abs(aside) / (wide + 1e-3), 0, 1)
                * self.round
            )
            return colour + (tone - colour) * line, shine * (1 - line) + 2.4 * line
        line = smooth_step(wide, wide * 0.2, np.abs(aside)) * on
        halo = smooth_step(wide * 7, 0, np.abs(aside)) * on * 0.16
        stain = light((0.20, 0.14, 0.09))
        colour = colour * (1 - halo * np.array([[0.4], [0.7], [1.0]], np.float32))
        return colour + (stain - colour) * line * 0.85, shine * (1 - line * 0.8)

    def _chips(self, colour: Array, shine: Array) -> tuple[Array, Array]:
        for cut in self.form.cuts:
            x, y, z = cut.centre
            near = (self.p[0] - x) ** 2 + (self.p[1] - y) ** 2 + (self.p[2] - z) ** 2
            some = np.nonzero(near < (1.6 * max(cut.radii)) ** 2)[0]
            if not len(some):
                continue
            p = self.p[:, some]
            in_cut = smooth_step(0.05, 0.015, np.abs(self.form.cut_distance(cut, p)))
            tone = (
                light(self.glaze.body)
                * (0.9 if cut.rough else 0.4)
                * (1 + 0.10 * noise(p, 0.15, 91))
            )
            if cut.rough:
                self._bump(slope(p, 0.3, 92) * 0.03 * in_cut, some)
            colour[:, some] += (tone - colour[:, some]) * in_cut
            shine[some] *= 1 - 0.95 * in_cut
        return colour, shine


def form_size(form: Form) -> float:
    """The larger of height and width."""
    return max(form.profile.height, 2 * form.profile.radius)


def _hollows(form: Form, place: Array) -> Array:
    """Positive where the outline is hollow (glaze gathers), negative on edges (it runs off)."""
    profile = form.profile
    step = max(0.05, profile.end / 500)
    at = np.arange(0, profile.end, step)
    r = np.interp(at, profile.along, profile.points[:, 0])
    z = np.interp(at, profile.along, profile.points[:, 1])
    heading = np.unwrap(np.arctan2(np.gradient(z), np.gradient(r)))
    bend = -np.gradient(heading) / step
    spread = np.exp(-0.5 * (np.arange(-12, 13) * step / 0.22) ** 2)
    bend = np.convolve(bend, spread / spread.sum(), "same")
    return np.interp(place, at, np.clip(bend * 0.45, -0.5, 1.2)).astype(np.float32)
