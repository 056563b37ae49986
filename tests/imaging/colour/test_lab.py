"""sRGB and CIELAB are those of the standards."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from archivist.imaging.colour.lab import decoded, encoded, lab_of, srgb_of


def test_light_of_a_value_is_that_of_iec_61966_2_1() -> None:
    """The two branches of the standard's transfer function, worked out by hand."""
    assert float(decoded(np.array(10 / 255))) == pytest.approx(10 / 255 / 12.92)
    assert float(decoded(np.array(0.5))) == pytest.approx(0.2140411)
    assert float(decoded(np.array(1.0))) == 1.0
    values = np.linspace(0, 1, 300)
    assert np.abs(encoded(decoded(values)) - values).max() < 1e-6


@pytest.mark.parametrize(
    ("pixel", "lab"),
    [
        ((255, 255, 255), (100.0, 0.0, 0.0)),
        ((0, 0, 0), (0.0, 0.0, 0.0)),
        ((119, 119, 119), (50.03, 0.0, 0.0)),
        ((255, 0, 0), (53.24, 80.09, 67.20)),
        ((0, 255, 0), (87.73, -86.18, 83.18)),
        ((0, 0, 255), (32.30, 79.19, -107.86)),
    ],
)
def test_primaries_and_greys_have_the_lab_that_follows_from_the_standards(
    pixel: tuple[int, int, int], lab: tuple[float, float, float]
) -> None:
    """From the matrix of IEC 61966-2-1 and the formulas of ISO/CIE 11664-4, to 0.05."""
    found = lab_of(np.array([pixel], np.uint8))[0]
    assert np.abs(found - np.array(lab)).max() < 0.05


def test_every_grey_has_no_colour() -> None:
    greys = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    assert np.abs(lab_of(greys)[:, 1:]).max() < 0.001


def test_all_pixels_come_back_from_lab() -> None:
    chance = np.random.default_rng(1)
    pixels = chance.integers(0, 256, (5000, 3), np.uint8)
    assert np.abs(srgb_of(lab_of(pixels)).astype(int) - pixels).max() <= 1


def test_an_independent_library_agrees() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        colour = pytest.importorskip("colour")
    chance = np.random.default_rng(2)
    pixels = chance.integers(0, 256, (2000, 3), np.uint8)
    white = np.array([0.9505, 1.0, 1.0890])
    xyz = colour.sRGB_to_XYZ(pixels / 255)
    theirs = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(white))
    assert np.abs(lab_of(pixels) - theirs).max() < 0.1
