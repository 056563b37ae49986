"""How the owner photographed: cameras and rooms over the years, and the usual views of a pot."""

from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import europe
import japan
import japan_porcelain
import korea
import numpy as np
from camera import Look, Written
from forms import Form
from glazes import Glaze
from renderer import Picture
from studio import Piece, Studio, View


@dataclass(frozen=True)
class Shoot:
    """One camera in one room in one season."""

    studio: Studio
    look: Look
    written: Written
    size: tuple[int, int]
    first: str
    extra: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Shot:
    """One photograph: the pieces' names, the kind of view, and what is special about it."""

    pieces: tuple[str, ...]
    kind: str
    angle: float = 0.0
    at: float = 0.5
    width: float = 0.0
    spin: float = 0.0
    elevation: float | None = None


GREY = Studio(paper=(0.40, 0.41, 0.42), far_paper=(0.15, 0.16, 0.17))
SHOOTS: dict[str, Shoot] = {
    # Slides scanned later: no camera writes anything.
    "slides": Shoot(
        Studio(
            paper=(0.34, 0.37, 0.42),
            far_paper=(0.16, 0.20, 0.27),
            warm=0.05,
            key_from=(-38, 52),
            key=0.72,
            fill=0.10,
            cloth=0.05,
        ),
        Look(
            exposure=1.02,
            balance=(1.07, 1.0, 0.90),
            contrast=1.5,
            saturation=0.95,
            grain=0.014,
            vignette=0.32,
            blur=0.8,
            quality=78,
            fade=0.35,
        ),
        Written(),
        (900, 720),
        "",
    ),
    # A compact with its own flash-like light, before 2008.
    "compact": Shoot(
        Studio(
            paper=(0.50, 0.50, 0.48),
            far_paper=(0.34, 0.34, 0.33),
            key_from=(-30, 50),
            key=0.6,
            fill=0.22,
            warm=0.0,
            box=(0.26, 0.26),
            sweep=40,
        ),
        Look(
            exposure=1.0,
            balance=(0.98, 1.0, 1.03),
            contrast=1.2,
            grain=0.009,
            vignette=0.2,
            blur=0.55,
            quality=79,
        ),
        Written("Ostrel Optical", "Ostrel Petit 40", "", "Petit 1.02", focal=12.4),
        (900, 675),
        "2005:02:12 14:05:00",
    ),
    # The estate: the clock of the camera a year behind.
    "estate": Shoot(
        Studio(
            paper=(0.46, 0.42, 0.36),
            far_paper=(0.22, 0.19, 0.16),
            warm=0.07,
            key_from=(-58, 40),
            panes=True,
            box=(0.40, 0.50),
            fill=0.11,
            cloth=0.03,
        ),
        Look(
            exposure=1.02,
            balance=(1.04, 1.0, 0.93),
            contrast=1.3,
            grain=0.009,
            vignette=0.22,
            blur=0.5,
            quality=79,
        ),
        Written("Ostrel Optical", "Ostrel Petit 40", "", "Petit 1.02", focal=12.4),
        (900, 675),
        "2007:06:03 11:20:00",
    ),
    # The grey paper he was proud of.
    "grey": Shoot(
        GREY,
        Look(contrast=1.3, grain=0.006, vignette=0.16, blur=0.35, quality=80),
        Written("Quillmere", "Q-7 Reflex", "Q7-004417", "", focal=85.0, artist="H. Wenderholt"),
        (900, 675),
        "2010:10:09 10:02:00",
    ),
    # A darker paper, a longer lens.
    "dark": Shoot(
        Studio(
            paper=(0.17, 0.175, 0.185),
            far_paper=(0.05, 0.052, 0.058),
            key=0.72,
            fill=0.13,
            key_from=(-55, 48),
            box=(0.38, 0.46),
            warm=0.025,
        ),
        Look(exposure=1.05, contrast=1.35, grain=0.006, vignette=0.22, blur=0.35, quality=80),
        Written(
            "Quillmere",
            "Q-9 Reflex",
            "Q9-120886",
            "Quillmere Darkroom 3",
            focal=105.0,
            artist="H. Wenderholt",
        ),
        (900, 675),
        "2013:02:02 15:31:00",
    ),
    # At the fair: the camera had lost its clock.
    "fair": Shoot(
        Studio(
            paper=(0.55, 0.53, 0.49),
            far_paper=(0.42, 0.40, 0.37),
            warm=0.06,
            key=0.58,
            fill=0.2,
            key_from=(-20, 58),
            box=(0.5, 0.14),
            cloth=0.04,
        ),
        Look(
            exposure=0.98,
            balance=(1.05, 1.0, 0.90),
            contrast=1.1,
            grain=0.012,
            vignette=0.18,
            blur=0.6,
            quality=78,
        ),
        Written("Ostrel Optical", "Ostrel Petit 40", "", "Petit 1.02", focal=12.4),
        (900, 675),
        "2000:01:01 00:03:00",
    ),
    # A telephone, which wrote down where it was.
    "telephone": Shoot(
        Studio(
            paper=(0.60, 0.59, 0.57),
            far_paper=(0.50, 0.49, 0.48),
            key_from=(-70, 38),
            key=0.66,
            fill=0.14,
            panes=True,
            box=(0.36, 0.52),
            warm=-0.02,
        ),
        Look(
            exposure=0.97,
            balance=(0.99, 1.0, 1.02),
            contrast=1.35,
            saturation=0.92,
            grain=0.006,
            vignette=0.08,
            blur=0.35,
            quality=80,
        ),
        Written("Tessaly", "Tessaly 5", "", "Tessaly OS 11.2", focal=4.2, place=(53.8731, 1.9046)),
        (900, 675),
        "2017:10:22 09:12:00",
    ),
    # White paper near the end, with a proper scale.
    "white": Shoot(
        Studio(
            paper=(0.74, 0.74, 0.73),
            far_paper=(0.52, 0.53, 0.54),
            key=0.56,
            fill=0.20,
            top=0.20,
            warm=0.01,
        ),
        Look(exposure=0.98, contrast=1.3, grain=0.005, vignette=0.10, blur=0.3, quality=80),
        Written(
            "Quillmere",
            "Q-9 Reflex",
            "Q9-120886",
            "Quillmere Darkroom 4",
            focal=90.0,
            artist="H. Wenderholt",
        ),
        (900, 675),
        "2016:05:21 16:40:00",
    ),
}

MAKERS = {
    name: getattr(place, name)
    for place in (europe, japan, japan_porcelain, korea)
    for name in dir(place)
    if callable(getattr(place, name))
    and getattr(place, name).__module__ == place.__name__
    and not name.startswith("_")
}


@lru_cache(maxsize=8)
def made(name: str) -> tuple[Form, Glaze]:
    """The piece of that name, formed and glazed."""
    form, glaze = MAKERS[name]()
    return form, glaze


def _vector(point: Any) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def _spot(form: Form, angle: float, at: float) -> tuple[float, float, float]:
    """A point on the outer wall, ``at`` from the lip (0) to the foot (1)."""
    profile = form.profile
    r, z = form.at(profile.lip - at * (profile.lip - profile.body))
    a = np.radians(angle)
    return (r * np.sin(a), -r * np.cos(a), z)


def picture(shot: Shot, shoot: Shoot, seed: int) -> tuple[Picture, list[tuple[float, ...]]]:
    """The picture a shot takes, and for each piece its box (left, top, right, bottom) in it."""
    random = np.random.default_rng(seed)
    if len(shot.pieces) > 1 or shot.kind in ("group", "pair", "set", "lidded"):
        pieces, view = _together(shot, shoot)
    else:
        pieces, view = _alone(shot, shoot)
    view = replace(
        view,
        azimuth=view.azimuth + random.uniform(-3, 3),
        elevation=min(86.0, view.elevation + random.uniform(-1.5, 1.5)),
        width=view.width * random.uniform(0.97, 1.05),
        roll=random.normal() * 0.5,
    )
    studio = _laid(shot, shoot, pieces, view)
    scene = Picture(pieces, studio, view, shoot.size)
    return scene, [scene.box(piece) for piece in pieces]


def _laid(shot: Shot, shoot: Shoot, pieces: list[Piece], view: View) -> Studio:
    """The studio with its scale bar or grey card beside the piece, where the shoot has one."""
    studio = shoot.studio
    radius = pieces[0].form.profile.radius
    if shot.kind == "scaled":
        length = 10.0 if radius > 5 else 5.0
        return replace(studio, scale_bar=(-length / 2 + 0.6, -radius - 0.12 * length - 1.0, length))
    if shot.kind == "carded":
        return replace(studio, grey_card=(radius * 0.75, -radius * 1.05 - 1, radius * 0.62))
    return studio


def _alone(shot: Shot, shoot: Shoot) -> tuple[list[Piece], View]:
    form, glaze = made(shot.pieces[0])
    profile = form.profile
    wide, tall = 2 * profile.radius, profile.height
    ratio = shoot.size[0] / shoot.size[1]
    span = max(ratio, 0.96)
    flat = tall / wide
    reach = max(
        [abs(x) + max(tube.radii) for tube in form.tubes for x, _, _ in tube.path], default=0.0
    )
    wide = max(wide, 2 * reach * 0.97)
    fit = max(wide * 1.55, tall * 1.42 * ratio)
    middle = (0.0, 0.0, tall * 0.47)
    spin = shot.spin
    kind = {"scaled": "overall", "carded": "overall"}.get(shot.kind, shot.kind)
    if kind == "overall" or kind == "side":
        if flat < 0.3:
            if kind == "side":
                return [Piece(form, glaze, 0, spin)], View(
                    (0, 0, tall * 0.3), wide * 1.35, elevation=7
                )
            piece = Piece(form, glaze, -74.0, spin)
            return [piece], View((0, 0, wide * 0.46), wide * 1.28 * span, elevation=10)
        low = 5.0 if kind == "side" else (11.0 if flat > 0.9 else 17.5 if flat < 0.5 else 14.0)
        if shot.kind == "scaled":
            low, middle, fit = 24.0, (0.0, -wide * 0.12, tall * 0.42), fit * 1.08
        if kind == "overall" and flat < 0.9:
            fit = max(wide * 1.62, (tall + wide * 0.3) * 1.3 * ratio)
        return [Piece(form, glaze, 0, spin)], View(middle, fit, elevation=low)
    if kind == "back":
        return [Piece(form, glaze, 106, spin)], View(
            (0, 0, wide * 0.46), wide * 1.28 * span, elevation=8
        )
    if kind == "base":
        if flat > 0.95:
            piece = Piece(form, glaze, 97, spin)
            return [piece], View((0, 0, profile.radius * 0.92), wide * 1.65, 20, 19)
        return [Piece(form, glaze, 180, spin)], View((0, 0, tall * 0.42), wide * 1.68, elevation=50)
    if kind in ("mark", "label"):
        piece = Piece(form, glaze, 180, spin)
        centre = piece.to_world(np.array([[0], [0], [profile.recess]], np.float32))[:, 0]
        return [piece], View(
            _vector(centre), shot.width or profile.foot_radius * 2.9 * span / 1.33, elevation=80
        )
    if kind == "foot":
        piece = Piece(form, glaze, 0, spin - shot.angle)
        target = piece.to_world(
            np.array([[0], [-profile.foot_radius * 0.6], [min(2.2, tall * 0.08)]], np.float32)
        )[:, 0]
        return [piece], View(
            _vector(target), shot.width or profile.foot_radius * 3.2, elevation=7, lens=16
        )
    if kind == "mouth":
        top = (0.0, 0.0, tall - profile.rim_radius * 0.25)
        return [Piece(form, glaze, 0, spin)], View(
            top, max(profile.rim_radius * 3.9, 9.0), elevation=shot.elevation or 40
        )
    if kind == "interior":
        return [Piece(form, glaze, 0, spin)], View(
            (0, 0, tall * 0.6), wide * 1.12 * span, elevation=68
        )
    if kind == "staples":
        piece = Piece(form, glaze, 112, spin)
        target = piece.to_world(np.array([[8.0], [0], [0.6]], np.float32))[:, 0]
        return [piece], View(_vector(target), wide * 0.5, 0, 18)
    if kind == "spout":
        return [Piece(form, glaze)], View((-8.4, -0.3, 7.4), 8.0, -25, 24)
    if flat < 0.3:
        piece = Piece(form, glaze, -66, spin + 180 - shot.angle)
        out = profile.radius * (0.88 if kind == "damage" else 0.66)
        a = np.radians(shot.angle)
        local = np.array([[out * np.sin(a)], [-out * np.cos(a)], [tall * 0.7]], np.float32)
        target = piece.to_world(local)[:, 0]
        return [piece], View(_vector(target), shot.width or wide * 0.5, 0, 14, 16)
    piece = Piece(form, glaze, 0, spin - shot.angle)
    local = np.array(_spot(form, shot.angle, shot.at), np.float32)[:, None]
    target = piece.to_world(local)[:, 0]
    steep = shot.elevation if shot.elevation is not None else (24.0 if shot.at < 0.15 else 10.0)
    return [piece], View(_vector(target), shot.width or wide * 0.55, elevation=steep, lens=16)


def _together(shot: Shot, shoot: Shoot) -> tuple[list[Piece], View]:
    ratio = shoot.size[0] / shoot.size[1]
    if shot.kind == "lidded":
        (form, glaze), (lid_form, lid_glaze) = made(shot.pieces[0]), made(shot.pieces[1])
        lift = form.profile.height - 0.12
        pieces = [Piece(form, glaze, 0, shot.spin), Piece(lid_form, lid_glaze, 0, 0, lift=lift)]
        pieces[1].shift[:2] = pieces[0].to_world(np.array([[0], [0], [0.0]], np.float32))[:2, 0]
        tall = lift + lid_form.profile.height
        reach = max(
            [abs(x) for tube in form.tubes for x, _, _ in tube.path], default=form.profile.radius
        )
        return pieces, View(
            (0, 0, tall * 0.47),
            max(tall * 1.45 * ratio, reach * 2.5),
            elevation=shot.elevation or 13,
        )
    if shot.kind == "set":
        places = [(-9.4, 1.5), (-4.4, -2.4), (0.6, 2.6), (5.2, -2.0), (9.8, 2.0)]
        pieces = []
        for number, (x, y) in enumerate(places):
            form, glaze = made(shot.pieces[0 if number != 2 else 1])
            pieces.append(Piece(form, glaze, 0, 40.0 * number, (x, y)))
            if number != 1:
                lid_form, lid_glaze = made(shot.pieces[2])
                pieces.append(
                    Piece(
                        lid_form,
                        lid_glaze,
                        0,
                        77.0 * number,
                        (x, y),
                        lift=form.profile.height - 0.1,
                    )
                )
        return pieces, View((0.2, 0, 3.0), 32, elevation=24)
    pieces, x = [], 0.0
    for number, name in enumerate(shot.pieces):
        form, glaze = made(name)
        radius = form.profile.radius
        x += radius
        depth = (0.0, 1.0, -0.6, 0.8)[number % 4] * radius * (0.6 if shot.kind == "group" else 0.0)
        pieces.append(Piece(form, glaze, 0, shot.spin + 25.0 * number, (x, depth)))
        x += radius + (2.2 if shot.kind == "group" else 4.5)
    whole = x - 3
    tall = max(piece.form.profile.height for piece in pieces)
    return pieces, View(
        (whole / 2, 0, tall * 0.45), max(whole * 1.22, tall * 1.4 * ratio), elevation=9
    )
