"""What is joined to what in a mask: as an independent library and the plain definition tell it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from archivist.imaging.colour import regions

Mask = NDArray[np.bool_]


@st.composite
def masks(draw: st.DrawFn) -> Mask:
    rows, columns = draw(st.integers(1, 24)), draw(st.integers(1, 24))
    chance = np.random.default_rng(draw(st.integers(0, 10_000)))
    return np.asarray(chance.random((rows, columns)) < draw(st.floats(0, 1)))


@given(masks())
def test_parts_are_those_of_an_independent_library(mask: Mask) -> None:
    ndimage = pytest.importorskip("scipy.ndimage")
    theirs, count = ndimage.label(mask)
    ours, number = regions.parts(mask)
    assert number == count
    pairs = {(int(one), int(other)) for one, other in zip(ours.flat, theirs.flat, strict=True)}
    assert len(pairs) == len({one for one, _ in pairs}) == len({other for _, other in pairs})


@given(masks(), st.integers(0, 10_000))
def test_what_is_joined_to_seeds_is_every_part_that_holds_one(mask: Mask, seed: int) -> None:
    seeds = np.random.default_rng(seed).random(mask.shape) < 0.1
    numbers, _ = regions.parts(mask)
    expected = mask & np.isin(numbers, numbers[mask & seeds])
    assert (regions.joined(mask, seeds) == expected).all()


@settings(max_examples=40)
@given(masks(), st.integers(0, 10_000))
def test_a_level_is_the_least_at_which_a_pixel_is_joined_to_the_edge(mask: Mask, seed: int) -> None:
    cost = np.random.default_rng(seed).integers(0, 8, mask.shape).astype(np.uint8)
    highest = 5
    found = regions.levels(cost, highest)
    for level in range(highest + 1):
        may = cost <= level
        assert ((found <= level) == regions.joined(may, regions.outermost(may))).all()
    assert found.max() <= highest + 1


@given(masks(), st.integers(0, 3))
def test_growing_and_shrinking_are_those_of_an_independent_library(mask: Mask, pixels: int) -> None:
    ndimage = pytest.importorskip("scipy.ndimage")
    if pixels:
        assert (
            regions.grown(mask, pixels) == ndimage.binary_dilation(mask, iterations=pixels)
        ).all()
        less = ndimage.binary_erosion(mask, iterations=pixels, border_value=1)
        assert (regions.inner(mask, pixels) == less).all()
    else:
        assert (regions.grown(mask, 0) == mask).all()


def test_large_parts_are_kept_and_crumbs_are_not() -> None:
    mask = np.zeros((20, 20), bool)
    mask[2:10, 2:10] = True
    mask[12:16, 12:17] = True
    mask[18, 1] = True
    kept = regions.large_parts(mask)
    assert kept.sum() == 64 + 20
    assert not kept[18, 1]
    assert not regions.large_parts(np.zeros((3, 3), bool)).any()
