"""Colours in words: what one would say, and always something."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.imaging.colour.lab import lab_of
from archivist.wording.colours import colour_in_words


@pytest.mark.parametrize(
    ("pixel", "words"),
    [
        ((255, 255, 255), "white"),
        ((0, 0, 0), "black"),
        ((128, 128, 128), "grey"),
        ((226, 213, 186), "yellowish white"),
        ((132, 156, 130), "green"),
        ((62, 110, 168), "blue"),
        ((36, 50, 110), "dark blue"),
        ((90, 52, 30), "dark brown"),
        ((200, 40, 40), "red"),
        ((30, 90, 60), "green"),
        ((214, 184, 90), "pale yellow"),
        ((120, 60, 130), "purple"),
        ((193, 181, 150), "buff"),
        ((214, 203, 160), "cream"),
        ((105, 114, 92), "green"),
        ((40, 30, 26), "brownish black"),
        ((180, 200, 205), "pale bluish grey"),
    ],
)
def test_colours_are_called_as_one_would_call_them(pixel: tuple[int, int, int], words: str) -> None:
    lightness, a, b = (float(value) for value in lab_of(np.array(pixel, np.uint8)))
    assert colour_in_words((lightness, a, b)) == words


@given(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))
def test_every_colour_has_words(lightness: float, a: float, b: float) -> None:
    assert colour_in_words((lightness, a, b)).strip()
