"""Glaze colours in the library: on the page of a piece, in few signs for the index, as tiles.

`js/colours.js` reads the signs and compares them by CIEDE2000. Measured at 20,000 invented pieces
of one to four colours (`tests/benchmarks/glaze.py`): 208 kB of the index (170 by gzip), and from a
colour chosen to painted results 47 ms in the middle, 96 ms at most, on two busy cores.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import msgspec

from archivist.finding.colours import PieceColours
from archivist.imaging.colour.values import GlazeColour, GlazeColours, Lab
from archivist.wording import listed
from archivist.wording.colours import FAINT, colour_in_words
from archivist_plugins.reference_library.digits import DIGITS
from archivist_plugins.reference_library.entry import LibraryEntry

FAMILIES: tuple[tuple[float, str], ...] = (
    (38, "reds"),
    (78, "browns"),
    (116, "yellows and olives"),
    (190, "greens"),
    (300, "blues"),
    (345, "purples"),
    (361, "reds"),
)
"""The angle of hue up to which each goes; what has hardly any colour is a family of its own."""

NEUTRALS = "whites, greys and blacks"
ROWS = (NEUTRALS, "reds", "browns", "yellows and olives", "greens", "blues", "purples")
"""The rows of tiles, from above."""

MOST_TILES = 56
APART = 7.0
"""CIEDE2000 between any two tiles, at least."""


class Tile(msgspec.Struct, frozen=True):
    """A colour to choose: its sRGB in six hexadecimal digits, its name, its family of colours."""

    srgb: str
    name: str
    family: str


@dataclass(frozen=True)
class ColourShown:
    """One colour on the page of its piece; `begins` and `wide` are hundredths of the strip."""

    srgb: str
    name: str
    share: str
    lab: str
    spread: str
    begins: float
    wide: float


@dataclass(frozen=True)
class GlazeShown:
    """The colours of a piece as its page shows them, where they are from, what was balanced by."""

    colours: tuple[ColourShown, ...]
    views: str
    card: str
    reasons: tuple[str, ...]


def glaze_shown(found: PieceColours) -> GlazeShown | None:
    """What the page of a piece says of its colours; None where no photograph was worth a look."""
    from archivist.imaging.colour.lab import srgb_of

    if found.glaze is None:
        return GlazeShown((), "", "", found.reasons) if found.reasons else None
    shown: list[ColourShown] = []
    begins = 0.0
    for colour in found.glaze.colours:
        lightness, a, b = colour.lab
        shown.append(
            ColourShown(
                srgb=bytes(srgb_of(colour.lab)).hex(),  # type: ignore[arg-type]
                name=colour_in_words(colour.lab),
                share=f"{colour.share:.0%}",
                lab=f"L* {lightness:.0f}, a* {a:.0f}, b* {b:.0f}".replace("-", "−"),
                spread=f"{colour.spread:.0f}",
                begins=round(begins * 100, 1),
                wide=round(colour.share * 100, 1),
            )
        )
        begins += colour.share
    return GlazeShown(tuple(shown), listed(found.views, ", "), found.glaze.card, found.reasons)


def signs(glaze: GlazeColours | None) -> str:
    """The colours of a piece in five signs each; '' where none were measured.

    The first is the share in 63rds; the others hold L* in 7 bits, a* + 128 and b* + 128 in 8 each.
    """
    if glaze is None:
        return ""
    return "".join(_signs(colour) for colour in glaze.colours)


def _signs(colour: GlazeColour) -> str:
    lightness, a, b = (round(value) for value in colour.lab)
    whole = min(max(lightness, 0), 127) << 16 | _byte(a + 128) << 8 | _byte(b + 128)
    share = max(1, round(colour.share * 63))
    return DIGITS[share] + "".join(DIGITS[whole >> shift & 63] for shift in (18, 12, 6, 0))


def _byte(value: int) -> int:
    return min(max(value, 0), 255)


def tiles(entries: Iterable[LibraryEntry]) -> list[Tile]:
    """The most frequent colours of the collection, no two alike; in rows, light before dark."""
    from archivist.imaging.colour.difference import ciede2000
    from archivist.imaging.colour.lab import srgb_of

    chosen: list[Lab] = []
    for lab in _frequent(entries):
        if not chosen or float(ciede2000(lab, chosen).min()) >= APART:
            chosen.append(lab)
        if len(chosen) == MOST_TILES:
            break
    chosen.sort(key=lambda lab: (ROWS.index(_family(lab)), -lab[0], lab))
    return [
        Tile(bytes(srgb_of(lab)).hex(), colour_in_words(lab), _family(lab))  # type: ignore[arg-type]
        for lab in chosen
    ]


def _frequent(entries: Iterable[LibraryEntry]) -> Iterator[Lab]:
    """The mean colours of cubes of 8 by 8 by 8 units in which glazes lie, the fullest first."""
    cubes: dict[tuple[int, int, int], list[float]] = {}
    for entry in entries:
        for colour in entry.colours.glaze.colours if entry.colours.glaze else ():
            lightness, a, b = colour.lab
            cube = (int(lightness // 8), int(a // 8), int(b // 8))
            sums = cubes.setdefault(cube, [0.0, 0.0, 0.0, 0.0])
            for place, value in enumerate((1.0, lightness, a, b)):
                sums[place] += colour.share * value
    for _, (share, *sums) in sorted(cubes.items(), key=lambda item: (-item[1][0], item[0])):
        lightness, a, b = (round(value / share, 1) for value in sums)
        yield lightness, a, b


def _family(lab: Lab) -> str:
    _, a, b = lab
    if math.hypot(a, b) <= FAINT:
        return NEUTRALS
    hue = math.degrees(math.atan2(b, a)) % 360
    return next(name for end, name in FAMILIES if hue < end)


def tiles_script(entries: Iterable[LibraryEntry]) -> str:
    """The tiles as a script: rows of [name of the row, [[sRGB, name], ...]]."""
    made = tiles(entries)
    told: list[Any] = [
        [family, [[tile.srgb, tile.name] for tile in made if tile.family == family]]
        for family in ROWS
        if any(tile.family == family for tile in made)
    ]
    return f"library.tiles({msgspec.json.encode(told).decode('utf-8')});\n"
