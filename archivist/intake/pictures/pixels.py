"""Small pictures as arrays of numbers."""

from __future__ import annotations

import io
from typing import Any


def unpacked(small: bytes) -> Any:
    """The small picture of a look as an array: rows, columns, red green blue."""
    import numpy as np
    from PIL import Image

    with Image.open(io.BytesIO(small), formats=["JPEG"]) as image:
        return np.asarray(image.convert("RGB"), np.float32)


def grey_of(pixels: Any) -> Any:
    """Brightness as ITU-R BT.601 weighs it, as grey copies are made."""
    import numpy as np

    return pixels @ np.array([0.299, 0.587, 0.114], np.float32)


def fitted(pixels: Any, longest: int) -> Any:
    import numpy as np
    from PIL import Image

    rows, columns = pixels.shape[:2]
    scale = longest / max(rows, columns)
    size = (max(12, round(columns * scale)), max(12, round(rows * scale)))
    image = Image.fromarray(pixels.astype(np.uint8)).resize(size, Image.Resampling.BICUBIC)
    return np.asarray(image, np.float32)


def smooth(values: Any) -> Any:
    """Blurred by one, two, one each way: what is finer only misleads."""
    import numpy as np

    wide = np.pad(values, 1, mode="edge")
    across = (wide[:, :-2] + 2 * wide[:, 1:-1] + wide[:, 2:]) / 4
    return (across[:-2] + 2 * across[1:-1] + across[2:]) / 4


def coarser(grey: Any, longest: int) -> Any:
    """An array of grey values with at most so many along its longer side, each the mean of those
    that it stands for."""
    import numpy as np
    from PIL import Image

    rows, columns = grey.shape
    scale = longest / max(rows, columns)
    if scale >= 1:
        return grey
    size = (max(8, round(columns * scale)), max(8, round(rows * scale)))
    image = Image.fromarray(np.ascontiguousarray(grey, np.float32))
    return np.asarray(image.resize(size, Image.Resampling.HAMMING), np.float32)
