"""What one photograph looks like, all of it from one decode at reduced size."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING, Any

from archivist.imaging.pixels import open_upright
from archivist.model.base import Value

if TYPE_CHECKING:
    from PIL.Image import Image

REDUCED = 256
"""Pixels of the longest side of the picture that everything is measured on."""

SMALL = 128
"""Pixels of the longest side of the small picture that is kept to compare pictures by."""

FREQUENCIES = 8
"""Frequencies of the cosine transform each way that pictures are searched by."""

_BORDER = 0.06
"""The share of a side that counts as the border, where a background shows."""

_SMALL_QUALITY = 92
_PLAIN = 3.0
"""Standard deviation of grey values below which a picture has nothing to be known by."""

_GREY = 4.0
"""Mean difference of the channels, of 255, up to which a picture has no colour."""


class Look(Value, frozen=True, kw_only=True):
    """What was measured on the upright picture.

    `width` and `height` are those of the file, upright. `frequencies` are the 64 lowest cosine
    coefficients of brightness, row by row, as little-endian 32-bit floats with the first (the
    mean) nought and a Euclidean length of one. `small` is a JPEG of the picture, 128 pixels long.
    `colour` and `background` are mean red, green and blue of the middle and of the border,
    `background_spread` how uneven the border is, `palette` the shares of 27 colours in the middle
    (0 to 255 in all). `sharpness` is the mean square of the Laplacian at 256 pixels. `quality`
    estimates a JPEG's, 1 to 100, and is 0 where the format has none. `plain` says that there is
    nothing in the picture to be known by, `grey` that it has no colour.
    """

    width: int
    height: int
    frequencies: bytes
    small: bytes
    colour: tuple[int, int, int]
    background: tuple[int, int, int]
    background_spread: int
    palette: bytes
    sharpness: int
    quality: int = 0
    plain: bool = False
    grey: bool = False


def look_at(path: Path, width: int, height: int, *, page: int = 0) -> Look:
    """Decodes the picture at `path` once, reduced, and measures it.

    Raises:
        SourceError: it cannot be decoded.
    """
    picture = open_upright(path, page=page, reduced_to=REDUCED, allow_truncated=True)
    return measured(picture, width, height, quality_of(path))


def measured(picture: Image, width: int, height: int, quality: int = 0) -> Look:
    """The look of an upright picture in mode 'RGB' or 'L', reduced to some 256 pixels."""
    import numpy as np
    from PIL.Image import Resampling

    colours = picture if picture.mode == "RGB" else picture.convert("RGB")
    scale = SMALL / max(colours.size)
    size = (max(8, round(colours.width * scale)), max(8, round(colours.height * scale)))
    small = colours.resize(size, Resampling.HAMMING if scale < 1 else Resampling.BICUBIC)
    grey = picture if picture.mode == "L" else picture.convert("L")
    values = np.asarray(grey, np.float32)
    pixels = np.asarray(small, np.float32)
    border = _border(pixels)
    background = np.median(border, axis=0)
    middle = _middle(pixels)
    chroma = float(np.abs(pixels - pixels.mean(axis=2, keepdims=True)).mean())
    return Look(
        width=width,
        height=height,
        frequencies=frequencies(np.asarray(small.convert("L"), np.float32)).tobytes(),
        small=_packed(small),
        colour=_rgb(middle.mean(axis=0)),
        background=_rgb(background),
        background_spread=min(255, round(float(np.abs(border - background).mean()))),
        palette=_palette(middle),
        sharpness=_sharpness(values),
        quality=quality,
        plain=float(values.std()) < _PLAIN,
        grey=chroma < _GREY,
    )


def frequencies(values: Any) -> Any:
    """The lowest cosine coefficients of a picture of grey values, 8 x 8, of length one in all."""
    import numpy as np

    low = waves(values.shape[0]) @ values @ waves(values.shape[1]).T
    low[0, 0] = 0.0
    length = float(np.sqrt((low * low).sum()))
    return (low / length if length > 1e-6 else low * 0).astype("<f4").ravel()


def waves(samples: int) -> Any:
    """The eight lowest cosines (DCT-II, orthonormal) over so many samples."""
    import numpy as np

    k, n = np.mgrid[0:FREQUENCIES, 0:samples]
    table = np.cos(np.pi * k * (2 * n + 1) / (2 * samples)) * np.sqrt(2 / samples)
    table[0] /= np.sqrt(2)
    return table.astype(np.float32)


def quality_of(path: Path) -> int:
    """The quality a JPEG seems to have been saved with, 0 where it is none or does not tell.

    By the mean of its first quantisation table against the example table of the standard
    (ITU-T T.81, annex K.1), scaled as the IJG's library does (its jcparam.c).
    """
    from PIL import Image

    try:
        with Image.open(path, formats=["JPEG", "MPO"]) as image:
            tables: dict[int, list[int]] = getattr(image, "quantization", {})
    except Exception:  # noqa: BLE001 - whatever a decoder raises: it is no JPEG
        return 0
    if not tables:
        return 0
    percent = 100 * sum(tables[min(tables)]) / _SUM_OF_K1
    return max(1, min(100, round(100 - percent / 2 if percent <= 100 else 5000 / percent)))


_SUM_OF_K1 = 3688
"""The sum of the 64 numbers of table K.1."""


def _packed(small: Image) -> bytes:
    stream = io.BytesIO()
    small.save(stream, "JPEG", quality=_SMALL_QUALITY, subsampling=0)
    return stream.getvalue()


def _border(pixels: Any) -> Any:
    import numpy as np

    rows, columns = pixels.shape[:2]
    wide = max(2, round(_BORDER * min(rows, columns)))
    return np.concatenate(
        [
            pixels[:wide].reshape(-1, 3),
            pixels[-wide:].reshape(-1, 3),
            pixels[wide:-wide, :wide].reshape(-1, 3),
            pixels[wide:-wide, -wide:].reshape(-1, 3),
        ]
    )


def _middle(pixels: Any) -> Any:
    rows, columns = pixels.shape[:2]
    return pixels[
        rows * 3 // 10 : max(rows * 7 // 10, rows * 3 // 10 + 1),
        columns * 3 // 10 : max(columns * 7 // 10, columns * 3 // 10 + 1),
    ].reshape(-1, 3)


def _rgb(values: Any) -> tuple[int, int, int]:
    red, green, blue = (max(0, min(255, round(float(v)))) for v in values)
    return red, green, blue


def _palette(pixels: Any) -> bytes:
    """The shares of 3 x 3 x 3 colours, where lightness counts little: a glaze in light and shade
    is one glaze. The axes are lightness, red against green, and yellow against blue."""
    import numpy as np

    red, green, blue = pixels[:, 0], pixels[:, 1], pixels[:, 2]
    light = (red + green + blue) / 3
    axes = (light / 86, (red - green) / 24 + 1.5, ((red + green) / 2 - blue) / 32 + 1.0)
    bins = [np.clip(axis, 0, 2.999).astype(int) for axis in axes]
    counts = np.bincount(bins[0] * 9 + bins[1] * 3 + bins[2], minlength=27)
    return bytes(np.round(255 * counts / max(1, counts.sum())).astype(np.uint8))


def _sharpness(values: Any) -> int:
    import numpy as np

    if min(values.shape) < 3:
        return 0
    middle = values[1:-1, 1:-1]
    around = values[:-2, 1:-1] + values[2:, 1:-1] + values[1:-1, :-2] + values[1:-1, 2:]
    return int(np.mean((around - 4 * middle) ** 2))
