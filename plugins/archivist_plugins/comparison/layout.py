"""How pictures stand on a sheet: the frames of a page, one scale for all, and its bar.

Lengths on paper and of pieces are in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from archivist_plugins.comparison import ComparisonOptions, Paper

PAPERS: dict[Paper, tuple[float, float]] = {
    Paper.A4: (210.0, 297.0),
    Paper.LETTER: (215.9, 279.4),
}
"""Width and height upright (ISO 216; ANSI/ASME Y14.1)."""

MARGIN = 14.0
GUTTER = 5.0
FRAME_WIDTH = 55.0
"""About as wide as a frame is where nobody says how many columns there shall be."""

BARS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
"""Lengths that a scale bar can stand for."""

LONGEST_BAR = 42.0


@dataclass(frozen=True)
class Sheet:
    """A page: its size, its columns, and the frame that each picture fits into."""

    width: float
    height: float
    columns: int
    frame: tuple[float, float]


@dataclass(frozen=True)
class Extent:
    """A picture: its width and height in pixels, and in life where its scale is known."""

    pixels: tuple[int, int]
    life: tuple[float, float] | None = None


@dataclass(frozen=True)
class ScaleBar:
    """A line of `length` on paper that stands for `stands_for`; all is drawn at 1 : `ratio`."""

    length: float
    stands_for: int
    ratio: float

    @property
    def words(self) -> str:
        """'5 cm'."""
        return f"{self.stands_for // 10} cm" if self.stands_for >= 10 else f"{self.stands_for} mm"


def sheet(options: ComparisonOptions) -> Sheet:
    """The page that was asked for."""
    width, height = PAPERS[options.paper]
    if options.landscape:
        width, height = height, width
    usable = width - 2 * MARGIN
    columns = options.columns or max(1, round((usable + GUTTER) / (FRAME_WIDTH + GUTTER)))
    wide = (usable - GUTTER * (columns - 1)) / columns
    return Sheet(width, height, columns, (wide, min(wide, height * 0.62)))


def common_scale(extents: Iterable[Extent], frame: tuple[float, float]) -> float | None:
    """Millimetres on paper for one in life at which every scaled picture fits its frame."""
    fits = [_fit(extent.life, frame) for extent in extents if extent.life]
    return min(fits, default=None)


def printed(extent: Extent, frame: tuple[float, float], scale: float | None) -> tuple[float, float]:
    """How wide and high a picture is printed: at `scale` where it has one, else as it fits."""
    if scale is not None and extent.life:
        return extent.life[0] * scale, extent.life[1] * scale
    share = _fit(extent.pixels, frame)
    return extent.pixels[0] * share, extent.pixels[1] * share


def scale_bar(scale: float) -> ScaleBar:
    """The longest bar of a round length that is not too long for the margin."""
    fitting = [length for length in BARS if length * scale <= LONGEST_BAR]
    stands_for = fitting[-1] if fitting else BARS[0]
    return ScaleBar(round(stands_for * scale, 3), stands_for, 1 / scale)


def ratio_words(ratio: float) -> str:
    """'1 : 4.2', '2.5 : 1'."""
    return f"1 : {_short(ratio)}" if ratio >= 1 else f"{_short(1 / ratio)} : 1"


def _short(number: float) -> str:
    return f"{number:.0f}" if number >= 20 else f"{number:.1f}".removesuffix(".0")


def _fit(size: tuple[float, float], frame: tuple[float, float]) -> float:
    return min(frame[0] / size[0], frame[1] / size[1])
